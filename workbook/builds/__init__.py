"""The order of steps: workbooks, study pages, print jobs, previews; files put in place."""
