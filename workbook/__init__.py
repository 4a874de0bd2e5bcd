"""Exam workbooks for piano students: exercises, engraving, pages, answer keys."""

__version__ = "0.1.0"
