"""Words that say how music is played: what they mean, and from which stage on they are asked.

Sources, by the letter with each word: "G" is K. W. Gehrkens, *Music Notation and Terminology*
(1914), for tempi also his *Essentials in Conducting* (1919); "C" is the table of musical signs
and abbreviations in *Chambers's Twentieth Century Dictionary* (1908); "M" is from memory. Where
they differ the commoner meaning is the answer, and the other is accepted. Which stage a word
belongs to is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from random import Random
from typing import Protocol, TypeVar

STAGES = ("first", "second", "third", "fourth", "fifth")
"""How far a student is; each stage has the words of those before it, too."""
SUBJECTS = ("tempo", "dynamics", "articulation", "character", "form", "pedal", "degree")
"""What words are about. ``form`` is where to repeat and to end; ``degree`` are words such as
*poco*, which say how much."""

_LEAST = 3
"""The fewest things that are asked together."""
_SAME = {
    "soft": ("quiet", "softly", "quietly"),
    "softer": ("quieter",),
    "loud": ("loudly", "strong"),
    "fast": ("quick", "quickly"),
    "faster": ("quicker",),
    "slow": ("slowly",),
    "moderately": ("medium",),
    "gradually": ("getting", "becoming", "gradually getting"),
}
"""Words of a meaning that may take another's place, if it says a degree and no more."""
_DEGREES = frozenset({*_SAME, "very", "slower", "louder", "rather"})


class Staged(Protocol):
    """What is known from a stage on. Things with a sense in common are mistaken for each other."""

    @property
    def stage(self) -> int: ...

    @property
    def senses(self) -> frozenset[str]: ...


T = TypeVar("T", bound=Staged)


@dataclass(frozen=True)
class Term:
    """A word, what it means, and what else is accepted as its meaning.

    ``short`` are its abbreviations. ``senses`` are what it has in common with words that would
    be mistaken for it: no two of them are asked together where only one can be right.
    ``degree`` orders words of one subject, from slow to fast and from soft to loud; words
    with the same degree are not distinguished.
    """

    word: str
    subject: str
    stage: int
    meaning: str
    others: tuple[str, ...]
    short: tuple[str, ...]
    senses: frozenset[str]
    degree: int | None
    source: str

    @cached_property
    def also(self) -> tuple[str, ...]:
        """What else is accepted as the meaning, with other words for the same."""
        found = [text for one in (self.meaning, *self.others) for text in _alike(one)]
        found += [text.replace(" and ", ", ") for text in found]
        return tuple(text for text in dict.fromkeys(found) if text != self.meaning)

    def means(self, meaning: str) -> bool:
        """Whether ``meaning`` is accepted as what the word means."""
        return meaning == self.meaning or meaning in self.also


def _alike(meaning: str) -> Iterable[str]:
    """A meaning, if it is a degree with each of its words and what may take the word's place."""
    words = meaning.split(" ")
    if not _DEGREES.issuperset(words) or words[-1] in ("gradually", "moderately"):
        return (meaning,)
    return (" ".join(choice) for choice in product(*((w, *_SAME.get(w, ())) for w in words)))


def _split(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def _term(stage: int, subject: str, row: str) -> Term:
    """The term of a row of the table."""
    word, meaning, others, short, senses, degree, source = (p.strip() for p in row.split("|"))
    return Term(
        word,
        subject,
        stage,
        meaning,
        _split(others),
        _split(short),
        frozenset(_split(senses)) or frozenset({word}),
        int(degree) if degree else None,
        source,
    )


_TABLE = """
1 tempo
  andante | a walking pace | moderately slow, walking pace, walking, going | | walking | 3 | G
      C
  moderato | a moderate speed | moderate, moderately, medium speed, moderate speed | mod. |
      moderate | 5 | G
  allegro | fast | lively, fast and lively, cheerful | | lively | 7 | G
1 dynamics
  piano | soft | | p | soft | 2 | G
  forte | loud | | f | loud | 5 | G C
1 articulation
  legato | smooth and connected | smooth, smoothly, connected, joined |
      leg. | smooth | | C
  staccato | short and detached | short, detached, separated | stacc. | short | | C
1 form
  fine | the end | end | | end | | G
2 tempo
  adagio | slow | at ease, very slow, leisurely | | slow | 1 | G C
  presto | very fast | | | very fast | 8 | G
  ritardando | gradually slower | slower, slowing down, slow down, held back | rit., ritard. |
      slower | | G
  a tempo | back to the old speed | in time, back to the tempo, return to the tempo, back to
      the original speed, original tempo, at the former speed | | old speed | | G C
2 dynamics
  mezzo piano | moderately soft | half soft | mp | moderately soft | 3 | G
  mezzo forte | moderately loud | half loud | mf | moderately loud | 4 | G
  crescendo | gradually louder | louder, growing louder | cresc. | louder | | G C
  diminuendo | gradually softer | softer | dim. | softer | | C
2 character
  dolce | sweetly | sweet, gentle, gently, soft and sweet | | sweet | | M
2 form
  da capo | from the beginning | repeat from the beginning, from the start, from the top, back
      to the beginning, from the head | D.C. | from the beginning | | G C
3 tempo
  largo | very slow and broad | broad, broadly, very slow, slow and broad | | slow | 1 | G
  lento | slow | very slow | | slow | 1 | G
  allegretto | moderately fast | rather fast, a little slower than allegro | | moderately fast
      | 6 | G
  vivace | lively | very fast, fast and lively, vivacious | | lively, very fast | 8 | G
  rallentando | gradually slower | slower, slowing down, slow down | rall. | slower | | G
  accelerando | gradually faster | faster, speeding up, speed up, hurrying | accel. | faster |
      | G C
3 dynamics
  pianissimo | very soft | | pp | very soft | 1 | G
  fortissimo | very loud | | ff | very loud | 6 | G C
  decrescendo | gradually softer | softer | decresc. | softer | | C
3 character
  cantabile | in a singing style | singing, singing style, like singing | | singing | | G
3 form
  dal segno | from the sign | repeat from the sign, back to the sign | D.S. | from the sign |
      | G
  coda | an added ending | ending, closing section, ending section, tail | | end | | M
3 degree
  poco | a little | little, slightly, somewhat | | little | | G
  molto | very | much, a lot | | very | | G
4 tempo
  larghetto | rather slow | fairly slow, not so slow as largo, a little largo | | slow | 2 | G
  prestissimo | as fast as possible | extremely fast, the fastest | | very fast | 9 | G
  con moto | with motion | with movement, moving | | motion | | G
  più mosso | faster | more moved, more movement, more motion | | faster, motion | | G
  meno mosso | slower | less moved, less movement, less motion | | slower, motion | | G
  ritenuto | held back | slower, holding back, suddenly slower, gradually slower | riten.,
      rit. | slower | | G
4 dynamics
  sforzando | strongly accented | a strong accent, accented, sudden accent, a sudden accent, a
      strong accent on one note | sf, sfz, fz, sforzato | accent | | G
  fortepiano | loud then soft | loud and at once soft | fp | loud then soft |
      | G C
4 articulation
  tenuto | held its full value | held, hold, full value, sustained, held for its full value |
      ten. | held | | G
  marcato | marked | accented, stressed, emphasized, with emphasis, well marked | marc. |
      accent | | M
4 character
  espressivo | with expression | expressive, expressively | espress., espr.,
      con espressione | expression | | M
  grazioso | gracefully | graceful, with grace | | grace | | G
  leggiero | lightly | light | legg., leggero | light | | M
  maestoso | majestically | majestic, stately | | majestic | | G
4 pedal
  con pedale | with the pedal | with pedal | con Ped., Ped. | pedal down | | M
4 degree
  sempre | always | | | always | | G
  senza | without | | | without | | G
  subito | suddenly | sudden, at once | sub. | suddenly | | M
  poco a poco | little by little | gradually, bit by bit | | little | | G
5 tempo
  grave | very slow and solemn | slow and solemn, solemn, serious, heavy, very slow | | slow | 0
      | G
  rubato | with freedom of tempo | robbed, in robbed time, flexible tempo, free tempo, free in
      tempo, with freedom of time, with some freedom of time | tempo rubato | free | | G
  allargando | slower and broader | broadening, broader, growing broader, slowing down |
      allarg. | slower | | G
  stringendo | pressing on faster | faster, gradually faster, hurrying, pressing, pressing
      forward | string. | faster | | G
  ad libitum | freely | at will, at pleasure, at the player’s will, as one likes | ad lib. |
      free | | C
  tempo primo | at the first speed | in the first time, at the first tempo, first tempo, back
      to the first tempo, original tempo | Tempo I | old speed | | G
5 dynamics
  calando | softer and slower | slower and softer, dying away | cal. | softer, slower | | C
  morendo | dying away | fading away, dying | | softer, slower | | M
5 articulation
  sostenuto | sustained | held, held out | sost. | held | | G
  pesante | heavily | heavy, slowly and heavily, weighty | | heavy | | G
5 character
  con brio | with spirit | with vigor, with vigour, with brilliance, brilliantly, in brilliant
      style | | fire | | G
  con fuoco | with fire | fiery, with extreme animation | | fire | | G
  giocoso | playfully | playful, merry, merrily, humorous, joking | | playful | | M
  tranquillo | calmly | calm, tranquil, tranquilly, peaceful, quietly | | calm | | G
  agitato | agitated | restless, hurried, excited | | agitated | | G
5 pedal
  una corda | with the soft pedal | soft pedal, press the soft pedal, one string, use the soft
      pedal | u.c. | soft pedal | | M
  tre corde | without the soft pedal | release the soft pedal, lift the soft pedal, three
      strings, no soft pedal | t.c. | no soft pedal | | M
  senza pedale | without pedal | no pedal, without the pedal | | pedal up | | M
5 degree
  ma non troppo | but not too much | not too much | | not too much | | G
  assai | very | much, enough | | very | | G
"""
"""For each stage and subject the words, a row each; a row may go on with a deeper indent. The parts
of a row: word, meaning, other meanings, abbreviations, senses, degree, sources."""


def _rows(table: str) -> Iterator[tuple[int, str, str]]:
    """Stage, subject and row of each word of the table."""
    stage, subject = 0, ""
    for line in re.sub(r"\n {6}", " ", table).strip().split("\n"):
        if line.startswith(" "):
            yield stage, subject, line
        else:
            number, subject = line.split(" ")
            stage = int(number)


TERMS = tuple(_term(*row) for row in _rows(_TABLE))


def words_for(meaning: str) -> tuple[Term, ...]:
    """The terms that ``meaning`` is accepted for, those that it is the meaning of first."""
    return tuple(
        sorted(
            (term for term in TERMS if term.means(meaning)),
            key=lambda term: term.meaning != meaning,
        )
    )


def chosen(things: Collection[T], stage: str, count: int, rng: Random) -> list[T]:
    """``count`` of ``things`` up to a stage, or fewer, none of which is mistaken for another.

    Two thirds are of the stage itself where it has so many. Where all stages so far have fewer
    than three, later ones help out.
    """
    found: list[T] = []
    senses: set[str] = set()
    for thing in _by_stage(things, stage, count, rng):
        most = count if thing.stage <= STAGES.index(stage) + 1 else _LEAST
        if len(found) < most and not senses & thing.senses:
            found.append(thing)
            senses |= thing.senses
    return found


def degrees(subject: str, stage: str, count: int, rng: Random) -> list[Term]:
    """``count`` terms of a subject up to a stage, in any order, each of another degree.

    Later stages help out as in ``chosen``.
    """
    terms = [term for term in TERMS if term.subject == subject and term.degree is not None]
    found: dict[int | None, Term] = {}
    for term in _by_stage(terms, stage, count, rng):
        if len(found) < (count if term.stage <= STAGES.index(stage) + 1 else _LEAST):
            found.setdefault(term.degree, term)
    return rng.sample(list(found.values()), len(found))


def _by_stage(things: Collection[T], stage: str, count: int, rng: Random) -> list[T]:
    """``things`` as they are to be taken: first those for two thirds of ``count`` from the stage
    itself, then those before it, then what it has left, then later ones.
    """
    last = STAGES.index(stage) + 1
    new, known = (
        rng.sample(some, len(some))
        for some in (
            [thing for thing in things if thing.stage == last],
            [thing for thing in things if thing.stage < last],
        )
    )
    most = -(-2 * count // 3)
    later = sorted((thing for thing in things if thing.stage > last), key=lambda one: one.stage)
    return [*new[:most], *known, *new[most:], *later]
