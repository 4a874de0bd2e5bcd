"""The form fields of a workbook: one for every blank.

In: a workbook record. Out: fields with names, tooltips and positions.
"""

from __future__ import annotations

from workbook.marking.form_names import field_name, tooltip
from workbook.pages.form_fields import FormField
from workbook.record.model import Record

_SIZE, _LARGEST = 0.62, 14.0
"""The size of the text in heights of the box, and the most in points."""


def form_fields(record: Record) -> list[FormField]:
    """A field for every blank, in the order of the record."""
    return [
        FormField(
            field_name(record.code, blank),
            tooltip(item, blank),
            blank.page,
            blank.rect,
            min(_LARGEST, _SIZE * (blank.rect[3] - blank.rect[1])),
            f"{item.number}",
        )
        for item in record.items
        for blank in item.blanks
    ]
