"""DEVELOPERS.md shows the code as it is."""

import ast
import re
from collections import defaultdict
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


ALSO = {"Group": {"commands", "elements"}, "Term": {"terms"}}
"""Modules with another class of that name: click's groups of commands, the parts of a tagged
document, the words of music."""


def test_a_word_of_the_list_names_one_class():
    """Those of ``record.model`` are the same things, as ``key.json`` has them."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.split("## Words\n")[1].split("\n## ")[0]
    rows = re.findall(r"^\| ([^|]+) \|", table, re.MULTILINE)
    words = {word.strip().title().replace(" ", "") for row in rows for word in row.split(",")}
    assert {"Paper", "Page", "Slot", "Snippet", "Cell", "MarkSheet"} <= words
    found = defaultdict(set)
    for path in (ROOT / "workbook").rglob("*.py"):
        if path.parent.name + path.stem == "recordmodel":
            continue
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and node.name in words:
                found[node.name].add(path.stem)
    found = {name: where - ALSO.get(name, set()) for name, where in found.items()}
    assert len(found) > 12
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


def test_words_that_were_given_up_name_nothing():
    names = set()
    for path in (ROOT / "workbook").rglob("*.py"):
        names.add(path.stem)
        names |= {
            node.name
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, (ast.FunctionDef, ast.ClassDef))
        }
    parts = {part.lower() for name in names for part in re.findall(r"[A-Z]?[a-z]+", name)}
    assert "pool" in parts
    assert not parts & {"stock", "forked", "turning"}
