"""What is engraved sounds as the answer key says: LilyPond's MIDI of the same source."""

from dataclasses import replace
from random import Random

import pytest
import reading
from midi import play

from workbook.music.keys import parse_key

KEYS = tuple(map(parse_key, ("C major", "Cb major", "A# minor")))
STAVES = reading.on_staves()


def sample(step):
    """For every family with staves and one in ``step`` of the keys and hands one exercise,
    and scales of four octaves, which have octave lines."""
    yield from reading.sample("scale-fingering", keys=KEYS, octaves=4)
    for family in STAVES:
        found = {}
        for exercise in reading.sample(family, keys=KEYS):
            found.setdefault((exercise.key, exercise.hand), []).append(exercise)
        for place, some in list(found.items())[::step]:
            yield Random(f"{family}{place}").choice(some)


def compare(exercise, played) -> None:
    for staff in exercise.staves:
        wanted = [
            sorted(int(reading.theirs(p).ps) for p in event.pitches)
            for before, event in zip((None, *staff.events), staff.events, strict=False)
            if event.pitches and not (before and before.tied)  # tied notes sound as one
        ]
        found = played.get(staff.hand)
        notes = found.notes if found else {}
        # each column lasts a whole note, in which its note begins near the middle
        assert len({int(at // 4) for at in notes}) == len(notes)
        assert [sorted(notes[at]) for at in sorted(notes)] == wanted
        signatures = [e.signature for e in staff.events if e.signature] or (
            [exercise.key] if exercise.signed else []
        )
        sharps = [
            reading.m21key.Key(key.tonic.replace("b", "-"), key.mode).sharps for key in signatures
        ]
        if found or sharps:
            assert found.sharps == sharps, exercise.prompt


def count(pair) -> int:
    return sum(len(keys) for staff in pair[1].values() for keys in staff.notes.values())


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(4, id="some"),
        pytest.param(1, id="every", marks=pytest.mark.sweep),
    ],
)
def music(request, tmp_path_factory):
    exercises = [exercise for exercise in sample(request.param) if exercise.staves]
    return list(zip(exercises, play(exercises, tmp_path_factory.mktemp("midi"))))


def test_every_note_sounds_as_the_answer_key_has_it(music):
    assert (
        sum(
            any(event.ottava for staff in exercise.staves for event in staff.events)
            for exercise, _ in music
        )
        > 5
    )
    print(f"\n{len(music)} exercises, {sum(map(count, music))} notes")
    assert {exercise.family for exercise, _ in music} == set(STAVES) and len(music) > 100
    for exercise, played in music:
        compare(exercise, played)


def test_a_wrong_note_or_signature_is_noticed(music):
    for exercise, played in music[::5]:
        staff = exercise.staves[-1]
        column = next((n for n, event in enumerate(staff.events) if event.pitches), None)
        if column is not None:
            event = staff.events[column]
            low = event.pitches[0]
            low = low._replace(signs=low.signs + (1 if low.signs < 1 else -1))
            events = (
                *staff.events[:column],
                event._replace(pitches=(low, *event.pitches[1:])),
                *staff.events[column + 1 :],
            )
            with pytest.raises(AssertionError):
                compare(
                    replace(
                        exercise, staves=(*exercise.staves[:-1], replace(staff, events=events))
                    ),
                    played,
                )
        if exercise.signed and not any(e.signature for e in staff.events):
            with pytest.raises(AssertionError):
                compare(replace(exercise, key=parse_key("D major")), played)
