"""What was set to students before a sheet, according to the record and to named folders.

In: an open studio. Out: for each student what planning needs to know, and the key codes
of the sheets that this was read from.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from workbook.builds.orders import Order
from workbook.planning.coverage import Earlier
from workbook.studio_record.model import Sheet, SheetState
from workbook.weeks.studios import OpenStudio

_PLAYED = "played/"
"""Begins the skills of an examiner's sheet, which has no exercises to write."""


def sheets_before(studio: OpenStudio, week: date, *, same_week: bool) -> dict[str, list[Sheet]]:
    """The sheets that each student was set before those of ``week``, or up to it."""
    found: dict[str, list[Sheet]] = {}
    for sheet in studio.record.sheets():
        day = sheet.week or sheet.built[:10]
        before = day < week.isoformat() or (same_week and day == week.isoformat())
        if before and sheet.state != SheetState.REPLACED:
            found.setdefault(sheet.student, []).append(sheet)
    return found


def earlier_of(
    studio: OpenStudio, codes: Iterable[str], elsewhere: Earlier | None = None
) -> Earlier:
    """What was set on the sheets with these key codes, and ``elsewhere``."""
    codes = tuple(codes)
    identities, keys, templates = set[str](), Counter[tuple[str, str]](), Counter[str]()
    for code in codes:
        for item in studio.record.outline(code).items:
            if not item.skill.startswith(_PLAYED):
                identities.add(item.identity)
                keys[item.skill.split("/")[0], item.key] += 1
        recipe = json.loads(studio.record.recipe(code) or "{}")
        if recipe.get("round"):
            templates[recipe["row"]["template"]] += 1
    if elsewhere:
        identities |= elsewhere.identities
        keys.update(elsewhere.keys)
        templates.update(elsewhere.before)
    return Earlier(
        frozenset(identities), dict(keys), dict(templates), codes=None if elsewhere else codes
    )


def known_before(
    studio: OpenStudio,
    orders: Sequence[Order],
    week: date,
    elsewhere: Mapping[str, Earlier],
    *,
    same_week: bool = False,
) -> list[Order]:
    """The orders, each after what the record, or a folder, says was set to its student."""
    sheets = sheets_before(studio, week, same_week=same_week)
    known = {
        student: earlier_of(
            studio, [sheet.code for sheet in sheets.get(student, ())], elsewhere.get(student)
        )
        for student in dict.fromkeys(order.row.student for order in orders)
    }
    return [
        replace(
            order,
            earlier=replace(
                known[order.row.student], sheets=order.earlier.sheets if order.earlier else 0
            ),
        )
        for order in orders
    ]


def told_earlier(earlier: Earlier | None) -> dict[str, Any] | None:
    """The part of it that a recipe stores, as JSON values."""
    if earlier is None:
        return None
    if earlier.codes is not None:
        return {"codes": list(earlier.codes), "sheets": earlier.sheets}
    return {
        "identities": sorted(earlier.identities),
        "keys": [[*cell, count] for cell, count in sorted(earlier.keys.items())],
        "before": dict(earlier.before),
        "sheets": earlier.sheets,
    }


def earlier_again(studio: OpenStudio, told: Mapping[str, Any] | None) -> Earlier | None:
    """What ``told_earlier`` stored."""
    if told is None:
        return None
    if "codes" in told:
        return replace(earlier_of(studio, told["codes"]), sheets=told["sheets"])
    keys = {(family, key): count for family, key, count in told["keys"]}
    return Earlier(frozenset(told["identities"]), keys, told["before"], told["sheets"])
