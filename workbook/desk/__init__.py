"""The desk: pages in the browser of this computer, for the teacher who types no commands."""
