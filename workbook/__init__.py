"""Exam workbooks for piano students: exercises, engraving, pages, answer keys."""
