<<<<<<< HEAD
"""Judging answers: what is accepted, in words and as data; the mark sheet."""
=======
"""Marking: what is typed in the boxes of a workbook, judged by its record.

In: items of ``workbook.record`` and typed answers. Out: an outcome for each blank; points.
"""
>>>>>>> record
