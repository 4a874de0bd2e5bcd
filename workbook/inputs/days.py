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


def today() -> date:
    """The day by the clock of this computer, which is the teacher's day."""
    return date.today()  # noqa: DTZ011


def day_and_month(day: date) -> str:
    """``19 January``."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def in_words(day: date) -> str:
    """``19 January 2027``."""
    return f"{day_and_month(day)} {day.year}"
