"""A week in the studio: sheets set and entered, marked, seen, and set again."""
