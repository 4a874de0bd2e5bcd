"""Page layout: which element goes where on each page, and the PDF that shows it."""
