"""Preflight: reads the files of a build back and checks them.

In: a folder. Out: findings, none if all is well. Checking one workbook without rendering
(``book``) takes milliseconds and is part of every build. The other checks take longer.
"""

from workbook.preflight.book import check_folder
from workbook.preflight.records import folders
from workbook.preflight.studio import check_jobs, missing, outdated

__all__ = ["check_folder", "check_jobs", "folders", "missing", "outdated"]
