"""DEVELOPERS.md shows a family and its test as they are."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
SHOWN = re.compile(r"`([\w/]+\.py)`:\n\n```python\n(.*?)```\n", re.DOTALL)


def test_the_family_that_is_shown_is_the_real_one():
    shown = dict(SHOWN.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))
    assert set(shown) == {
        "workbook/exercises/families/scale_writing.py",
        "tests/outside/test_scale_writing.py",
    }
    for name, text in shown.items():
        assert text == (ROOT / name).read_text(encoding="utf-8"), name
