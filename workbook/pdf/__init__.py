"""PDF structure: reading what pages draw, joining and imposing files."""
