"""What LilyPond plays of an exercise's score: MIDI files, read by music21.

In: the same source that draws the exercises, with a ``\\midi`` block for each score's layout.
Out: for each exercise and staff the notes and key signatures as they sound.
See LilyPond's Notation Reference, "Creating MIDI output".
"""

import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from music21 import midi as m21midi

from workbook.engraving import lilypond, score, shares

BLOCK = r"""\midi { \context { \name "BoxRowAbove" \type "Performer_group" }
  \context { \name "BoxRowBelow" \type "Performer_group" }
  \context { \Score \accepts "BoxRowAbove" \accepts "BoxRowBelow" } }"""


@dataclass
class Played:
    """One staff: key numbers by the quarter in which they begin, and the signatures' sharps."""

    notes: dict[float, list[int]]
    sharps: list[int]


def play(exercises: Sequence, folder: Path) -> list[dict[str, Played]]:
    """Each exercise's staves, by hand."""
    # without its layout, which only says how wide to draw, a score is played and not drawn
    texts = [
        score.score_source(exercise).rpartition("\\layout")[0] + BLOCK + "\n}"
        for exercise in exercises
    ]
    (folder / "music.ly").write_text(shares.source(texts, book_size=len(texts)), encoding="utf-8")
    subprocess.run(
        [lilypond.find(), "--loglevel=ERROR", "-dno-print-pages", "-o", "music", "music.ly"],
        cwd=folder,
        check=True,
        timeout=600,
    )
    names = ["music.midi", *(f"music-{n}.midi" for n in range(1, len(texts)))]
    assert len(list(folder.glob("*.midi"))) == len(names)
    return [read(folder / name) for name in names]


def read(path: Path) -> dict[str, Played]:
    file = m21midi.MidiFile()
    file.open(str(path))
    file.read()
    file.close()
    found = {}
    for track in file.tracks:
        here, staff, name = 0, Played({}, []), ""
        for event in track.events:
            if isinstance(event, m21midi.DeltaTime):
                here += event.time
            elif event.type == m21midi.MetaEvents.SEQUENCE_TRACK_NAME:
                name = event.data.decode().split(":")[0]
            elif event.type == m21midi.MetaEvents.KEY_SIGNATURE:
                staff.sharps.append(int.from_bytes(event.data[:1], signed=True))
            elif event.isNoteOn():
                staff.notes.setdefault(here / file.ticksPerQuarterNote, []).append(event.pitch)
        if name:
            found[name] = staff
    return found
