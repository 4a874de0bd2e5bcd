"""The record of a studio: students, workbooks set, marks. One SQLite file, never lost."""
