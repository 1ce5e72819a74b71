"""Those who do what a test asks (a person, a fixture on JSON lines, the rehearsal's hand), and what a person hears."""
