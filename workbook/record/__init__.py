"""The record of a workbook, ``key.json``: its types, how it is written and read.

In: exercises and where their blanks stand. Out: JSON text (``key.schema.json`` describes
it), and the same record read back.
"""
