"""What stands on the paper is what ``key.json`` says: notes read back from finished PDFs.

The PDFs are those of a build; drawn.py says how they are read and by what sources.
"""

import json
from copy import deepcopy

import drawn
import pytest
import reading

from tests.key_json import items as key_items
from workbook import build
from workbook.exercises.families import FAMILIES

KEYS = "C major; C# major; Cb major; A minor; A# minor; Ab minor"
UNREAD = {"key-signatures"} | {name for name, one in FAMILIES.items() if not one.keyed}
"""Families without notes of any pitch."""
FAMILIES_READ = [name for name in reading.on_staves() if name not in UNREAD]


def template(count: int) -> str:
    sections = ['title = "Everything on staves"']
    for name in FAMILIES_READ:
        which = {
            "hand": 'hands = ["right", "left", "both"]\n',
            "clef": 'clefs = ["treble", "bass", "both"]\n',
            "": "",
        }[FAMILIES[name].by]
        sections.append(f'[[section]]\nfamily = "{name}"\n{which}count = {count}\npoints = 1')
    return "\n".join(sections)


def read(folder, count: int, keys: str, seed: str = ""):
    """Build a workbook; its items in ``key.json``, the pictures of both its PDFs."""
    (folder / "staves.toml").write_text(template(count), "utf-8")
    (folder / "roster.csv").write_text(
        f"student,template,keys\nPippa Marrowby,staves,{keys}\n", "utf-8"
    )
    where = build(folder / "roster.csv", folder / "out", template_dir=folder, seed=seed)[0].folder
    items = key_items(json.loads((where / "key.json").read_text("utf-8")))
    workbook, key = (drawn.pictures(where / f"{name}.pdf") for name in ("workbook", "answer-key"))
    return list(zip(items, workbook, key, strict=True))


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    return read(tmp_path_factory.mktemp("read"), 3, KEYS)


def compare(item, in_workbook, in_key) -> None:
    """The answer key shows all notes, those to be written as written; the workbook what is
    printed there and no more."""
    sides = item["notes"].items()
    wanted = [[column for column in columns if column] for _, columns in sides]
    _, printed, written = in_key
    found = drawn.notes(printed, written, len(wanted))
    assert [[[name for name, _ in column] for column in staff] for staff in found] == wanted
    of = [
        [
            name
            for blank in item["blanks"]
            if blank["asks"] == "notes" and blank["hand"] == side
            for name in blank["of"]
        ]
        for side, _ in sides
    ]
    assert [[name for column in staff for name, pen in column if pen] for staff in found] == of
    _, shown, more = in_workbook
    assert shown == printed and more == drawn.Drawn()


def test_every_note_stands_where_the_answer_key_has_it(built):
    assert {item["family"] for item, *_ in built} == set(FAMILIES_READ)
    for item, in_workbook, in_key in built:
        compare(item, in_workbook, in_key)


def test_written_notes_are_read(built):
    """Notes that are on the answer key alone, and all that are compared."""
    heads = [
        [name.startswith("noteheads") for picture in pictures for *_, name in picture.signs]
        for pictures in zip(*(key[1:] for _, _, key in built))
    ]
    printed, written = map(sum, heads)
    print(f"\n{len(built)} exercises, {printed} printed notes, {written} written ones")
    assert printed > 1000 and written > 150


def test_a_wrong_note_is_noticed(built):
    for item, in_workbook, in_key in built[::7]:
        spoiled = deepcopy(item)
        column = next(c for c in next(iter(spoiled["notes"].values())) if c)
        column[0] = column[0][:-1] + str(int(column[0][-1]) + 1)
        with pytest.raises(AssertionError):
            compare(spoiled, in_workbook, in_key)


def test_a_missing_sign_is_noticed(built):
    """A printed note head; a written one or the accidental of one."""
    for item, _, (name, printed, written) in built[::5]:
        for face in (0, 1):
            for kind in ("noteheads", "accidentals")[: 1 + face]:
                spoiled = deepcopy(printed), deepcopy(written)
                signs = spoiled[face].signs
                at = [n for n, sign in enumerate(signs) if sign[2].startswith(kind)]
                if at:
                    signs.pop(at[-1])
                    with pytest.raises((AssertionError, IndexError)):
                        compare(item, (name, spoiled[0], drawn.Drawn()), (name, *spoiled))


@pytest.mark.sweep
@pytest.mark.parametrize("seed", range(12))
def test_every_note_in_all_keys(tmp_path, seed):
    for item, in_workbook, in_key in read(tmp_path, 8, f"all; {KEYS}", str(seed)):
        compare(item, in_workbook, in_key)
