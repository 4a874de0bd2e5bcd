"""``key.json``: what a printed workbook asks, item for item, with its answers."""
