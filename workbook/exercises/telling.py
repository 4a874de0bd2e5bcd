"""How the other accepted answers of a blank are listed for whoever marks.

In: an answer and what else is accepted. Out: which of that is a different answer and which
another spelling, and examples of the spellings for a table. A kind of answer declares the
``Telling`` that suits it (see ``answers.AnswerKind``).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from os.path import commonprefix

Sort = tuple[str, ...]
"""What spellings have in common whatever the note or the number in them."""
Example = tuple[Sort, str, str]
"""A sort of spellings, and an example: an answer as it is printed (``ANY`` for all of them), and
what is right in its place."""
ANY = "any"
"""Stands for every answer of a kind."""
OCTAVE: Sort = ("octave",)
"""The sort of note names with the number of an octave."""

TYPED = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb"})
"""The signs as they are typed."""
_FIGURED = re.compile(r"\d/\d")
_LETTERED = re.compile(r"[a-d](?=/| of |\Z)")


def typed(texts: Sequence[str]) -> tuple[str, ...]:
    """The texts that have signs, with the signs as they are typed."""
    found = (text.translate(TYPED) for text in texts)
    return tuple(name for name in dict.fromkeys(found) if name not in texts)


def joined(texts: Sequence[str]) -> str:
    """The texts in one line; semicolons stand between texts of which one has a comma."""
    return ("; " if any("," in text for text in texts) else ", ").join(texts)


def printed(answer: str, also: Sequence[str]) -> list[str]:
    """What of ``also`` is not another text of the two with its signs as they are typed."""
    copies = {text.translate(TYPED) for text in (answer, *also) if text.translate(TYPED) != text}
    return [name for name in also if name not in copies]


@dataclass(frozen=True)
class Telling:
    """Answers that have nothing but other spellings: ``root``, or ``root position, R``.

    ``alike`` says how spellings of different answers are seen to be of one sort: by what
    follows the root, or with any number for another; "" if they are not.
    """

    alike: str = ""

    def different(self, answer: str, also: Sequence[str]) -> list[str]:  # noqa: ARG002  # see KeyName
        """The other answers that are not spellings of ``answer``."""
        return []

    def place(self, column: int, answer: str, other: str) -> str:  # noqa: ARG002
        """A different answer with its place: ``"4: V6/5"``; ``column`` counts from 0."""
        return f"{column + 1}: {other}"

    def rows(self, versions: Sequence[tuple[str, ...]]) -> Iterator[str]:
        """The accepted answers of a whole row beside the first, where boxes depend on others."""
        return (" ".join(version) for version in versions[1:])

    def spelled(self, answer: str, also: Sequence[str]) -> list[tuple[str, list[str]]]:
        """The answer and each different one, with their other spellings."""
        different = self.different(answer, also)
        found: dict[str, list[str]] = {answer: [], **{name: [] for name in different}}
        for name in also:
            if name not in found:
                found[self._meant(name, answer, different)].append(name)
        return [(one, others) for one, others in found.items() if others]

    def _meant(self, name: str, answer: str, different: Sequence[str]) -> str:  # noqa: ARG002
        """The answer, or the different one, that ``name`` spells."""
        return answer

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        """Examples of the ``others`` that are accepted as spellings of ``answer``."""
        if others:
            yield self._sort(answer, others), answer, joined(others)

    def _sort(self, answer: str, others: Sequence[str]) -> Sort:
        names = [answer, *others]
        if self.alike == "root":
            length = len(commonprefix([name.casefold() for name in names]))  # noqa: RUF071
            root = answer[:length]
            names = [("=" if name[:length] == root else "~") + name[length:] for name in names]
        elif self.alike == "number":
            names = [re.sub(r"\d+", "n", name) for name in names]
        return tuple(names)


PLAIN = Telling()


@dataclass(frozen=True)
class Note(Telling):
    """Names of notes, which may have an octave."""

    def spelled(self, answer: str, also: Sequence[str]) -> list[tuple[str, list[str]]]:
        return super().spelled(answer, also) or [(answer, [])]

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        yield OCTAVE, ANY, "with the number of its octave: C4"
        yield from super().examples(answer, others)


@dataclass(frozen=True)
class Written(Telling):
    """Notes of a chord, where other notes of it may be doubled or left out."""

    def different(self, answer: str, also: Sequence[str]) -> list[str]:  # noqa: ARG002
        return list(also)

    def place(self, column: int, answer: str, other: str) -> str:  # noqa: ARG002
        return f"chord {column + 1}: {other}"


@dataclass(frozen=True)
class Played(Telling):
    """Fingers: an empty box may stand for a dash. Other fingers are listed as fingerings."""

    def spelled(self, answer: str, also: Sequence[str]) -> list[tuple[str, list[str]]]:
        return [(answer, ["an empty box"])] if "" in also else []


@dataclass(frozen=True)
class InOtherWords(Telling):
    """Meanings: what is accepted is listed, and whoever marks knows what else says the same."""

    def spelled(self, answer: str, also: Sequence[str]) -> list[tuple[str, list[str]]]:
        return super().spelled(answer, also) or [(answer, [])]

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        yield ("sense",), ANY, "the same sense in other words"
        yield from super().examples(answer, others)


@dataclass(frozen=True)
class Repaired(Note):
    """OK at a right note, or the right note's name at a wrong one."""

    def spelled(self, answer: str, also: Sequence[str]) -> list[tuple[str, list[str]]]:
        if len(also) > 1:  # naming a right note means it is right
            return [(answer, [also[0], "the note’s name"])]
        return super().spelled(answer, also)


@dataclass(frozen=True)
class ChordName(Telling):
    """Chord names, with the bass of an inversion or without."""

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        names = list(others)
        if "/" not in answer:
            yield from ((("/",), ANY, f"with its bass: {name}") for name in names if "/" in name)
            names = [name for name in names if "/" not in name]
        # spaces are ignored when answers are compared, so one of two that differ in them will do
        told = {name.replace(" ", ""): name for name in reversed(names)}
        told.pop(answer, None)
        if told:
            yield self._sort(answer, names), answer, joined([*reversed(told.values())])


@dataclass(frozen=True)
class KeyName(Telling):
    """Keys; one that has two spellings may be named by either."""

    def different(self, answer: str, also: Sequence[str]) -> list[str]:
        found: list[str] = []
        for name in also:
            known = (answer, *found)
            if not any(name.casefold().startswith(one.casefold()) for one in known):
                found.append(name)
        return found

    def place(self, column: int, answer: str, other: str) -> str:  # noqa: ARG002
        return f"{other} for {answer}"

    def _meant(self, name: str, answer: str, different: Sequence[str]) -> str:
        known = (answer, *different)
        return next(one for one in known if name.casefold().startswith(one.casefold()))


@dataclass(frozen=True)
class IntervalName(Telling):
    """Intervals, by the parts of their names: ``M`` or ``maj, major``; ``3`` or ``third``."""

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        parts = [_quality_and_number(name) for name in others]
        for index, part in enumerate(_quality_and_number(answer)):
            names = dict.fromkeys(p[index] for p in parts if p[index] not in ("", part))
            if names:  # the octave has names of its own
                sort = part if not index or part == "8" else "number"
                yield (sort,), part, joined([*names])


def _quality_and_number(name: str) -> tuple[str, str]:
    """The two parts of an interval's name: ``("M", "3")``, ``("major", "third")``."""
    found = re.fullmatch(r"(.*?)\s*(\d\w*|[a-z]+)", name)
    return (found[1], found[2]) if found else ("", name)


@dataclass(frozen=True)
class NumeralName(Telling):
    """Roman numerals. One with the figures of its inversion differs from one without."""

    def place(self, column: int, answer: str, other: str) -> str:  # noqa: ARG002
        return f"chord {column + 1}: {other}"

    def different(self, answer: str, also: Sequence[str]) -> list[str]:
        if _FIGURED.search(answer):
            return []
        own = digits(answer)
        return [name for name in also if digits(name) != own and not _lettered(name)][:1]

    def _meant(self, name: str, answer: str, different: Sequence[str]) -> str:
        other = different and not _lettered(name) and digits(name) != digits(answer)
        return different[0] if other else answer

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        if _FIGURED.search(answer):
            line = _FIGURED.sub(lambda found: found[0].replace("/", ""), answer)
            yield ("/",), answer, f"figures in one line: {line}"
        if "4/2" in answer:
            yield ("4/2",), answer, f"2 alone: {answer.replace('4/2', '2')}"
        if "°" in answer:
            yield ("°",), answer, f"o for °: {answer.replace('°', 'o')}"
        applied = next((name for name in others if " of " in name), "")
        if applied:
            yield ("of",), answer, f"of for the slash: {applied}"
        lettered = next(filter(_lettered, others), "")
        if lettered:
            yield ("a",), answer, f"a, b, c or d for the inversion: {lettered}"


@dataclass(frozen=True)
class CadenceName(Telling):
    """Names of cadences, with the word or without."""

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        yield from super().examples(answer, [one for one in others if " cadence" not in one])
        yield ("cadence",), ANY, "with the word cadence after it"


def _lettered(name: str) -> bool:
    """Whether a letter stands for the inversion: ``Ib``, ``V7c of V``."""
    return bool(_LETTERED.search(name))


def digits(name: str) -> str:
    """The digits of a numeral, which stand for its inversion."""
    return "".join(filter(str.isdigit, name))
