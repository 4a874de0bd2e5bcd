"""Figured basses, realized as music21 realizes them.

Source: music21's ``figuredBass.realizerScale`` says which notes a bass and its figures ask for
in a key, its ``voiceLeading`` where fifths or octaves are parallel.
"""

from functools import cache
from itertools import pairwise

from music21.figuredBass import realizerScale as m21realizerScale
from reading import answers, read, sample, theirs
from test_cadence_writing import led
from test_harmony_families import columns, home, key_of

from workbook.music.keys import ALL_KEYS

SIGNS = {"♯": "#", "𝄪": "#", "♮": "n"}
"""A sharp raises the note of the signature, whatever that is."""


@cache
def asked(tonic: str, mode: str, bass: str, figure: str) -> tuple[str, ...]:
    """The note names from the bass up that figures ask for."""
    scale = m21realizerScale.FiguredBassScale(tonic, mode)
    return tuple(scale.getPitchNames(bass, SIGNS.get(figure, figure.replace("/", ","))))


def check(exercise):
    right, left = exercise.staves
    tonic, mode = exercise.key.tonic.replace("b", "-"), exercise.key.mode
    printed = {blank.column: blank for blank in answers(exercise, "figure")}
    written = {blank.column: blank for blank in answers(exercise, "notes", "right")}
    assert len(printed) + len(written) == len(exercise.blanks)
    sounding = columns(exercise)
    tonality = home(*key_of(exercise))
    leading = tonality.getLeadingTone().name
    own = {p.name for p in tonality.pitches[:6]} | {leading}
    for column, notes in enumerate(sounding):
        figure = printed[column].answer if column in printed else ""
        bass = theirs(left.events[column].pitches[0])
        assert bass.name in own
        wanted = asked(tonic, mode, bass.nameWithOctave, figure)
        rooted = figure in ("", "7", *SIGNS)
        may_lack = {wanted[2]} if rooted else set()
        assert len(notes) == 4 and notes[0] == bass and figure != "5/3"
        for names in ([p.name for p in notes[1:]], *others(written.get(column))):
            assert {*names, bass.name} <= set(wanted), (exercise.prompt, column, names)
            assert set(wanted) - {*names, bass.name} <= may_lack
            assert len(names) == 3
            if leading in wanted[:1] or figure in SIGNS:
                assert [*names, bass.name].count(leading) <= 1
        assert not left.events[column].written
        assert (column in written) == bool(right.events[column].written)
    for a, b in pairwise(sounding):
        led(a, b)
    assert 0 not in written and written
    assert printed or exercise.settings["figures"] == "root position"


def others(blank) -> list[list[str]]:
    return [[read(name) for name in other.split()] for other in blank.also] if blank else []


def test_figured_basses():
    for exercise in sample("figured-bass", 3, ALL_KEYS[::4]):
        check(exercise)


def test_the_fifth_degree_of_minor_has_the_sign_of_its_third():
    signs = {
        blank.answer
        for exercise in sample("figured-bass", 1, [k for k in ALL_KEYS if k.minor])
        for blank in answers(exercise, "figure")
    }
    assert signs >= set(SIGNS)
