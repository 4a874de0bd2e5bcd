"""Whatever is damaged in a workbook, ``check`` says so in sentences, soon, and ends."""

import copy
import json
import re
import shutil
import sys
import time
import zlib

import pikepdf
import pytest
from click.testing import CliRunner

from tests.faults.damages import damaged, damages
from workbook import cli

FOREIGN = re.compile(
    r"Traceback|Error\b|Exception|NoneType|invalid literal|codec can't|unpack|qpdf|pikepdf|\\x"
)
"""Words of Python and its libraries."""
SAMPLE, ALL = 24, 120
SECONDS_A_MB = 6 if "coverage" in sys.modules else 1.6
"""Counting which lines run takes three times as long."""


@pytest.fixture(scope="module")
def good(demo):
    """The smallest workbook of the demo."""
    return min((path.parent for path in demo.rglob("key.json")), key=lambda at: len(list_of(at)))


def list_of(folder):
    return (folder / "key.json").read_bytes()


def survives(good, into, damage):
    folder = damaged(good, damage, into)
    start = time.monotonic()
    told = CliRunner().invoke(cli.main, ["check", str(folder)])
    assert told.exit_code in (0, 6), (damage.how, told.output, told.exception)
    assert isinstance(told.exception, SystemExit | None), (damage.how, told.exception)
    assert not FOREIGN.search(told.output), (damage.how, told.output)
    assert time.monotonic() - start < 30, damage.how
    return told.exit_code


def test_check_survives_a_sample_of_damages(good, tmp_path):
    codes = [survives(good, tmp_path / "book", one) for one in damages(good, SAMPLE)]
    assert codes.count(6) > SAMPLE / 2


@pytest.mark.sweep
def test_check_survives_random_damages(good, tmp_path):
    codes = [survives(good, tmp_path / "book", one) for one in damages(good, ALL)]
    assert codes.count(6) > ALL / 2


def many_sections(data, size):
    one = data["sections"]
    data["sections"] = one * (size // len(json.dumps(one)))


def many_items(data, size):
    one = data["sections"][0]
    one["items"] = one["items"] * (size // len(json.dumps(one["items"])))


def many_blanks(data, size):
    item = data["sections"][0]["items"][0]
    item["groups"] = []
    one = item["blanks"][0]
    item["blanks"] = [
        {**one, "id": f"{item['number']}.{number}"}
        for number in range(1, size // len(json.dumps(one)))
    ]


def many_answers(data, size):
    data["sections"][0]["items"][0]["blanks"][0]["accept"] = [str(n) for n in range(size // 10)]


def long_title(data, size):
    data["title"] = "x" * size


def consistent(data, size, rect):
    """Many items that agree with one another; ``rect`` places a blank by its number."""
    (section,) = data["sections"] = data["sections"][:1]
    (one,) = section["items"] = section["items"][:1]
    count = size // len(json.dumps(one))
    section["items"] = items = [copy.deepcopy(one) for _ in range(min(count, 9_999))]
    data["points"] = sum(item["points"] for item in items)
    drawn = 0
    for number, item in enumerate(items, 1):
        item["number"] = number
        for count, blank in enumerate(item["blanks"], 1):
            page, blank["rect"] = rect(drawn)
            blank.update(id=f"{number}.{count}", page=page)
            drawn += 1
        item["page"] = item["blanks"][0]["page"]


def on_one_page(data, size):
    consistent(data, size, lambda n: (1, small(n)))


def on_many_pages(data, size):
    """Each blank on a page of its own: those of a page must not be looked for among all."""
    many_blanks(data, size)
    (section,) = data["sections"] = data["sections"][:1]
    (one,) = section["items"] = section["items"][:1]
    blanks = one["blanks"]
    section["items"] = [
        {**one, "number": number, "page": 1 + start, "blanks": blanks[start : start + 9_999]}
        for number, start in enumerate(range(0, len(blanks), 9_999), 1)
    ]
    data["points"] = one["points"] * len(section["items"])
    for item in section["items"]:
        for count, blank in enumerate(item["blanks"]):
            name = f"{item['number']}.{count + 1}"
            blank.update(id=name, page=item["page"] + count, rect=small(0))


def without_height(data, size):
    """What is drawn on staves may touch, so that nothing stops the comparison of all pairs."""
    consistent(data, size, lambda n: (1, [60, 100, 500, 100]))
    for item in data["sections"][0]["items"]:
        for blank in item["blanks"]:
            blank.update(asks="notes", match="notes")


def small(number):
    x, y = 56 + 2.7 * (number % 180), 60 + 2.7 * (number // 180)
    return [round(value, 2) for value in (x, y, x + 1.5, y + 1.5)]


CHANGES = (
    many_sections,
    many_items,
    many_blanks,
    many_answers,
    long_title,
    on_one_page,
    on_many_pages,
    without_height,
)


@pytest.mark.parametrize("mb", [1.5, pytest.param(6, marks=pytest.mark.sweep)])
@pytest.mark.parametrize("change", CHANGES)
def test_a_large_key_json_is_checked_in_time(good, tmp_path, change, mb):
    folder = tmp_path / "book"
    shutil.copytree(good, folder)
    data = json.loads(list_of(folder))
    change(data, int(mb * 1e6))
    (folder / "key.json").write_text(json.dumps(data), "utf-8")
    assert (folder / "key.json").stat().st_size > 0.83e6 * mb
    start = time.process_time()
    told = CliRunner().invoke(cli.main, ["check", str(folder)])
    assert time.process_time() - start < SECONDS_A_MB * mb + 1
    assert told.exit_code == 6, told.output


def test_encrypted_files_are_told_in_a_sentence(good, tmp_path):
    """AES-256 (ISO 32000-2, 7.6), with a password."""
    folder = tmp_path / "book"
    shutil.copytree(good, folder)
    for name in ("workbook.pdf", "answer-key.pdf"):
        with pikepdf.open(folder / name, allow_overwriting_input=True) as pdf:
            pdf.save(folder / name, encryption=pikepdf.Encryption(owner="o", user="u", R=6))
    told = CliRunner().invoke(cli.main, ["check", str(folder)])
    assert told.exit_code == 6, told.output
    assert told.output.count("locked with a password") == 2, told.output


def test_a_bomb_is_told_and_not_unpacked(good, tmp_path):
    """300 MB of zeros as the content of a page."""
    folder = tmp_path / "book"
    shutil.copytree(good, folder)
    packer, block = zlib.compressobj(9), bytes(1 << 20)
    data = b"".join(packer.compress(block) for _ in range(300)) + packer.flush()
    with pikepdf.open(folder / "workbook.pdf", allow_overwriting_input=True) as pdf:
        content = pdf.make_stream(b"")
        content.write(data, filter=pikepdf.Name.FlateDecode)
        pdf.pages[0].obj.Contents = content
        pdf.save(folder / "workbook.pdf")
    told = CliRunner().invoke(cli.main, ["check", str(folder)])
    assert told.exit_code == 6 and "far more data than a page needs" in told.output, told.output
