"""Templates and fingering files with mistakes: values, keys, tables, syntax, encodings."""

from __future__ import annotations

import json
from collections.abc import Callable
from random import Random

from bad_tables import TINY, with_roster
from case import Case, random
from hostile import encoded, spoiled, text, toml_value

from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family

_ROSTER = b"student,template,keys\nAda Lee,spring,C major; A minor\n"


def template(number: int) -> Case:
    """A template after one to three mistakes: built, shown, listed or used for a study page."""
    rng = random("template", number)
    data = saved(rng, mistaken(rng, _template(rng)))
    files = {**with_roster(_ROSTER), "mine/spring.toml": data}
    mine = ("--template-dir", "mine")
    words = rng.choice(
        (
            ("build", "roster.csv", "--out", "out", *mine),
            ("build", "roster.csv", "--out", "out", *mine),
            ("build", "roster.csv", "--out", "out", *mine),
            ("study", "C major", "--template", "spring", "--out", "out", *mine),
            ("templates", "list", *mine),
            ("templates", "show", "spring", *mine),
            ("templates", "copy", "spring", "copy.toml", *mine),
        )
    )
    # a section that no key of the row suits is told with the row
    return Case("template", number, words, files, ("spring.toml", "roster.csv"))


def fingering(number: int) -> Case:
    """A fingering file after one to three mistakes."""
    rng = random("fingering", number)
    data = saved(rng, mistaken(rng, _fingering(rng)))
    files = {
        "roster.csv": b"student,template,keys\nAda Lee,tiny,C major\n",
        "mine/tiny.toml": TINY,
        "mine.toml": data,
    }
    words = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")
    return Case("fingering", number, (*words, "--fingering", "mine.toml"), files, ("mine.toml",))


def _template(rng: Random) -> list[str]:
    lines = ['title = "Spring"', 'instructions = "Write."', 'level = "2"', 'keys = "C major"']
    for family in rng.sample(list(FAMILIES.values()), rng.randint(1, 2)):
        lines += ["", "[[section]]", f'family = "{family.name}"', *_choices(rng, family)]
        lines += ["count = 1", "points = 2", "given = 1", "ledger_lines = 1"]
    return lines


def _choices(rng: Random, family: Family) -> list[str]:
    lines = {"hand": ['hands = "right"'], "clef": ['clefs = "treble"']}.get(family.by, [])
    for name, setting in family.settings.items():
        if rng.random() < 0.4:
            lines.append(f"{name} = {json.dumps(rng.choice(list(setting)))}")
    return lines


def _fingering(rng: Random) -> list[str]:
    def digits(count: int) -> str:
        return '"' + "".join(rng.choice(("12", "34", "51")) for _ in range(count))[:count] + '"'

    kinds = {
        "scale": ('keys = ["Bb major", "C major"]', 15),
        "arpeggio": ('keys = "C major"\nposition = "root"', 7),
        "seventh": ('kind = "dominant"\nroots = ["G", "Bb"]', 9),
        "chord": ('shape = "1st"', 3),
        "chromatic": ("", 12),
        "five-finger": ("", 5),
    }
    lines = []
    for name in rng.sample(list(kinds), rng.randint(1, 3)):
        about, length = kinds[name]
        lines += [f"[[{name}]]", *about.split("\n"), f"right = {digits(length)}"]
        lines += [f"also_right = [{digits(length)}]"]
    return lines


def mistaken(rng: Random, lines: list[str]) -> list[str]:
    """The lines after one to three mistakes."""
    for _ in range(rng.randint(1, 3)):
        rng.choice(_MISTAKES)(rng, lines)
    return lines


def _assigned(rng: Random, lines: list[str]) -> int:
    places = [place for place, line in enumerate(lines) if "=" in line]
    if not places:
        lines.append("title = 1")
        places = [len(lines) - 1]
    return rng.choice(places)


def _other_value(rng: Random, lines: list[str]) -> None:
    place = _assigned(rng, lines)
    lines[place] = lines[place].partition("=")[0] + "= " + toml_value(rng)


def _hostile_text(rng: Random, lines: list[str]) -> None:
    place = _assigned(rng, lines)
    words = json.dumps(text(rng), ensure_ascii=False).replace("\x7f", "")
    lines[place] = lines[place].partition("=")[0] + "= " + words


def _other_key(rng: Random, lines: list[str]) -> None:
    place = _assigned(rng, lines)
    key, _, value = lines[place].partition("=")
    at = rng.randrange(len(key) + 1)
    new = rng.choice((key[:at] + key[at + 1 :], key[:at] + "x" + key[at:], f'"{key}"', f"{key}.a"))
    lines[place] = f"{new}={value}"


def _without_line(rng: Random, lines: list[str]) -> None:
    if lines:
        del lines[rng.randrange(len(lines))]


def _line_twice(rng: Random, lines: list[str]) -> None:
    if lines:
        lines.insert(rng.randrange(len(lines)), rng.choice(lines))


def _other_table(rng: Random, lines: list[str]) -> None:
    head = rng.choice(("[section]", "[[sections]]", "[[section.more]]", "[[", "[a.b]", "[[x]]"))
    lines.insert(rng.randrange(len(lines) + 1), head)


def _character(rng: Random, lines: list[str]) -> None:
    if lines:
        place = rng.randrange(len(lines))
        line = lines[place]
        at = rng.randrange(len(line) + 1)
        lines[place] = line[:at] + rng.choice("[]{}\"'=#,.\\\x01\x7f\u2028") + line[at + 1 :]


def _only_comments(rng: Random, lines: list[str]) -> None:
    if rng.random() < 0.2:
        lines[:] = ["# " + line for line in lines]


_MISTAKES: tuple[Callable[[Random, list[str]], None], ...] = (
    _other_value,
    _other_value,
    _other_value,
    _hostile_text,
    _other_key,
    _without_line,
    _line_twice,
    _other_table,
    _character,
    _only_comments,
)


def saved(rng: Random, lines: list[str]) -> bytes:
    """The lines as a file, not always in UTF-8."""
    words = rng.choice(("\n", "\r\n")).join(lines) + "\n"
    data = encoded(rng, words) if rng.random() < 0.2 else words.encode("utf-8", "surrogatepass")
    return spoiled(rng, data) if rng.random() < 0.15 else data
