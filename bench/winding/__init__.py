"""A winding in progress: where the count stands against the sheet, and the journal of it."""
