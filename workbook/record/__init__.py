"""The record of a workbook, ``key.json``: its types, writer and reader.

In: exercises and the positions of their blanks. Out: JSON text, as ``key.schema.json``
describes it, and the record read back from it.
"""
