"""A week in the studio: sheets are set, entered and marked, and the next ones set."""
