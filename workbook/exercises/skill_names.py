"""A skill in words, for pages that a teacher or a parent reads.

In: the name of a skill (see ``Family.skill``). Out: ``"Note values with eighths, counted in
beats"``, ``"Scale fingering, left hand, harmonic minor"``. Default settings are not named.
"""

from __future__ import annotations

from functools import cache, lru_cache

from workbook.exercises.families import FAMILIES
from workbook.exercises.family import part_of
from workbook.exercises.settings import FORMS
from workbook.music.naming import Naming

_SIDES = {
    ("hand", "right"): "right hand",
    ("hand", "left"): "left hand",
    ("hand", "both"): "hands together",
    ("clef", "treble"): "treble clef",
    ("clef", "bass"): "bass clef",
    ("clef", "both"): "treble and bass",
}
_STAGES: dict[object, str] = {
    word: f"stage {number}"
    for number, word in enumerate(("first", "second", "third", "fourth", "fifth"), 1)
}
_POSITIONS: dict[object, str] = {
    "root": "root position",
    "1st": "1st inversion",
    "2nd": "2nd inversion",
    "3rd": "3rd inversion",
}
_MINOR: dict[object, str] = {form: f"{form} minor" for form in ("natural", "harmonic", "melodic")}
WORDS: dict[str, dict[object, str]] = {
    "answer": {
        "number": "by number",
        "step or skip": "named as steps or skips",
        "inversion": "to be inverted",
        "name": "to be named",
        "meaning": "with their meanings",
    },
    "apart": {
        "octave": "an octave apart",
        "third": "a third apart",
        "sixth": "a sixth apart",
        "tenth": "a tenth apart",
    },
    "begun": {"measure": "one repeat given", "note": "from the first note"},
    "cadential": {True: "with cadential six-fours", False: "without cadential six-fours"},
    "chord": {
        "tonic": "tonic chord",
        "tonic triad": "tonic triad",
        "dominant seventh": "dominant seventh",
        "diminished seventh": "diminished seventh",
    },
    "chords": {
        "Neapolitan": "Neapolitan",
        "augmented sixths": "augmented sixths",
        "all": "all kinds",
        "I V": "with I and V",
        "I IV V": "with I, IV and V",
        "I IV V7": "with I, IV and V7",
        "I ii IV V7 vi": "with I, ii, IV, V7 and vi",
    },
    "copy": {"doubled": "in doubled values", "halved": "in halved values"},
    "direction": {
        "above": "above a note",
        "below": "below a note",
        "up": "going up",
        "down": "going down",
        "both": "up and down",
    },
    "figures": {
        "root position": "in root position",
        "sixths": "with sixths",
        "six-fours": "with six-fours",
        "sevenths": "with sevenths",
    },
    "forms": {"major": "major", **_MINOR},
    "from": {
        "any": "from any note",
        "tonic": "from the tonic",
        "treble": "from the treble clef",
        "bass": "from the bass clef",
    },
    "inversions": {True: "with inversions", False: "in root position"},
    "kinds": {
        "authentic": "authentic",
        "authentic and half": "authentic and half",
        "without deceptive": "all but deceptive",
        "PAC IAC HC": "PAC, IAC and HC",
        "all": "all kinds",
    },
    "label": {
        "position": "by position",
        "figure": "by figures",
        "quality": "by quality",
        "number": "by number",
    },
    "list": {"meanings": "from a list of meanings", "names": "from a list of names"},
    "metre": {
        "simple": "simple time",
        "compound": "compound time",
        "both": "simple and compound time",
    },
    "minor": _MINOR,
    "missing": {"note": "missing notes", "rest": "missing rests"},
    "motion": {"parallel": "parallel motion", "contrary": "contrary motion"},
    "notes": {
        "melodic": "melodic",
        "harmonic": "harmonic",
        "key": "notes of the key",
        "chromatic": "with accidentals",
        1: "one note to a chord",
        **{count: f"{count} notes to a chord" for count in (2, 3, 4)},
    },
    "octaves": {1: "1 octave", **{count: f"{count} octaves" for count in (2, 3, 4)}},
    "order": {
        "climbing": "climbing",
        "mixed": "in mixed order",
        "question first": "question first",
        "either": "question or answer first",
        "tempo": "by tempo",
        "dynamics": "by loudness",
    },
    "pattern": {
        "blocked": "blocked",
        "broken": "broken",
        "alberti": "Alberti bass",
        "waltz": "waltz",
        "four-note": "in four-note patterns",
    },
    "position": _POSITIONS,
    "printed": {"flags": "from flags", "wrong beams": "wrong beams to mend"},
    "qualities": {
        "major and minor": "major and minor",
        "natural": "as in the key",
        "all": "all qualities",
    },
    "quality": {True: "with their quality", False: "without their quality"},
    "range": {
        "staff": "on the staff",
        "middle C": "around middle C",
        "C position": "in C position",
    },
    "sequence": {
        "step down": "falling by step",
        "step up": "rising by step",
        "third down": "falling by thirds",
        "third up": "rising by thirds",
    },
    "sevenths": {True: "with sevenths", False: "without sevenths"},
    "shape": {
        "scale": "scales",
        "notes": "single notes",
        "tonic triad": "tonic triad",
        "subdominant triad": "subdominant triad",
        "dominant triad": "dominant triad",
    },
    "shown": {"words": "from words", "letters": "from letters"},
    "signature": {"accidentals": "with accidentals", "printed": "with key signature"},
    "size": {
        "steps and skips": "steps and skips",
        "to the fifth": "up to the fifth",
        "to the octave": "up to the octave",
        "compound": "compound",
    },
    "stage": _STAGES,
    "start": {name: f"from {words}" for name, words in _POSITIONS.items()},
    "style": {"close": "close style", "keyboard": "keyboard style"},
    "subject": {
        "all": "all subjects",
        **{one: one for one in ("tempo", "dynamics", "articulation", "character", "form", "pedal")},
        "degree": "words of degree",
    },
    "task": {
        "name": "to be named",
        "write": "to be written",
        "resolve": "to be resolved",
        "relatives": "relative keys",
        "order": "order of sharps and flats",
        "beats": "counted in beats",
        "ratio": "compared",
        "meaning": "meanings",
        "word": "words for meanings",
        "one note": "one note for tied ones",
        "two notes": "two tied notes for one",
    },
    "tied": {True: "with ties", False: "without ties"},
    "tones": {
        "chord or not": "chord tone or not",
        "passing": "passing",
        "passing and neighbor": "passing and neighbor",
        "suspension": "suspensions",
        "all": "all kinds",
    },
    "values": {
        "quarters": "with quarters",
        "eighths": "with eighths",
        "dotted": "with dotted notes",
        "sixteenths": "with sixteenths",
        "double dotted": "with double dotted notes",
    },
}
"""The words for each value of a setting that makes another skill."""
_BRITISH = {
    "with quarters": "with crotchets",
    "with eighths": "with quavers",
    "with sixteenths": "with semiquavers",
    "chord tone or not": "chord note or not",
    "passing and neighbor": "passing and neighbour",
}
_FIRST = ("values",)
"""Settings that are named before the others, without a comma if nothing is between."""


@lru_cache(2000)
def skill_name(skill: str, naming: Naming, key: bool = False) -> str:
    """A skill in words; the name itself if its family is not known.

    With ``key``, the name of a key follows, so that major and minor are not named twice.
    """
    name, *parts = skill.split("/")
    if name == "played":
        return f"Played: {skill_name('/'.join(parts), naming, key)}"
    family = FAMILIES.get(name)
    if family is None:
        return skill
    side = _SIDES.get((family.by, parts[0]), "") if parts else ""
    if side:
        parts = parts[1:]
    first: list[str] = []
    others: list[str] = []
    for part in parts:
        setting, words = _parts(name).get(part, ("", part))
        if key and setting == FORMS:
            words = part.removeprefix("major")
        told = _BRITISH.get(words, words) if naming.british else words
        (first if setting in _FIRST else others).append(told)
    title = family.title_in(naming)
    if not side and first:
        title = f"{title} {first.pop()}"
    return ", ".join(filter(None, [title, side, *first, *others]))


@cache
def _parts(family: str) -> dict[str, tuple[str, str]]:
    """Each part that a skill of a family may have, with its setting and its words."""
    return {
        (part := part_of(name, value)): (name, WORDS.get(name, {}).get(value, part))
        for name, setting in FAMILIES[family].settings.items()
        if setting.skill
        for value in setting.values
    }
