"""For whom: the roster, the templates it names, a folder for each student's files, settings."""
