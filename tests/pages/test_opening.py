"""The opening of a workbook: what it tells whoever holds the answer key."""

from dataclasses import replace

import pytest

from workbook.design import PAPERS, SIZES
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN
from workbook.exercises.telling import Note
from workbook.marking.judge import judge
from workbook.marking.outcome import Outcome
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR, parse_keys
from workbook.pages.elements import Text
from workbook.pages.opening import TABLE, _keys, marking, opening
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.record.from_exercise import unplaced
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

SIGNS, OCTAVE, REST = "# for ♯, b for ♭", "with any octave", "“What to accept”"
LEVELS = [f"level-{number:02}" for number in range(1, 11)]
_TYPED = str.maketrans({"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb"})


def a_plan(name):
    keys = TWELVE_MAJOR + TWELVE_MINOR
    return plan(Row("Ada", read_template(available()[name]), keys, "", None, 2), "")


def blanks(one):
    return [b for item in one.items for b in item.exercise.asked if b.asks not in DRAWN]


@pytest.mark.parametrize("name", ("level-01", "level-03", "level-10", "all-skills"))
def test_the_answer_key_says_what_is_always_right(name):
    one = a_plan(name)
    said = marking(one)
    signs = any(b.answer != b.answer.translate(_TYPED) for b in blanks(one))
    notes = any(isinstance(KINDS[b.asks].telling, Note) for b in blanks(one))
    assert (SIGNS in said) == signs and (OCTAVE in said) == notes
    assert ("other sound fingerings" in said) == any(b.asks == "finger" for b in blanks(one))
    assert (REST in said) == any(line.asks and line.sort != ("octave",) for line in one.spellings)


@pytest.mark.parametrize("name", ("level-01", "level-04", "all-skills"))
def test_what_is_always_right_is_judged_right(name):
    """Every answer with typed signs, and every note in any octave."""
    for item in a_plan(name).items:
        made = unplaced(item.exercise)
        given = {}
        for blank in made.blanks:
            answer = blank.answer.translate(_TYPED)
            note = isinstance(KINDS[blank.asks].telling, Note) and answer != "OK"
            given[blank.id] = f"{answer}7" if note else answer
        assert set(judge(made, given).values()) == {Outcome.RIGHT}, item.exercise.prompt


def test_only_the_answer_key_says_so():
    texts = [m for block in opening(a_plan("level-03"), Paper("letter")) for m in block.elements]
    texts = [m for m in texts if isinstance(m, Text)]
    start = next(n for n, m in enumerate(texts) if m.text.startswith("Marking: "))
    told = [m.text for m in texts[start:] if m.only == "answer key"]
    assert REST in " ".join(told)


def test_words_alone_need_no_signs():
    """Terms have neither notes nor signs, and no fingers."""
    one = a_plan("level-01")
    terms = tuple(s for s in one.sections if s.items[0].exercise.family == "term-matching")
    assert terms and "Accept" not in marking(replace(one, sections=terms))


MAJORS = "C major; G major; D major; F major; Bb major"
UP_TO_TWO = f"{MAJORS}; A minor; E minor; B minor; D minor; G minor"


@pytest.mark.parametrize(
    "keys, told",
    [
        ("C major; G major; A minor", "C major, G major, A minor"),
        (UP_TO_TWO, "all keys with up to 2 sharps or flats"),
        (UP_TO_TWO.replace("Bb", "A"), "C major, G major, D major, F major, A major, A minor"),
        ("all", "all major keys, all minor keys"),
    ],
)
def test_many_keys_are_told_together(keys, told):
    """One by one, they would take the lines that the first exercise of level 7 needs."""
    template = read_template(available()["level-07"])
    row = Row("Ada", template, parse_keys(keys), template.title, None, 2)
    words = _keys(row).replace("\u00a0", " ")
    assert words.startswith(told) and (words == told or "up to" not in words)


@pytest.mark.parametrize("paper", [Paper(name, size) for name in PAPERS for size in SIZES])
def test_the_table_has_the_whole_title_of_each_section(paper):
    for name in LEVELS:
        template = read_template(available()[name])
        keys = template.keys or parse_keys("all")
        one = plan(Row("Ada", template, keys, template.title, None, 2), "")
        words = " ".join(table_texts(one, paper))
        for section in one.sections:
            assert f" {section.title} " in f" {words} ", f"{name}: {words}"


def test_a_title_that_two_lines_do_not_hold_is_cut():
    one = a_plan("level-01")
    (first, *others) = one.sections
    longer = replace(one, sections=(replace(first, title="scale " * 40), *others))
    lines = [text for text in table_texts(longer, Paper("letter")) if text.startswith("scale")]
    assert len(lines) == 2 and not lines[0].endswith("…") and lines[1].endswith("…")


def table_texts(one, paper):
    texts = [e for block in opening(one, paper) for e in block.elements if isinstance(e, Text)]
    (start,) = (n for n, e in enumerate(texts) if e.text == TABLE)
    return [e.text for e in texts[start:]]
