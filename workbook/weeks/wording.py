"""The words used in a sheet: names of notes, words for steps.

In: a sheet of the record, or a template of a studio. Out: its ``Naming``: that of the row, else of
the studio, else of the template.
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import lru_cache

from workbook.music.naming import ENGLISH, LETTERS, STEPS, Naming
from workbook.studio.folder import Studio
from workbook.studio.template_model import Template, overridden
from workbook.weeks.studios import OpenStudio


def sheet_naming(studio: OpenStudio, code: str) -> Naming:
    """The words of a sheet; those of the studio if the record does not know how it was made.

    Raises RecordError if the key code is not known.
    """
    return _of_recipe(studio.record.recipe(code)) or studio_naming(studio.studio)


def studio_naming(studio: Studio) -> Naming:
    """The words that ``studio.toml`` names, else the English ones."""
    build = studio.build
    return Naming(build.letters or ENGLISH.letters, build.steps or ENGLISH.steps)


def studio_template(studio: Studio, template: Template) -> Template:
    """A template in the words of the studio."""
    return overridden(template, studio.build.letters, studio.build.steps)


@lru_cache(200)
def _of_recipe(recipe: str) -> Naming | None:
    try:
        found = json.loads(recipe)
        template = tomllib.loads(found["template"])
        places = (found["row"], found["look"], template)
        named = ENGLISH
        for place in reversed(places):
            named = replace(
                named,
                letters=place.get("letters") or named.letters,
                steps=place.get("steps") or named.steps,
            )
    except (ValueError, KeyError, TypeError, AttributeError):  # an older record, or none
        return None
    return named if named.letters in LETTERS and named.steps in STEPS else None
