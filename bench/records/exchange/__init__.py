"""The record outside of this program: tables, one JSON document, a bundle for another machine, and the way back in."""
