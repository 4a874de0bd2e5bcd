"""Marking: what is accepted, in words; answers judged by the record; points; the mark sheet.

In: items of ``workbook.record`` and typed answers. Out: an outcome for each blank; points.
"""
