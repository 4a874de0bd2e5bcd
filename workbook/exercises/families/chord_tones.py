"""Chord tones: which notes of a melody belong to their chords, and what the others are."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import CHORD, NUMERAL, AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.spellings import moved
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music import progressions
from workbook.music.chords import Harmony, inversion
from workbook.music.embellishments import (
    ACCENTED,
    ANTICIPATION,
    APPOGGIATURA,
    ESCAPE,
    NEIGHBOR,
    PASSING,
    SUSPENSION,
    embellishment,
)
from workbook.music.melodies import Plan, melody
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, pitch, semitone, staff_degree
from workbook.music.register import LOWEST_CHORD, most_lines

TONES = {
    "": ("CT", ("chord tone", "C", "harmony note", "H")),
    PASSING: ("PT", ("passing tone", "passing note", "passing", "P")),
    NEIGHBOR: (
        "NT",
        ("neighbor tone", "neighbor", "neighbour", "auxiliary", "auxiliary note", "N"),
    ),
    SUSPENSION: ("SUS", ("suspension", "S")),
    APPOGGIATURA: ("APP", ("appoggiatura",)),
    ESCAPE: ("ET", ("escape tone", "escape", "escaped note", "ESC")),
    ANTICIPATION: ("ANT", ("anticipation",)),
}
"""The answer for each kind of note, and what else is accepted: common practice, no source."""
FOREIGN = "NCT", ("non-chord tone", "nonchord tone", "nonharmonic tone", "NHT", "NCN")
_CHORDS = {
    "primary": ("I IV V I", "I V IV I", "I V I I", "I IV I I", "I I V I", "I I IV I"),
    "diatonic": ("I ii V I", "I vi V I", "I IV V vi", "I ii V7 I", "I iii IV I", "I IV V7 I"),
}
"""Three measures and the note that ends them."""
_ADDED = {
    "chord or not": (PASSING, NEIGHBOR),
    "passing": (PASSING,),
    "passing and neighbor": (PASSING, NEIGHBOR),
    "suspension": (PASSING, NEIGHBOR, SUSPENSION),
    "all": (PASSING, NEIGHBOR, SUSPENSION, APPOGGIATURA, ESCAPE, ANTICIPATION),
}
_MEASURES, _TRIES = 3, 400
LONG = 4
"""Notes in a measure that make two lines of music."""
LOWEST_TUNE = pitch("B3")
"""The lowest note of a melody over chords in the left hand."""


def _plan(count: int, kinds: Sequence[str], rng: Random) -> list[str | None]:
    """One or two non-chord tones in each measure, no two side by side, each of the first three
    ``kinds`` once and as many others as there is room for.
    """
    found: list[str | None] = [None] * (_MEASURES * count + 1)
    wanted = [*kinds[:3], *rng.sample(kinds[3:], min(2, len(kinds[3:])))]
    wanted += rng.choices(kinds[:2], k=max(0, _MEASURES + 1 - len(wanted)))
    for kind in wanted:
        free = [
            place
            for place in range(1, len(found) - 1)
            if not any(found[place - 1 : place + 2]) and _suits(kind, place, count)
        ]
        if free:
            found[rng.choice(free)] = kind
    return found


def _suits(kind: str, place: int, count: int) -> bool:
    """Whether a kind of non-chord tone may stand at a place of the melody."""
    if kind in ACCENTED:
        return place % count == 0
    return place % count == count - 1 if kind == ANTICIPATION else place % count > 0


def _melody(request: Request, rng: Random) -> tuple[list[Harmony], Plan, tuple[Pitch, ...]]:
    """The chord and the kind of each note, and the notes."""
    count, kinds = request.settings["notes"], _ADDED[request.settings["tones"]]
    for _ in range(_TRIES):
        text = rng.choice(_CHORDS[request.settings["chords"]])
        line = progressions.chords(request.key, text)
        chords = [*(chord for chord in line[:_MEASURES] for _ in range(count)), line[-1]]
        plan = _plan(count, kinds, rng)
        if not set(kinds[:3]) <= set(plan):
            continue
        root = line[-1].root(4)
        found = melody(request.key, chords, plan, rng, lambda p: p.step == root.step)  # noqa: B023
        if found:
            return chords, plan, found
    raise ValueError("chance found no melody over these chords")


def tone_answer(
    notes: Sequence[Pitch], plan: Plan, here: int, named: bool, request: Request
) -> tuple[str, tuple[str, ...]]:
    """What the note is, and what else is accepted; ``named`` names the kind of foreign note."""
    if plan[here] is None:
        return TONES[""]
    kind = embellishment(*notes[here - 1 : here + 2])
    answer, also = TONES[kind or ""] if named else FOREIGN
    return (answer, (*also, "AUX") if kind == NEIGHBOR and request.naming.british else also)


def _under(chords: Sequence[Harmony], notes: Sequence[Pitch], count: int) -> Columns:
    """Each measure's chord in the left hand where it begins, below the melody and close to the
    chord before.
    """
    columns: Columns = [()] * len(chords)
    before = None
    for start in range(0, len(chords), count):
        low = min(map(semitone, notes[start : start + count]))
        before = columns[start] = _close(chords[start], low, before)
    return columns


def _close(chord: Harmony, under: int, before: tuple[Pitch, ...] | None) -> tuple[Pitch, ...]:
    """A close position below a note, on the staff, with the least motion from the one before;
    the first is the root position.
    """
    ways = [
        notes
        for at in (1, 2, 3)
        for number in range(3)
        for notes in [inversion(chord.tones(at), number)]
        if semitone(notes[-1]) < under and _on_staff(notes)
    ]
    if before is None:
        rooted = [notes for notes in ways if notes[0].step == chord.root(4).step]
        return min(rooted or ways, key=lambda notes: (most_lines(notes, "left"), -notes[0].octave))
    return min(
        ways,
        key=lambda notes: (
            most_lines(notes, "left"),
            sum(min(abs(semitone(p) - semitone(q)) for q in before) for p in notes),
        ),
    )


def _on_staff(notes: tuple[Pitch, ...]) -> bool:
    return most_lines(notes, "left") <= 2 and staff_degree(notes[0]) >= LOWEST_CHORD


def _over_chords(columns: Columns) -> bool:
    """Whether a melody leaves room for chords in the left hand: it is in octave 4 or so."""
    return min(staff_degree(p) for (p,) in columns) >= staff_degree(LOWEST_TUNE)


def _labels(chords: Sequence[Harmony], side: str, request: Request) -> list[Blank]:
    """The printed name or numeral of each measure's chord."""
    asks = request.settings["names"]
    found = []
    for column in range(0, len(chords), request.settings["notes"]):
        chord = chords[column]
        name = chord.symbol(request.naming.note) if asks == "chord" else chord.numeral
        found.append(Blank(asks, side, column, None, chord.tones(4), name, given=True))
    return found


def _make(request: Request, rng: Random) -> Exercise:
    settings, count = request.settings, request.settings["notes"]
    chords, plan, tune = _melody(request, rng)
    side = "left" if request.hand == "left" else "right"

    def music(at: int) -> Columns:
        return [(moved(p, at - 4),) for p in tune]

    if request.hand == "both":
        sides = {"right": next(filter(_over_chords, map(music, range(3, 6))))}
    else:
        sides = fit_register(request, music, rng)
    named = settings["tones"] != "chord or not"
    blanks = [
        Blank("tone", side, column, None, notes, *tone_answer(tune, plan, column, named, request))
        for column, notes in enumerate(sides[side])
    ]
    if request.hand == "both":
        sides["left"] = _under(chords, [p for (p,) in sides["right"]], count)
    bars = bar_lines(len(tune), count)
    if count == LONG:
        bars[2 * count - 1] = "break"
    return Exercise(
        request.key,
        request.hand,
        _task(settings["tones"], request.naming),
        wording.label(request, by="clef"),
        printed_staves(sides, "1", bars),
        (*give(blanks, request.given, rng), *_labels(chords, side, request)),
    )


def _task(tones: str, naming: Naming) -> str:
    """What to write at each note: the abbreviations that the setting has."""
    own = f"chord {'note' if naming.british else 'tone'}"
    if tones == "chord or not":
        return f"Write CT at each {own} and NCT at each note that is foreign to its chord."
    names = {kind: kind for kind in _ADDED[tones]} | {ESCAPE: "escape tone"}
    names |= {PASSING: "passing tone", NEIGHBOR: "neighbor tone"}
    if naming.british:
        names |= {PASSING: "passing note", NEIGHBOR: "auxiliary note", ESCAPE: "escape note"}
    words = [f"{TONES[kind][0]} ({names[kind]})" for kind in _ADDED[tones]]
    first = ", ".join([f"CT ({own})", *words[:-1]])
    return f"Write what each note is: {first} or {words[-1]}."


TONE = AnswerKind("tone", "whether a note belongs to its chord, or what it is", 13.5)
FAMILY = Family(
    name="chord-tones",
    title="Non-chord tones",
    british="Non-chord notes",
    kinds=(TONE,),
    settings={
        "tones": Setting(
            tuple(_ADDED),
            "passing and neighbor",
            skill=True,
            about="what occurs in the melody; `chord or not` does not ask for the kind",
        ),
        "chords": Setting(tuple(_CHORDS), "primary", about="`primary` are I, IV and V"),
        "notes": Setting((3, 4), 4, about="notes in a measure"),
        "names": Setting(
            ("chord", "numeral"), "chord", about="how the chords are named above or below"
        ),
    },
    studied=False,
    maker=_make,
    by="clef",
    others=(CHORD, NUMERAL),
)
