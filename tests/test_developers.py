"""DEVELOPERS.md shows the code as it is."""

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


def test_every_room_is_on_the_map():
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("## Map\n")[1].split("\n### ")[0]
    rooms = {path.stem for path in (ROOT / "workbook").iterdir() if path.suffix in ("", ".py")}
    rooms -= {"__init__", "__main__", "__pycache__"}
    assert "engraving" in rooms
    assert rooms <= set(re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE))
