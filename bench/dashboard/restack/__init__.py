"""The core going together again."""
