"""Days: today, and a day in words.

The words are English under every locale and system, as all words on pages are.
"""

from __future__ import annotations

from datetime import date

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_SHORT = {"September": "Sept"}


def today() -> date:
    """The day by the clock of this computer, which is the teacher's day."""
    return date.today()  # noqa: DTZ011


def day_and_month(day: date) -> str:
    """``19 January``."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def short(day: date) -> str:
    """``19 Jan``, ``19 Sept``."""
    month = _MONTHS[day.month - 1]
    return f"{day.day} {month if len(month) < 5 else _SHORT.get(month, month[:3])}"


def in_words(day: date) -> str:
    """``19 January 2027``."""
    return f"{day_and_month(day)} {day.year}"
