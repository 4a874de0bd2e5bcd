"""Preflight: what a build wrote is read again and checked.

In: a folder. Out: findings, none when all is well. ``book`` without rendering takes
milliseconds and is part of every build; ``objects``, ``rendered``, ``jobs`` and
``mark_sheet`` take their time.
"""

from workbook.preflight.book import check_folder
from workbook.preflight.records import folders
from workbook.preflight.studio import check_jobs, missing, outdated

__all__ = ["check_folder", "check_jobs", "folders", "missing", "outdated"]
