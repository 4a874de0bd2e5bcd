"""Builds: run the steps from a roster to files, for workbooks, study pages and previews."""
