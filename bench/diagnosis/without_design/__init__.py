"""What is wrong with a unit that has no design yet, by its readings as found and its nameplate: weaker, and told so."""
