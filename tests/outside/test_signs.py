"""Signs at notes: their names against music21's classes, what is drawn against Emmentaler's.

Sources: the names of music21's articulations, expressions, dynamics, spanners and repeats; the
names of the glyphs in LilyPond's font Emmentaler (see drawn.py), which has them from its Notation
Reference; meanings by the glossary, and those of signs without a word by the table below, from
Gehrkens (sections 36 to 39, 61, 65, 122) and Chambers's table of signs ("bind or tie", "dash"),
the others from memory.
"""

import json
import re
from itertools import permutations

import drawn
import glossary
import reading
from music21 import articulations, bar, dynamics, expressions, repeat, spanner, tie

from tests.key_json import items as key_items
from workbook import build
from workbook.music.signs import SIGNS

CLASSES = {
    "slur": spanner.Slur,
    "repeat signs": bar.Repeat,
    "tie": tie.Tie,
    "fermata": expressions.Fermata,
    "accent": articulations.Accent,
    "segno": repeat.Segno,
    "coda sign": repeat.Coda,
    "pedal signs": expressions.PedalMark,
    "octave sign": spanner.Ottava,
    "staccato": articulations.Staccato,
    "staccatissimo": articulations.Staccatissimo,
    "tenuto": articulations.Tenuto,
    "marcato": articulations.StrongAccent,
    "portato": articulations.DetachedLegato,
    "arpeggio": expressions.ArpeggioMark,
    "trill": expressions.Trill,
    "mordent": expressions.Mordent,
    "inverted mordent": expressions.InvertedMordent,
    "turn": expressions.Turn,
    "crescendo": dynamics.Crescendo,
    "diminuendo": dynamics.Diminuendo,
}
MEANINGS = {
    "slur": r"smooth|connected|legato|join",
    "repeat signs": r"again$|^repeat$|twice|repeat the music",
    "tie": r"(as|^)( )?one note$|play once|both notes|not play again|hold the note$",
    "fermata": r"longer|pause|^hold$",
    "accent": r"stress|accent|^(play )?louder$|emphas|strongly",
    "segno": r"from (here|the sign)|sign to repeat|back to here",
    "coda sign": r"ending|coda",
    "pedal signs": r"pedal",
    "octave sign": r"higher",
    "staccatissimo": r"(very|extra) (short|detached)|shorter",
    "arpeggio": r"after another|roll|spread|broken|harp|bottom up",
    "trill": r"(with|and) the (note|one) above",
    "portato": r"(slightly|a little) detached|between|moderately short",
    "mordent": r"note below",
    "inverted mordent": r"note above (?!,)|^once to the note above$|note above and back",
    "turn": r"round|above and .*below",
}
GLYPHS = {
    "fermata": "scripts.ufermata",
    "accent": "scripts.sforzato",
    "segno": "scripts.segno",
    "coda sign": "scripts.coda",
    "staccato": "scripts.staccato",
    "staccatissimo": "scripts.dstaccatissimo",
    "tenuto": "scripts.tenuto",
    "marcato": "scripts.umarcato",
    "portato": "scripts.uportato",
    "trill": "scripts.trill",
    "mordent": "scripts.mordent",
    "inverted mordent": "scripts.prall",
    "turn": "scripts.turn",
    "arpeggio": "scripts.arpeggio scripts.arpeggio scripts.arpeggio",
    "pedal signs": "pedal.Ped pedal.. pedal.*",
    "piano": "p",
    "forte": "f",
    "mezzo piano": "m p",
    "mezzo forte": "m f",
    "pianissimo": "p p",
    "fortissimo": "f f",
    "sforzando": "s f",
    "fortepiano": "f p",
}


def fits(name: str, meaning: str) -> bool:
    """Whether the sources give a sign that meaning."""
    if name in MEANINGS:
        return re.search(MEANINGS[name], meaning) is not None
    return glossary.fits(name, meaning)


def bars(exercise) -> dict[int, str]:
    """The sign of each bar by its first column; there is one, at the notes that it needs."""
    (staff,) = exercise.staves
    events, found, start = staff.events, {}, 0
    for column, event in enumerate(events):
        if not event.after:
            continue
        own = events[start : column + 1]
        assert len(own) == 2 and {one.clef for one in own} == {"treble"}
        notes = [[str(reading.theirs(p)) for p in one.pitches] for one in own]
        repeated = event.after == ":|."
        (name,) = [own[0].sign] if not repeated else ["repeat signs"]
        assert own[0].sign in (name, "") and (start == 0 or not repeated or events[start - 1].after)
        assert repeated == (start > 0 and events[start - 1].after == ".|:")
        assert own[1].sign in ("", f"{name} end")
        wanted = {
            "tie": [["A4"], ["A4"]],
            "octave sign": [["A5"], ["B5"]],
            "arpeggio": [["F4", "A4", "C5"], ["A4"]],
        }
        assert notes == wanted.get(name, [["A4"], ["B4"]]) and own[0].tied == (name == "tie")
        found[start] = name
        start = column + 1
    assert start == len(events)
    return found


def check(exercise):
    """Each box stands at a sign; its name, its meaning or its number in the list is the sign's."""
    signs = bars(exercise)
    blanks = {blank.column: blank for blank in exercise.blanks}
    assert set(blanks) == set(signs) and len(set(signs.values())) == len(signs)
    for column, name in signs.items():
        blank = blanks[column]
        assert name in CLASSES or glossary.loudness(name) >= 0
        if blank.asks == "sign":
            assert blank.answer == name
        elif blank.asks == "meaning":
            assert all(fits(name, text) for text in (blank.answer, *blank.also))
        else:
            fitting = [
                number
                for number, entry in enumerate(exercise.choices, 1)
                if entry == name or fits(name, entry)
            ]
            assert fitting == [int(blank.answer)], (name, exercise.choices)


def test_signs():
    for answer in ("number", "name", "meaning"):
        for exercise in reading.sample("signs", seeds=15, keys=reading.ALL_KEYS[:1], answer=answer):
            check(exercise)


def test_every_sign_has_its_sources():
    for sign in SIGNS:
        assert all(fits(sign.name, text) for text in (sign.meaning, *sign.also)), sign.name
        assert sign.name in CLASSES or glossary.loudness(sign.name) >= 0


def test_signs_that_may_stand_together_are_told_apart():
    for one, other in permutations(SIGNS, 2):
        if not one.senses & other.senses:
            assert not fits(one.name, other.meaning), (one.name, other.name)


TEMPLATE = """
title = "Signs"

[[section]]
family = "signs"
answer = "name"
stage = ["first", "second", "third", "fourth", "fifth"]
count = 7
points = 1
"""


def test_what_is_drawn(tmp_path):
    """The glyph of each bar is that of the sign; every sign with a glyph is seen."""
    (tmp_path / "signs.toml").write_text(TEMPLATE, "utf-8")
    (tmp_path / "roster.csv").write_text("student,template,keys\nAda,signs,C major\n", "utf-8")
    (made,) = build(tmp_path / "roster.csv", tmp_path / "out", template_dir=tmp_path)
    seen: set[str] = set()
    items = key_items(json.loads((made.folder / "key.json").read_text("utf-8")))
    pictures = drawn.pictures(made.folder / "workbook.pdf")
    for item, (_, printed, _) in zip(items, pictures, strict=True):
        found = [
            name for _, _, name in sorted(printed.signs) if re.match(r"scripts|pedal|.$", name)
        ]
        names = [blank["answer"] for blank in item["blanks"]]
        assert found == " ".join(GLYPHS.get(name, "") for name in names).split()
        seen.update(names)
    assert len(seen & set(GLYPHS)) >= 15
