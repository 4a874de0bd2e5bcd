"""Words on a page: fonts, measuring, lines, text direction."""
