"""The README's tables say what the code does."""

import re

import pytest
from family_tables import README, keys_of_levels, with_tables


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
