"""Signs beside the notes: their names, what they mean, what they look like.

Sources as in ``terms``, and LilyPond's Notation Reference ("Expressive marks", "Repeats") for
which signs there are. Signs that stand for a word mean what the word means.
"""

from __future__ import annotations

from dataclasses import dataclass

from workbook.music.terms import TERMS

_WORDS = {term.word: term for term in TERMS}


@dataclass(frozen=True)
class Sign:
    """A sign by its ``name``, with other names, meaning and other meanings.

    ``looks`` says what is seen, to those who do not see it. ``span`` is how it stands at two
    notes: "first" at the first of them, "both" from one to the other, "tie" between two notes of
    one pitch, "chord" at a chord, "high" over notes an octave above the others, "bars" round
    them. Signs with a sense in common are not asked together.
    """

    name: str
    others: tuple[str, ...]
    subject: str
    stage: int
    meaning: str
    also: tuple[str, ...]
    looks: str
    span: str
    senses: frozenset[str]


def _split(text: str, by: str = ",") -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(by) if part.strip())


def _letters(word: str) -> Sign:
    """The letters that stand for a word of dynamics."""
    letters, *_ = _WORDS[word].short
    looks = f"the letter{'s' * (len(letters) > 1)} {letters}"
    return _of(word, f"{looks} | | first | {_SENSES.get(word, word)}", drawn=letters)


def _of(word: str, row: str, drawn: str = "") -> Sign:
    """The sign of a word, with the word's meaning: looks, other names, span, sense."""
    looks, others, span, sense = (part.strip() for part in row.split("|"))
    term = _WORDS[word]
    names = (*(name for name in term.short if name != drawn), *_split(others))
    return Sign(
        word,
        names,
        term.subject,
        min(term.stage, _EARLIER.get(word, term.stage)),
        term.meaning,
        term.also,
        looks,
        span,
        frozenset({sense}),
    )


def _own(stage: int, subject: str, row: str) -> Sign:
    """A sign that stands for no word: name, other names, meaning, other meanings, looks, span,
    sense.
    """
    name, others, meaning, also, looks, span, sense = (part.strip() for part in row.split("|"))
    return Sign(
        name,
        _split(others),
        subject,
        stage,
        meaning,
        _split(also),
        looks,
        span,
        frozenset({sense or name}),
    )


_EARLIER = {"tenuto": 3}
"""Words whose signs come before them."""
_SENSES = {"sforzando": "accent"}

SIGNS = (
    *map(_letters, ("piano", "forte", "mezzo piano", "mezzo forte", "pianissimo", "fortissimo")),
    *map(_letters, ("sforzando", "fortepiano")),
    _of("staccato", "a dot below the note | staccato dot | first | short"),
    _of("crescendo", "two lines that open to the right | crescendo hairpin | both | louder"),
    _of(
        "diminuendo",
        "two lines that close to the right "
        "| decrescendo, decresc., diminuendo hairpin, decrescendo hairpin | both | softer",
    ),
    _of("tenuto", "a short line below the note | tenuto mark, tenuto line | first | hold"),
    _of("marcato", "an open wedge, its point up | strong accent, marcato accent | first | accent"),
    _own(
        1,
        "articulation",
        "slur | legato, phrase mark, legato slur, slur mark | play smoothly "
        "| smooth, smoothly, connected, smooth and connected, legato, join the notes "
        "| a curve under two different notes | both |",
    ),
    _own(
        1,
        "form",
        "repeat signs | repeat, repeat sign, repeats, repeat bars, repeat marks, repeat bar lines "
        "| play again | repeat, play it again, play twice, repeat the music "
        "| thick bar lines with dots | bars |",
    ),
    _own(
        2,
        "articulation",
        "tie | tied notes, bind | hold as one note | one note, play once, hold for both notes, "
        "hold the note, do not play again | a curve under two notes of one pitch | tie | hold",
    ),
    _own(
        2,
        "tempo",
        "fermata | pause, hold, pause sign | hold the note longer | hold, pause, hold longer, "
        "longer, pause on the note | an arc with a dot, over the note | first | hold",
    ),
    _own(
        2,
        "articulation",
        "accent | accent mark, accent sign | play with stress | accented, stressed, stress, "
        "louder, with emphasis, emphasize, strongly, play louder "
        "| a small wedge, open to the left | first | accent",
    ),
    _own(
        3,
        "form",
        "segno | the sign, sign, segno sign | repeat from here | the sign to repeat from, "
        "repeat from the sign, go back to here | an S with a stroke and two dots | first |",
    ),
    _own(
        3,
        "form",
        "coda sign | coda | go to the ending | the ending, the coda, skip to the coda, "
        "go to the coda, jump to the coda, ending | a circle with a cross in it | first |",
    ),
    _own(
        3,
        "pedal",
        "pedal signs | pedal, Ped., pedal sign, pedal mark, pedal marks, damper pedal "
        "| pedal down and up | pedal, use the pedal, with the pedal, damper pedal, press the "
        "pedal, press and release the pedal | the letters Ped. and a star | both |",
    ),
    _own(
        3,
        "pitch",
        "octave sign | 8va, ottava, octave line, 8va sign, ottava alta | an octave higher "
        "| play an octave higher, one octave higher, eight notes higher "
        "| the figure 8 with a dashed line | high |",
    ),
    _own(
        4,
        "articulation",
        "staccatissimo | wedge, dash | very short | very short and detached, very detached, "
        "extra short, shorter than staccato | a filled wedge at the note | first | short",
    ),
    _own(
        4,
        "articulation",
        "arpeggio | broken chord, arpeggio sign, arpeggiato, rolled chord, spread chord "
        "| one note after another | roll the chord, spread the chord, rolled, broken, "
        "like a harp, from the bottom up | a wavy line before the chord | chord |",
    ),
    _own(
        4,
        "articulation",
        "trill | shake, tr | fast with the note above | alternate with the note above, "
        "alternate fast with the note above, the note and the one above in turn "
        "| the letters tr over the note | first | above",
    ),
    _own(
        5,
        "articulation",
        "portato | mezzo staccato, portamento, half staccato, semi-staccato | slightly detached "
        "| between legato and staccato, a little detached, moderately short "
        "| a line and a dot below the note | first | short",
    ),
    _own(
        5,
        "articulation",
        "mordent | lower mordent | once to the note below "
        "| note below and back | a short zigzag with a stroke | first |",
    ),
    _own(
        5,
        "articulation",
        "inverted mordent | upper mordent, short trill, prall trill, pralltriller, Schneller "
        "| once to the note above | note above and back | a short zigzag | first | above",
    ),
    _own(
        5,
        "articulation",
        "turn | gruppetto | round the note from above | above and below the note, "
        "note above and note below | an S on its side | first |",
    ),
)
NAMED = {sign.name: sign for sign in SIGNS}
