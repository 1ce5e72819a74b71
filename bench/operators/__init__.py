"""Those who do what a test asks: a person at a terminal, a fixture on JSON lines, the rehearsal's hand."""
