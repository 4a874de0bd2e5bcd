"""The README's tables say what the code does."""

import json
import re

import pytest
from family_tables import README, keys_of_levels, with_tables

from workbook.api import __all__ as public
from workbook.exercises.model import HANDS

SCHEMA = README.parent / "workbook" / "record" / "key.schema.json"


def test_the_tables_of_families_are_the_real_ones():
    """``python -m tests.family_tables`` writes them anew."""
    text = README.read_text("utf-8")
    assert with_tables(text) == text, "run python -m tests.family_tables"


def test_a_table_without_a_place_is_told():
    with pytest.raises(ValueError, match="<!-- families -->"):
        with_tables("# No tables\n")


def test_the_table_of_levels_counts_their_keys():
    rows = re.findall(r"^\| `(level-\d+)` \| (\d+) \|", README.read_text("utf-8"), re.MULTILINE)
    assert {name: int(keys) for name, keys in rows} == keys_of_levels()


def properties(schema):
    """The names and the fixed values that a JSON Schema has, at any depth."""
    if isinstance(schema, dict):
        names = schema.get("properties", {})
        values = [one for one in schema.get("enum", ()) if one not in HANDS]
        yield from (*names, *values)
        for value in schema.values():
            yield from properties(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from properties(value)


def test_the_readme_has_every_field_of_key_json():
    section = README.read_text("utf-8").split("## key.json\n")[1]
    names = set(properties(json.loads(SCHEMA.read_text("utf-8"))))
    assert {"match", "notes in order", "one off", "settings"} <= names
    shown = set(re.findall(r'"([\w ]+)"', section)) | set(re.findall(r"`([\w ]+)`", section))
    assert names <= shown


def test_the_program_in_the_readme_uses_public_names():
    section = README.read_text("utf-8").split("## Use it from a program\n")[1].split("\n## ")[0]
    imported = re.findall(r"^from workbook import (.+)$", section, re.MULTILINE)
    names = {name for line in imported for name in line.split(", ")}
    names |= set(re.findall(r"^\| `(\w+)`", section, re.MULTILINE))
    assert {"build", "judge"} <= names <= set(public)
