"""Exercises in words: what is printed is told, and no answer of the workbook."""

import re
from dataclasses import replace
from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.in_words import in_words
from workbook.exercises.model import DRAWN
from workbook.music.keys import ALL_KEYS, Key
from workbook.music.naming import Naming
from workbook.music.naming import in_words as spoken
from workbook.music.pitch import above, pitch

_COUNTS = re.compile(r"(\d+) to fill|(\d+) box(?:es)? to fill")


def samples(family, given=0, naming=Naming()):
    kind = FAMILIES[family]
    choices = [{name: value} for name, values in kind.settings.items() for value in values] or [{}]
    for number, which in enumerate((Key("D", "major"), Key("G", "minor"), ALL_KEYS[0])):
        for hand in ("right", "left", "both") if kind.by else ("right",):
            for choice in choices:
                if choice.get("forms") in (None, "major") and not kind.problem(choice, which, hand):
                    request = Request(which, hand, kind.asks, given, 2, choice, naming)
                    yield kind.make(request, Random(f"{number}{hand}{choice}"))


def other(blank):
    """The blank with an answer that stands nowhere else."""
    return blank._replace(answer="Quux", also=(), versions=())


def redrawn(event):
    """The event with another answer where the student writes it."""
    if event.pen:
        event = event._replace(value="16", rest=not event.rest, beam="", tied=False)
    return event._replace(after="") if event.pen_bar else event


def disguised(exercise):
    """The exercise with other answers: to its boxes, and on its staves and keys."""
    blanks = tuple(b if b.given else other(b) for b in exercise.blanks)
    staves = tuple(
        replace(
            staff,
            events=tuple(
                redrawn(event)._replace(
                    pitches=tuple(
                        above(p, "M9") if p in event.written else p for p in event.pitches
                    ),
                    written=tuple(above(p, "M9") for p in event.written),
                )
                for event in staff.events
            ),
        )
        for staff in exercise.staves
    )
    figure = exercise.figure
    if getattr(figure, "shaded", ()):
        figure = replace(figure, shaded=figure.shaded[:1])
    return replace(exercise, blanks=blanks, staves=staves, figure=figure)


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("given", (0, 2))
def test_the_workbooks_words_do_not_depend_on_the_answers(family, given):
    for exercise in samples(family, given):
        told = in_words(exercise)
        if exercise.signed or not any(b.asks == "signature" for b in exercise.blanks):
            assert told == in_words(disguised(exercise)), family
        assert "Quux" not in in_words(disguised(exercise))


@pytest.mark.parametrize("family", FAMILIES)
def test_every_answer_and_every_box_is_told(family):
    for exercise in samples(family):
        told, answers = in_words(exercise), in_words(exercise, answered=True)
        assert told.startswith(spoken(exercise.label))
        assert told.isprintable() and not set("♯♭𝄪𝄫") & set(told + answers)
        boxes = [b for b in exercise.asked if b.asks not in DRAWN]
        for blank in boxes:
            assert spoken(blank.answer) in answers
        counts = sum(int(one or many) for one, many in _COUNTS.findall(told))
        assert counts + told.count("a box to fill") == len(boxes), told


VALUES = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "sixteenth"}


@pytest.mark.parametrize(
    "family",
    [
        "note-values",
        "counting",
        "time-signatures",
        "bar-completion",
        "bar-lines",
        "beaming",
        "rhythm-copying",
        "ties",
        "periods",
    ],
)
def test_a_rhythm_is_told(family):
    """All its values, rests, ties and bar lines; in the workbook none that is to be written."""
    for exercise in samples(family):
        events = [event for staff in exercise.staves for event in staff.events]
        for answered in (False, True):
            music = in_words(exercise, answered=answered).partition(":")[2]
            told = ". ".join(music.split(". ")[: len(exercise.staves)])
            shown = [event for event in events if answered or not event.pen]
            names = ["dotted " * e.value.count(".") + VALUES[e.value.rstrip(".")] for e in shown]
            names = [name.replace("dotted dotted", "double dotted") for name in names]
            found = re.findall(
                r"((?:double )?(?:dotted )?[a-z]+) (note|rest)(?: tied to the next)?"
                r"(?:, (?:a beam begins|the beam ends))?(?: \((\d+) times\))?(?=[,.]|$)",
                told,
            )
            said = [(name, kind) for name, kind, many in found for _ in range(int(many or 1))]
            if answered or not any(blank.asks == "called" for blank in exercise.blanks):
                kinds = ["rest" if event.rest else "note" for event in shown]
                assert said == list(zip(names, kinds)), told
            else:
                words = {word for name in names for word in name.split()}
                assert not words & set(re.findall("[a-z]+", told)), told
            bars = [e for e in events if e.after in ("|", "||", "break")]
            drawn = [e for e in bars if answered or not e.pen_bar]
            assert told.count("bar line") == len(drawn), told
            assert told.count("tied to the next") == sum(e.tied for e in shown)
            if family == "beaming":
                assert told.count("a beam begins") == sum(e.beam == "[" for e in shown)


def test_note_values_that_are_asked_are_told_by_their_looks():
    """As any primer draws them."""
    exercise = next(iter(samples("note-values")))
    event = exercise.staves[0].events[0]
    looks = {
        ("1", False): "open note head without a stem",
        ("2.", False): "open note head with a stem and a dot",
        ("4", False): "filled note head with a stem",
        ("16", False): "filled note head with a stem and two flags",
        ("1", True): "block that hangs from the line",
        ("2", True): "block that stands on the line",
        ("8", True): "rest with one hook",
    }
    asked = (exercise.blanks[0]._replace(asks="called"),)
    for (value, rest), text in looks.items():
        one = event._replace(value=value, rest=rest, pitches=() if rest else event.pitches)
        staff = replace(exercise.staves[0], events=(one._replace(after="|."),))
        told = in_words(replace(exercise, staves=(staff,), blanks=asked))
        assert f"Percussion clef: {text}." in told


def test_names_of_notes_that_are_asked_are_not_told():
    for exercise in samples("note-names"):
        told = in_words(exercise).removeprefix(spoken(exercise.label))
        assert not re.search(r"\b[A-G]( sharp| flat)? ?\d", told), told
        assert "line" in told or "space" in told


def test_places_on_the_staff_and_signs():
    """Against the lines and spaces as every primer names them (E G B D F; G B D F A)."""
    exercise = next(iter(samples("note-names")))
    event = exercise.staves[0].events[0]
    places = {
        "E4": "first line", "F4": "first space", "F5": "fifth line", "D4": "just below the staff",
        "C4": "on the first ledger line below the staff", "B3": "just below the first ledger line",
        "G5": "just above the staff", "A5": "on the first ledger line above the staff",
        "C6": "on the second ledger line above the staff", "C#5": "third space, with a sharp",
    }  # fmt: skip
    for name, place in places.items():
        one = event._replace(pitches=(pitch(name),), clef="treble", ottava=0)
        staff = replace(exercise.staves[0], events=(one,))
        told = in_words(replace(exercise, staves=(staff,), signed=False))
        assert f"Treble clef: {place}." in told
    bass = event._replace(pitches=(pitch("A3"),), clef="bass", ottava=0)
    staff = replace(exercise.staves[0], events=(bass,))
    assert "Bass clef: fifth line." in in_words(replace(exercise, staves=(staff,), signed=False))


def test_names_follow_the_naming():
    exercise = next(iter(samples("scale-fingering", naming=Naming("german"))))
    assert "Fis 4" in in_words(exercise, Naming("german"), answered=True)
    assert "F sharp 4" in in_words(exercise)


@pytest.mark.parametrize(
    "text, told",
    [
        ("B♭ major", "B flat major"),
        ("F♯m7", "F sharp m7"),
        ("C♯°", "C sharp°"),
        ("F𝄪, B𝄫", "F double sharp, B double flat"),
        ("V6/5/V", "V6/5/V"),
    ],
)
def test_signs_in_words(text, told):
    assert spoken(text) == told
