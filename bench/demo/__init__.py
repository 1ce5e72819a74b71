"""The whole job on simulated instruments: the code that real ones run, over real ports."""
