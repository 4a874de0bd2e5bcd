"""What a build wrote is sound, and every kind of damage to it is found."""

import json
import re
import shutil
import tempfile
from dataclasses import replace
from pathlib import Path
from random import Random

import damage
import pytest
from asked import Request
from books import book, exercises
from click.testing import CliRunner
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from tests.key_json import items as key_items
from workbook import build, cli
from workbook.design import HAND_NAMES
from workbook.errors import CheckFailed
from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.pages import render
from workbook.pages.answer_list import column_places
from workbook.pages.elements import Page
from workbook.pages.paper import Paper
from workbook.pdf.content import read_pages
from workbook.pdf.finished import Unreadable
from workbook.preflight import check_folder, check_jobs, folders
from workbook.preflight.names import name_faults
from workbook.preflight.objects import object_faults
from workbook.preflight.records import read
from workbook.preflight.rendered import rendered_faults
from workbook.record.files import document_title
from workbook.record.reader import read_record
from workbook.record.writer import record_text

KEYS = [parse_key(name) for name in ("D major", "E-flat minor")]
SMALL = ("--template-dir", Path(__file__).parents[1] / "builds" / "templates")
SAMPLE = ("scale-fingering", "inversions", "intervals", "scale-writing", "progression")


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    """A workbook of three pages or more, boxes and music to be written in it."""
    folder = tmp_path_factory.mktemp("sound") / "Odile"
    book(folder, [exercises(name, KEYS[:1], given=1) for name in SAMPLE])
    return folder


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    """A workbook of two pages: whole pages of it are drawn in a moment."""
    folder = tmp_path_factory.mktemp("sheet") / "Odile"
    book(folder, [exercises(name, KEYS[:1], hands=HANDS[:2]) for name in SAMPLE[:3]])
    assert pages(folder) == 2
    return folder


@pytest.fixture
def copy(sound, tmp_path):
    return shutil.copytree(sound, tmp_path / "Odile")


@pytest.fixture
def small(sheet, tmp_path):
    return shutil.copytree(sheet, tmp_path / "Odile")


def blanks(folder):
    data = json.loads((folder / "key.json").read_text("utf-8"))
    return [blank for item in key_items(data) for blank in item["blanks"]]


def first(folder, drawn=False):
    """The first blank with a box, or the first to be written on the staff."""
    return next(b for b in blanks(folder) if (b["asks"] == "notes") == drawn)


def rectangle(blank, operators):
    """Operators that paint the middle of a blank."""
    x0, y0, x1, y1 = blank["rect"]
    return b"q %s %.2f %.2f %.2f %.2f re f Q" % (
        operators,
        x0 + 2,
        y0 + 2,
        x1 - x0 - 4,
        y1 - y0 - 4,
    )


def test_the_demo_is_sound(demo):
    """The command has a line for each workbook; exit code 0 says that nothing is found."""
    result = run("check", demo)
    assert result.exit_code == 0, result.output
    assert len(result.output.splitlines()) == len(folders(demo)) >= 4


def test_exercises_whose_label_is_left_out_are_numbered(tmp_path):
    names = ("term-matching", "signs", "note-values", "ties", "circle-of-fifths", "note-names")
    book(tmp_path, [exercises(name, KEYS[:1]) for name in names])
    assert check_folder(tmp_path, False) == []


def test_an_answer_in_two_lines_is_read_from_the_top(tmp_path):
    book(tmp_path, [exercises("time-signatures", KEYS[:1])])
    assert check_folder(tmp_path, True) == []

    def swapped(data):
        metre = [b for i in key_items(data) for b in i["blanks"] if b["asks"] == "metre"]
        for blank in metre:
            blank["answer"] = " ".join(reversed(blank["answer"].split()))

    damage.record(tmp_path, swapped)
    said = [finding.what for finding in check_folder(tmp_path, False)]
    assert sum("box" in one and "the answer is" in one for one in said) >= 2, said


def test_a_list_of_answers_to_small_pages_is_sound(tmp_path):
    """It is on the paper of the teacher's tables, and some of its sections over the measure."""
    book(tmp_path, [exercises(name, KEYS[:1]) for name in (*SAMPLE, "triad-quality")], Paper("a5"))
    assert check_folder(tmp_path, True) == []


@pytest.mark.parametrize(
    "page, grey",
    [(Paper("a4", "extra-large"), True), (Paper("letter", "large", punched=True), False)],
)
def test_larger_grey_and_punched_pages_are_sound(tmp_path, page, grey):
    book(tmp_path, [exercises(name, KEYS[:1]) for name in SAMPLE], page, grey)
    assert check_folder(tmp_path, True) == []


@pytest.mark.parametrize("hand", HAND_NAMES)
def test_boxes_that_just_fit_a_line_of_extra_large_print_do_not_touch(tmp_path, hand):
    """Nine positions of a seventh chord nearly fill a line."""
    chosen = {"chord": "dominant seventh", "pattern": "blocked", "order": "mixed"}
    request = Request(parse_key("F minor"), "right", ("position",), 0, 2, chosen)
    made = [FAMILIES["inversions"].make(request, Random(number)) for number in range(6)]
    book(tmp_path, [made], Paper("letter", "extra-large"), hand=hand)
    assert check_folder(tmp_path, False) == []


@pytest.mark.parametrize("start", range(3))
def test_a_sample_of_every_family_is_sound(tmp_path, start):
    """Each for one hand or both, in turn."""
    book(
        tmp_path,
        [
            exercises(name, KEYS[n % 2 :][:1], n % 2, HANDS[n // 3 % 3 :][:1])
            for n, name in enumerate(FAMILIES)
            if n % 3 == start
        ],
    )
    assert check_folder(tmp_path, True) == []


@pytest.mark.sweep
@pytest.mark.parametrize(
    "page",
    [Paper("letter"), Paper("a4", "large", punched=True), Paper("letter", "extra-large")],
    ids=lambda page: page.size,
)
@pytest.mark.parametrize("name", FAMILIES)
def test_every_family_in_every_key_is_sound(tmp_path, name, page):
    book(tmp_path, [exercises(name, ALL_KEYS)], page, grey=page.punched)
    assert check_folder(tmp_path, True) == []


def test_files_that_are_only_written_anew_are_sound(copy):
    for name in ("workbook.pdf", "answer-key.pdf"):
        damage.page(copy / name, 1, lambda lines: None)
    damage.record(copy, lambda data: None)
    assert check_folder(copy, True) == []


# key.json


def put(name, value, item=0, blank=None):
    def change(data):
        one = key_items(data)[item]
        (one if blank is None else one["blanks"][blank])[name] = value

    return change


def shifted(by, blank=0):
    def change(data):
        one = key_items(data)[0]["blanks"][blank]
        one["rect"] = [value + by for value in one["rect"]]

    return change


RECORDS = {
    "a number skipped": (put("number", 7, 1), "must run from 1 without a gap"),
    "no items": (lambda data: data.update(sections=[], points=0), "numbered none"),
    "points": (put("points", 4, 2), "add up to 46, not to 45"),
    "a blank skipped": (put("id", "1.99", 0, 0), "must run from 1.1 without a gap"),
    "a blank on another page": (put("page", 3, 0, 0), "blank 1.1 is on page 3"),
    "an item on another page": (put("page", 2, 1), "are numbered"),
    "items out of order": (put("page", 3, 0), "its item begins on page 3"),
    "a blank on a page that is not there": (put("page", 30, -1, 0), "has blanks on page 30"),
    "in the margin": (shifted(420), "is not inside the margins"),
    "boxes that touch": (shifted(9, 1), "touch"),
    "a rectangle beside its box": (shifted(0.5), "no box is drawn where blank"),
    "another answer": (put("answer", "17", 0, 0), 'the answer is "17"'),
    "a field left out": (
        lambda data: key_items(data)[0].pop("prompt"),
        '"prompt" is missing in item 1',
    ),
    "a size unknown": (lambda data: data.update(size="huge"), 'its size is "huge"'),
    "no number": (put("page", "one", 0), "cannot be read"),
    "another key code": (
        lambda data: data.update(code="ABC-DEF"),
        "the key code on its pages is TST-2K7, not ABC-DEF",
    ),
    "another alternative": (put("accept", ["17"], 0, 0), "the answers to item 1 are"),
    "another fingering": (
        lambda data: key_items(data)[0].update(
            groups=[{"blanks": [1], "versions": [["17"], ["1"]]}]
        ),
        "the first version of group 1 of item 1",
    ),
    "another paper": (lambda data: data.update(paper="a4"), "the page measures (612.0, 792.0)"),
    "a blank too many": (
        lambda data: key_items(data)[0]["blanks"].append(
            dict(key_items(data)[0]["blanks"][0], id="1.99")
        ),
        "boxes are drawn; key.json has",
    ),
}


@pytest.mark.parametrize("name", RECORDS)
def test_damage_to_the_record_is_found(copy, name):
    change, words = RECORDS[name]
    damage.record(copy, change)
    assert_found(check_folder(copy, False), words)


def assert_found(findings, words, file=""):
    told = [str(one) for one in findings]
    assert any(words in one and file in one for one in told), told


@pytest.mark.parametrize("name", ["key.json", "workbook.pdf", "answer-key.pdf", "answers.pdf"])
@pytest.mark.parametrize("content", [None, b"", b"%PDF-1.4 nothing more", b"\xff{"])
def test_files_that_are_missing_or_broken_are_told(small, name, content):
    (small / name).unlink()
    if content is not None:
        (small / name).write_bytes(content)
    for thorough in (False, True):
        assert_found(check_folder(small, thorough), f"{name}: cannot be read")


# places: what a build itself finds

W, A, L = "workbook.pdf", "answer-key.pdf", "answers.pdf"
CODE, GONE = "TST-2K7", lambda drawn: b""
BOX, RULE, FORM = b" Do Q", b" l S", b" Do"


def printed_answer(folder):
    """The number of the first item drawn a second time, in the first box."""
    x0, y0, x1, y1 = first(folder)["rect"]

    def change(lines):
        drawn = next(one for one in lines if one.endswith(b" ET"))
        shown = re.search(rb"/\S+ 14 Tf [^(]*\((?:\\.|[^\\)])*\) Tj", drawn)[0]
        lines += [
            b"q",
            b"BT 1 0 0 1 %.2f %.2f Tm %s ET" % ((x0 + x1) / 2, (y0 + y1) / 2, shown),
            b"Q",
        ]

    damage.page(folder / W, first(folder)["page"], change)


def last_page_gone(writer):
    writer.remove_page(len(writer.pages) - 1)


def wider(writer):
    writer.pages[0].mediabox.right = 600


def drawn_page(folder):
    return first(folder, drawn=True)["page"]


def another_list(folder):
    """A list of answers with another key code on every page."""
    for number in range(len(PdfReader(folder / L).pages)):
        damage.text(folder / L, number + 1, CODE, damage.backwards)


PLACES = {
    "another key code": (
        W,
        lambda f: damage.text(f / W, 2, CODE, damage.backwards),
        "key code TST-2K7 is not on this page",
    ),
    "no key code": (
        A,
        lambda f: damage.text(f / A, 2, CODE, GONE),
        "key code TST-2K7 is not on this page",
    ),
    "no page number": (
        W,
        lambda f: damage.text(f / W, 1, f"page 1 of {pages(f)}", GONE),
        '" is not on this page',
    ),
    "a number gone": (W, lambda f: damage.text(f / W, 1, "1", GONE), "are numbered"),
    "a number elsewhere": (
        W,
        lambda f: damage.text(f / W, 1, "1", damage.moved(5, 60)),
        "are numbered",
    ),
    "a label gone": (A, lambda f: damage.text(f / A, 1, label(f), GONE), "are numbered"),
    "a box moved": (
        W,
        lambda f: damage.line(f / W, 1, BOX, damage.moved(5, 3)),
        "no box is drawn where blank 1.1 is",
    ),
    "a box moved in the answer key": (
        A,
        lambda f: damage.line(f / A, 1, BOX, damage.moved(5, 0.05)),
        "positions of the boxes differ",
    ),
    "a box gone": (A, lambda f: damage.line(f / A, 1, BOX, GONE), "boxes are drawn"),
    "a line moved": (
        A,
        lambda f: damage.line(f / A, 1, RULE, damage.moved(2, 1)),
        "positions of the lines differ",
    ),
    "music moved": (
        A,
        lambda f: damage.line(f / A, 1, b" cm", damage.moved(5, 1)),
        "the music, or its position, differs",
    ),
    "music gone": (
        W,
        lambda f: damage.line(f / W, 1, FORM, GONE),
        "the music, or its position, differs",
    ),
    "words moved": (
        A,
        lambda f: damage.text(f / A, 1, label(f), damage.moved(5, 0.5)),
        "texts of the workbook are missing or have moved: ",
    ),
    "an answer printed in the workbook": (W, printed_answer, "it must be empty"),
    "an answer gone": (
        A,
        lambda f: damage.text(f / A, 1, first(f)["answer"], GONE, first(f)["rect"]),
        "is empty",
    ),
    "a page gone": (W, lambda f: damage.pdf(f / W, last_page_gone), "has blanks on page"),
    "fewer pages in one": (A, lambda f: damage.pdf(f / A, last_page_gone), "; the workbook has"),
    "a page of another size": (A, lambda f: damage.pdf(f / A, wider), "the page's size differs"),
    "written music gone": (
        A,
        lambda f: damage.line(f / A, drawn_page(f), b"-written Do", GONE),
        "music to write",
    ),
    "written music beside its staff": (
        A,
        lambda f: damage.page(
            f / A,
            drawn_page(f),
            lambda lines: lines.extend(
                [
                    b"q",
                    b"1 0 0 1 9 9 cm",
                    next(one for one in lines if one.endswith(b"written Do")),
                    b"Q",
                ]
            ),
        ),
        "the music to write is not on its staff",
    ),
    "an answer listed wrong": (
        L,
        lambda f: spoilt(f, r"[a-z]{4,}", damage.backwards),
        "the answers to item",
    ),
    "an answer not listed": (
        L,
        lambda f: spoilt(f, r"[1-5]", GONE),
        "the answers to item 1 are",
    ),
    "a numeral in other figures": (
        L,
        lambda f: spoilt(f, r"[IViv]+[67](/[45])?", GONE),
        "the answers to item",
    ),
    "an alternative listed wrong": (
        L,
        lambda f: spoilt(f, r".*also .*", damage.backwards),
        "the answers to",
    ),
    "an alternative not listed": (
        L,
        lambda f: spoilt(f, r".*also .*", GONE),
        "the answers to",
    ),
    "another spelling listed wrong": (
        L,
        lambda f: spoilt(f, r"root position, .*", damage.backwards),
        "what to accept is",
    ),
    "another spelling not listed": (
        L,
        lambda f: spoilt(f, r"root position, .*", GONE),
        "what to accept is",
    ),
    "a kind not named": (
        L,
        lambda f: spoilt(f, r"Position", GONE),
        "the table of what to accept has",
    ),
    "an item not listed": (L, lambda f: number_gone(f, "2"), "the list has items 1"),
    "a list of another workbook": (
        L,
        another_list,
        "the key code on its pages is 7K2-TST, not TST-2K7",
    ),
    "a page of another workbook": (
        A,
        lambda f: damage.text(f / A, 2, CODE, damage.backwards),
        "page 2: the key code TST-2K7 is not on this page",
    ),
    "the answer key in place of the workbook": (
        W,
        lambda f: shutil.copy(f / A, f / W),
        "the workbook shows music that the student is to write",
    ),
}


def pages(folder):
    return len(PdfReader(folder / W).pages)


def label(folder):
    data = json.loads((folder / "key.json").read_text("utf-8"))
    return key_items(data)[0]["prompt"].partition(". ")[0]


def number_gone(folder, number):
    """The list without the number of an item in its first column."""
    left = Paper("letter").left
    damage.text(folder / L, 1, number, GONE, (left - 0.1, 0, left + 0.1, 792))


def spoilt(folder, pattern, change):
    """Change a text of the list that matches and is neither a number nor a label."""
    width, lefts = column_places(Paper("letter"))
    drawn = read_pages((folder / L).read_bytes())
    for number, page in enumerate(drawn, 1):
        table = next((w.at[1] for w in page.words if w.text == "What to accept"), 0)
        for words in page.words:
            x, y = words.at
            inside = x - Paper("letter").left
            answer = y < table or any(left + 60 < inside < left + width for left in lefts)
            if answer and re.fullmatch(pattern, words.text):
                place = (x - 0.1, y - 0.1, x + 0.1, y + 0.1)
                damage.text(folder / L, number, words.text, change, place)
                return
    raise AssertionError(f"nothing like {pattern} is listed")


@pytest.mark.parametrize("name", PLACES)
def test_damage_to_places_is_found_without_rendering(copy, name):
    _file, change, words = PLACES[name]
    change(copy)
    # what differs between the two is told of the answer key
    assert_found(check_folder(copy, False), words)


# what only a look at the page can tell

SEEN = {
    "ink in a box": (W, 1, lambda f: rectangle(first(f), b"0.5 g"), "there is ink in box 1.1"),
    "a hairline through a box": (
        W,
        1,
        lambda f: (
            b"q 0 G 0.1 w %.2f %.2f m %.2f %.2f l\nS Q"
            % (*first(f)["rect"][:2], *first(f)["rect"][2:])
        ),
        "there is ink in box 1.1",
    ),
    "red ink at the edge": (
        W,
        1,
        lambda f: b"q .52 0 .08 rg 5 5 3 3 re f Q",
        "ink in the colour of the answers",
    ),
    "an answer covered": (
        A,
        1,
        lambda f: rectangle(first(f), b"1 g"),
        "no answer shows in blank 1.1",
    ),
}


@pytest.mark.parametrize("name", SEEN)
def test_ink_is_found(small, name):
    file, number, operators, words = SEEN[name]
    damage.page(small / file, number, damage.added(operators(small)))
    assert check_folder(small, False) == []
    assert_found(check_folder(small, True), words, file)


def test_music_written_in_the_workbook_is_seen(copy):
    blank = first(copy, drawn=True)
    damage.page(copy / W, blank["page"], damage.added(rectangle(blank, b"0 g")))
    assert_found(check_folder(copy, True), f"the answer shows in blank {blank['id']}", W)


def test_an_answer_to_nothing_is_seen(copy):
    number = first(copy)["id"]
    damage.record(copy, put("answer", "", 0, 0))
    assert_found(check_folder(copy, True), f"an answer shows in blank {number}", A)


def test_words_that_the_quick_reading_misses_are_seen(copy):
    printed_answer(copy)
    damage.page(
        copy / W, 1, lambda lines: lines.__setitem__(-2, lines[-2].replace(b" ET", b"\nET"))
    )
    assert_found(check_folder(copy, True), "it must be empty", W)


# what a PDF is made of


def font(page, change):
    """Change the first font of a page."""
    change(next(iter(page["/Resources"]["/Font"].values())).get_object())


def annotated(writer):
    link = DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Annot"),
            NameObject("/Subtype"): NameObject("/Link"),
            NameObject("/Rect"): ArrayObject(map(NumberObject, (0, 0, 9, 9))),
        }
    )
    writer.pages[0][NameObject("/Annots")] = ArrayObject([writer._add_object(link)])


def scripted(writer):
    script = DictionaryObject(
        {
            NameObject("/S"): NameObject("/JavaScript"),
            NameObject("/JS"): TextStringObject("app.alert(1)"),
        }
    )
    writer._root_object[NameObject("/Extra")] = writer._add_object(script)


def described(name, value):
    return lambda writer: writer.add_metadata({name: value})


def without(name):
    return lambda writer: writer._root_object.pop(NameObject(name))


def boxed(name, *values):
    return lambda writer: writer.pages[0].__setitem__(
        NameObject(name), ArrayObject(map(FloatObject, values))
    )


OBJECTS = {
    "a font left out": (
        lambda w: font(w.pages[0], lambda f: f["/FontDescriptor"].pop("/FontFile2")),
        "is not embedded",
    ),
    "a whole font": (
        lambda w: font(
            w.pages[0], lambda f: f.__setitem__(NameObject("/BaseFont"), NameObject("/Schola"))
        ),
        "/Schola is embedded in full",
    ),
    "a drawn font": (
        lambda w: font(
            w.pages[0], lambda f: f.__setitem__(NameObject("/Subtype"), NameObject("/Type3"))
        ),
        "is of Type 3",
    ),
    "a link": (annotated, "it has Annots"),
    "a script": (scripted, "it has JS: a link, form, action or file"),
    "a file": (lambda w: w.add_attachment("a.txt", b"a"), "it has EmbeddedFiles"),
    "an action": (
        lambda w: w._root_object.__setitem__(
            NameObject("/OpenAction"),
            ArrayObject([w.pages[0].indirect_reference, NameObject("/Fit")]),
        ),
        "it has OpenAction",
    ),
    "a path": (
        described("/Keywords", f"{tempfile.gettempdir()}/score.ly"),
        "a file or folder of this computer",
    ),
    "a path in a stream": (None, "a file or folder of this computer"),
    "no title": (described("/Title", ""), "it has no title"),
    "no author": (described("/Author", ""), "it has no author"),
    "no language": (without("/Lang"), "its language is missing"),
    "no outline": (without("/Outlines"), "has no outline"),
    "no page labels": (without("/PageLabels"), "has no page labels"),
    "a page cut": (boxed("/CropBox", 0, 0, 300, 300), "the page's CropBox is not the whole page"),
    "a page moved": (boxed("/MediaBox", -10, 0, 602, 792), "does not begin at its lower left"),
    "a page turned": (lambda w: w.pages[0].rotate(90), "rotated or scaled"),
}


@pytest.mark.parametrize("name", OBJECTS)
def test_damage_to_objects_is_found(small, name):
    change, words = OBJECTS[name]
    if change:
        damage.pdf(small / W, change)
    else:
        damage.page(small / W, 1, damage.added(f"% {tempfile.gettempdir()}/score.ly".encode()))
    assert_found(check_folder(small, True), words, W)


# how a page is read


def parts(writer, role):
    """The parts of the structure that have a role."""
    waiting = [writer._root_object["/StructTreeRoot"]["/K"].get_object()]
    while waiting:
        part = waiting.pop()
        kids = part.get("/K", [])
        for kid in kids if isinstance(kids, list) else [kids]:
            kid = kid.get_object()
            if isinstance(kid, dict):
                waiting.append(kid)
        if part.get("/S") == role:
            yield part


def first_part(role, change):
    return lambda writer: change(next(parts(writer, role)))


STRUCTURE = {
    "no structure": (without("/StructTreeRoot"), "it has no structure"),
    "not tagged": (without("/MarkInfo"), "does not say that it is tagged"),
    "a figure without words": (
        first_part("/Figure", lambda part: part.pop("/Alt")),
        "a figure has no alternative text",
    ),
    "an unknown part": (
        first_part("/P", lambda part: part.__setitem__(NameObject("/S"), NameObject("/Verse"))),
        "of an unknown type, Verse",
    ),
    "a part twice": (
        lambda w: w._root_object["/StructTreeRoot"]["/K"]["/K"].append(
            w._root_object["/StructTreeRoot"]["/K"]["/K"][0]
        ),
        "is in two places",
    ),
    "a part without content": (
        first_part("/P", lambda part: part.pop("/K")),
        "content and its structure do not match",
    ),
    "another page's structure": (
        lambda w: w.pages[0].__setitem__(NameObject("/StructParents"), NumberObject(1)),
        "content and its structure do not match",
    ),
    "a page without structure": (
        lambda w: w.pages[0].pop("/StructParents"),
        "does not say where its structure is",
    ),
    "a number of content twice": (
        (b"<</MCID 1>>", b"<</MCID 0>>"),
        "two pieces of the content have the same number",
    ),
    "something in no part": ((b"/Artifact BMC", b""), "neither in the structure nor marked"),
}


@pytest.mark.parametrize("name", STRUCTURE)
def test_damage_to_the_structure_is_found(small, name):
    change, words = STRUCTURE[name]
    if callable(change):
        damage.pdf(small / W, change)
    else:
        damage.page(
            small / W,
            1,
            lambda lines: lines.__setitem__(slice(None), [one.replace(*change) for one in lines]),
        )
    assert check_folder(small, False) == []
    assert_found(check_folder(small, True), words, W)


@pytest.mark.parametrize("thorough", [False, True])
def test_a_file_that_other_programs_mend_cannot_be_read(copy, thorough):
    data = (copy / W).read_bytes()
    place = data.rindex(b"startxref")
    (copy / W).write_bytes(data[:place] + b"startxref\n7\n%%EOF\n")
    assert PdfReader(copy / W).pages
    assert_found(check_folder(copy, thorough), "cannot be read", W)
    with pytest.raises(Unreadable, match="the file is damaged"):
        list(object_faults((copy / W).read_bytes()))


def test_what_cannot_be_drawn_is_told(copy):
    answer_key = (copy / A).read_bytes().replace(b"%PDF-", b"%FDP-", 1)
    (copy / A).write_bytes(answer_key)
    assert_found(check_folder(copy, True), "cannot be read", A)
    record = read(copy)
    assert not isinstance(record, str)
    (found,) = rendered_faults(record, (copy / W).read_bytes(), answer_key)
    assert found[:2] == (True, 0) and "it cannot be rendered" in found[2]


@pytest.mark.parametrize(
    "field, value, words",
    [
        ("student", "Odile", 'its student is "Odile Wren"; key.json has "Odile"'),
        ("title", "Every", 'its title is "Every Family: Odile Wren'),
        ("form", "B", 'key.json has "Every Family, form B: Odile Wren'),
    ],
)
def test_another_student_or_title_in_the_record_is_found(copy, field, value, words):
    damage.record(copy, lambda data: data.update({field: value}))
    found = check_folder(copy, True)
    for file in (W, A, "answers.pdf"):
        assert_found(found, words, file)
    assert len(found) == 3


@pytest.mark.parametrize("name", ["Zoë (A) \\ B", "אב ג-3", "محمد", "'=Ada", "李 😀", "a\u0301"])
def test_names_of_any_script_are_those_of_the_record(sound, name):
    record = replace(read(sound), student=name, title=name)
    data = render.render(
        [Page()], render.ANSWER_KEY, (200, 200), document_title(A, name, name), name
    )
    assert list(name_faults(record, data, A)) == []
    assert len(list(name_faults(record, data, W))) == 1


# print jobs


@pytest.fixture
def jobs(demo, tmp_path):
    for name in ("all-workbooks.pdf", "all-answer-keys.pdf", "mark-sheet.csv", "mark-sheet.pdf"):
        shutil.copy(demo / name, tmp_path / name)
    return tmp_path


def in_order(path, order):
    reader, writer = PdfReader(path), PdfWriter()
    for index in order(len(reader.pages)):
        writer.add_page(reader.pages[index])
    writer.write(path)


JOBS = {
    "a page gone": (lambda n: [0, *range(2, n)], "page 2 of the"),
    "the last page gone": (lambda n: range(n - 1), "should be here"),
    "the first page gone": (lambda n: range(1, n), "page 1 of the pages"),
    "pages changed about": (lambda n: [1, 0, *range(2, n)], "should be here"),
    "a page twice": (lambda n: [0, 1, 1, *range(2, n)], "should be here"),
    "an empty page too few": (None, "do not begin on a front side"),
    "on another page": (lambda n: [1, 0, *range(2, n)], "does not match this page"),
    "fewer pages": (lambda n: range(n - 1), "the workbooks' job has"),
    "no page labels": (range, "has no page labels"),
}


@pytest.mark.parametrize("name", JOBS)
def test_damage_to_print_jobs_is_found(jobs, name):
    order, words = JOBS[name]
    path = jobs / "all-answer-keys.pdf"
    if order is None:
        empty = [n for n, page in enumerate(PdfReader(path).pages) if page.get_contents() is None]
        assert empty, "the demo has a book with an odd number of pages"
        in_order(path, lambda n: [i for i in range(n) if i != empty[0]])
    else:
        in_order(path, order)
    assert_found(check_jobs(jobs), words, "all-answer-keys.pdf")


TABLES = {
    "a total": (
        lambda text: text.replace(",100\r\n", ",99\r\n", 1),
        "mark-sheet.csv",
        "row 3: the sections' points add up to 100, but the total is 99",
    ),
    "points": (
        lambda text: text.replace(",36,", ",35,").replace(",100\r\n", ",99\r\n", 1),
        "mark-sheet.pdf",
        "the table has (35",
    ),
    "another code": (
        lambda text: re.sub("[2-9A-Z]{3}-[2-9A-Z]{3}", "ABC-DEF", text, count=1),
        "mark-sheet.pdf",
        "the key codes differ from those of the table",
    ),
    "a row gone": (
        lambda text: "\r\n".join(text.split("\r\n")[:-2]),
        "mark-sheet.pdf",
        "the key codes differ from those of the table",
    ),
    "a row twice": (
        lambda text: text + text.split("\r\n")[2] + "\r\n",
        "mark-sheet.csv",
        "rows 3 and 7 are both for the workbook",
    ),
    "no codes": (
        lambda text: text.replace("key code", "code"),
        "mark-sheet.csv",
        'there is no column "key code"',
    ),
    "words for points": (
        lambda text: text.replace(",36,", ",many,"),
        "mark-sheet.csv",
        'cannot be read: row 5: "many" under "A of" is not a number',
    ),
}


@pytest.mark.parametrize("name", TABLES)
def test_damage_to_the_mark_sheet_is_found(jobs, name):
    change, file, words = TABLES[name]
    table = jobs / "mark-sheet.csv"
    before = table.read_bytes().decode("utf-8-sig")
    table.write_bytes(change(before).encode("utf-8"))
    assert change(before) != before
    assert_found(check_jobs(jobs), words, file)


def test_marks_in_the_table_and_another_comma_are_no_damage(jobs):
    table = jobs / "mark-sheet.csv"
    lines = table.read_bytes().decode("utf-8-sig").splitlines()
    lines[1] = lines[1].replace(",,", ",12.5,", 1)
    table.write_text("\ufeff" + "\n".join(line.replace(",", ";") for line in lines), "utf-8")
    assert check_jobs(jobs) == []


def lines_of(change):
    """A change of a table's text that is one of the list of its lines."""

    def changed(text):
        lines = text.split("\r\n")[:-1]
        return "\r\n".join(change(lines)) + "\r\n"

    return changed


OWN = {
    "blank rows": lines_of(lambda lines: [lines[0], "", *lines[1:], ",,,", "\u00a0"]),
    "a row of averages": lines_of(lambda lines: [*lines, "average,,,12.5,,8,,,,,,,,,,,"]),
    "a note": lines_of(lambda lines: [*lines, "Ada was ill"]),
    "a column": lines_of(lambda lines: [lines[0] + ",remarks", *(f"{x},good" for x in lines[1:])]),
    "a column ending in of": lines_of(
        lambda lines: [lines[0] + ",Date of", *(f"{x},4 May" for x in lines[1:])]
    ),
    "columns without headings": lines_of(lambda lines: [f"{x},a,b" for x in lines]),
    "sorted rows": lines_of(lambda lines: [lines[0], *reversed(lines[1:])]),
    "a title": lines_of(lambda lines: ["Spring", *lines]),
    "a line that names the separator": lines_of(lambda lines: ["sep=,", *lines]),
    "headings in another case": lambda text: text.replace("key code", " Key  Code", 1),
    "points as decimals": lambda text: text.replace(",100\r\n", ",100.00\r\n"),
    "words after a name": lambda text: text.replace("Brekko", "Brekko (ill)", 1),
    "CR line ends": lambda text: text.replace("\r\n", "\r"),
    "no columns of points": lambda text: "\r\n".join(
        ",".join(cells[:3] + cells[3::2]) for cells in (x.split(",") for x in text.split("\r\n"))
    ),
}


ENCODINGS = ("utf-8-sig", "utf-16", "utf-16-le", "cp1252")


@pytest.mark.parametrize(
    "name, encoding",
    [
        pytest.param(name, encoding, marks=() if (n + m) % 4 == 0 else pytest.mark.sweep)
        for n, name in enumerate(OWN)
        for m, encoding in enumerate(ENCODINGS)
    ],
)
def test_what_a_teacher_adds_to_the_table_is_no_damage(jobs, name, encoding):
    table = jobs / "mark-sheet.csv"
    before = table.read_bytes().decode("utf-8-sig")
    assert OWN[name](before) != before
    table.write_bytes(OWN[name](before).encode(encoding))
    assert check_jobs(jobs) == []


def test_a_student_may_be_called_like_a_foot(tmp_path):
    roster = tmp_path / "roster.csv"
    roster.write_text(
        "student,template,keys,title\npage 1 of 9,first-steps,C major,ABC-DEF\n"
        "ABC-DEF,first-steps,C major,page 1 of 2\n",
        "utf-8",
    )
    build(roster, tmp_path / "out", size="extra-large")
    assert check_jobs(tmp_path / "out") == []
    assert [f for p in folders(tmp_path / "out") for f in check_folder(p, True)] == []


def test_a_print_job_or_mark_sheet_that_is_no_pdf_is_told(jobs):
    for name in ("all-workbooks.pdf", "mark-sheet.pdf"):
        (jobs / name).write_bytes(b"paper")
    assert_found(check_jobs(jobs), "cannot be read", "all-workbooks.pdf")
    assert_found(check_jobs(jobs), "cannot be read", "mark-sheet.pdf")


# the command, and the build


def run(*words):
    return CliRunner().invoke(cli.main, list(map(str, words)))


def test_the_command_says_that_all_is_well(sound):
    assert run("check", sound).output == "Odile: all is well\n"


def test_the_command_tells_every_finding(copy):
    damage.text(copy / W, 1, CODE, damage.backwards)
    damage.text(copy / A, 2, CODE, damage.backwards)
    result = run("check", copy.parent)
    assert result.exit_code == CheckFailed.exit_code == 6
    assert "Odile/workbook.pdf, page 1: the key code" in result.output
    assert "Odile/answer-key.pdf, page 2: the key code" in result.output


def test_another_workbook_is_one_finding(demo, copy):
    for name in ("workbook.pdf", "answer-key.pdf", "answers.pdf"):
        shutil.copy(demo / "Pippa-Marrowby" / name, copy / name)
    told = [str(one) for one in check_folder(copy, True)]
    assert len(told) == 3 and all("it belongs to another workbook" in one for one in told)


def test_what_is_older_than_the_workbooks_is_told(tmp_path):
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text("student,template,keys\nAda,tiny,C major\nBen,tiny,C major\n", "utf-8")
    assert "update" not in run("build", roster, "--out", out, *SMALL).output
    assert "update" not in run("check", out).output
    build(roster, out, seed="other", students="Ben", template_dir=SMALL[1])
    assert "update" not in run("check", out).output
    (out / "Ada" / "workbook.pdf").write_bytes(b"")
    again = run("build", roster, "--out", out, "--seed", "third", "--student", "Ben", *SMALL)
    assert again.exit_code == 0 and "were not updated" in again.output
    assert "build the whole roster to update them" in again.output
    assert "print jobs do not include Ben (" in run("check", out).output


def test_what_is_missing_is_told(tmp_path):
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text("student,template,keys\nAda,tiny,C major\nBen,tiny,C major\n", "utf-8")
    build(roster, out, template_dir=SMALL[1])
    code = json.loads((out / "Ben" / "key.json").read_text("utf-8"))["code"]
    (out / "Ben" / "key.json").unlink()
    result = run("check", out)
    assert result.exit_code == 6 and "Ben/key.json: is missing" in result.output
    shutil.rmtree(out / "Ben")
    result = run("check", out)
    assert (
        result.exit_code == 6
        and f"mark-sheet.csv: lists Ben, Tiny ({code}), but no workbook" in result.output
    )


def test_a_folder_without_workbooks_is_told(tmp_path):
    (tmp_path / ".building-x").mkdir()
    (tmp_path / ".building-x" / "key.json").write_text("{}")
    result = run("check", tmp_path)
    assert result.exit_code == 2 and "no key.json" in result.output


def test_a_build_that_writes_something_wrong_leaves_the_old_files(tmp_path, monkeypatch):
    from workbook.builds import books

    roster = tmp_path / "roster.csv"
    roster.write_text("student,template,keys\nAda,first-steps,C major\n", "utf-8")
    build(roster, tmp_path / "out")
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    real = books.workbook_record

    def wrong(*args):
        text = record_text(real(*args)).replace('"answer": "1"', '"answer": "2"', 1)
        return read_record(text)

    monkeypatch.setattr(books, "workbook_record", wrong)
    with pytest.raises(CheckFailed, match="Nothing was written.*\nAda/answer-key.pdf, page 1: "):
        build(roster, tmp_path / "out", seed="other")
    assert before == {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
