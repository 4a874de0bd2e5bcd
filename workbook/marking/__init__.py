"""Marking: notes on accepted answers, judging of typed answers, points, the mark sheet.

In: items of ``workbook.record`` and typed answers. Out: an outcome for each blank; points.
"""
