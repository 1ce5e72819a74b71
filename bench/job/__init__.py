"""What a job is: one transformer with its core, windings, screens and supply, and the files that say so."""
