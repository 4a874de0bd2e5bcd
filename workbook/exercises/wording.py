"""The wording of labels and tasks: what an exercise is called and what the student is to do."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from workbook.exercises.answers import AnswerKind
from workbook.exercises.model import Request
from workbook.music.keys import Key, signature
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, alteration, pitch

SIDE_WORDS = {
    "hand": {"right": "right hand", "left": "left hand", "both": "hands together"},
    "clef": {"right": "treble clef", "left": "bass clef", "both": "treble and bass"},
    "": {"right": "", "left": "", "both": ""},
}
"""What the sheet calls the hands that play, or the clefs that are read."""
OCTAVES = ("", "", "two octaves", "three octaves", "four octaves")
"""What a label says of a run over so many octaves."""


def label(request: Request, *details: str, by: str = "hand", form: str = "") -> str:
    """``"E♭ harmonic minor, left hand"``: names the music of one exercise."""
    return heading(request, request.naming.key(request.key, form), *details, by=by)


def heading(request: Request, *details: str, by: str = "hand") -> str:
    """A label that does not name the key: ``"Intervals above, treble clef"``."""
    words = ", ".join(filter(None, [*details, SIDE_WORDS[by][request.hand]]))
    return words[:1].upper() + words[1:]


def task(
    kinds: Iterable[AnswerKind], ask: Collection[str] | None = None, stacked: bool = False
) -> str:
    """What to do, in as few words as possible, for those of the ``kinds`` that ``ask`` names.

    ``stacked`` says that a chord's finger boxes are one above the other.
    """
    asked = [kind for kind in kinds if ask is None or kind.name in ask]
    fingers = any(kind.played for kind in asked)
    below = " The bottom box is for the lowest note." if stacked and fingers else ""
    return f"Write the {listed([kind.task for kind in asked])} in the boxes.{below}"


def listed(words: Sequence[str], last: str = "and") -> str:
    """``"a, b and c"``, with ``last`` before the last one."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"


def from_degree(degree: int) -> str:
    """``"from the 3rd degree"``, or "" for a scale that starts on its tonic."""
    if degree == 1:
        return ""
    return f"from the {({2: '2nd', 3: '3rd'}).get(degree, f'{degree}th')} degree"


def signs(key: Key, naming: Naming) -> str:
    """A key signature in words: ``"B♭ E♭"``, ``"none"``."""
    sign = "#" if key.fifths > 0 else "b"
    return " ".join(naming.note(pitch(f"{name}{sign}4")) for name in signature(key)) or "none"


def accidentals_task(signature: str, notes: Iterable[Pitch]) -> str:
    """What the task says of accidentals, for a value of the setting ``signature`` and the
    notes to be written.
    """
    if signature == "printed":
        return "Add the accidentals that the key signature does not give."
    if any(abs(alteration(p)) == 2 for p in notes):
        return "Give the notes the accidentals they need."
    return "Give each note the sharp or flat it needs."
