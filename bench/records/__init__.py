"""What was measured and decided, kept so that it can't quietly change."""
