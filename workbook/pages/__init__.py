"""Page layout: which element goes where on each page, and the PDF that shows it."""

import workbook.typesetting  # noqa: F401 - before reportlab, which may fail without it
