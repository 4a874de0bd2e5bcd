"""``--after``: what was set on other sheets is read from their ``key.json`` files."""

from collections import Counter

import pytest

from workbook import build
from workbook.builds.earlier import earlier_sheets
from workbook.builds.orders import after, orders
from workbook.errors import InputError
from workbook.music.keys import parse_keys
from workbook.record.files import KEY
from workbook.record.identity import item_identity
from workbook.record.reader import read_record
from workbook.studio.roster import Row
from workbook.studio.settings import BuildSettings
from workbook.studio.templates import available, read_template

TEMPLATE = """
title = "Fives"
[[section]]
title = "Five fingers"
family = "five-finger"
hands = "right, left"
count = 4
ask = "finger"
points = 1
"""


@pytest.fixture
def fives(tmp_path):
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "fives.toml").write_text(
        TEMPLATE.replace('"right, left"', '["right", "left"]'), "utf-8"
    )
    return folder


def sheet(tmp_path, fives, title, **more):
    row = {"student": "Ada", "template": "fives", "keys": "C major; G major; D major; F major"}
    (built,) = build([row | {"title": title}], tmp_path / title, template_dir=fives, **more)
    return read_record((built.folder / KEY).read_text("utf-8"))


def test_sheets_after_others_repeat_nothing_and_go_round(tmp_path, fives):
    first = sheet(tmp_path, fives, "one")
    second = sheet(tmp_path, fives, "two", after=[tmp_path / "one"])
    had = {item_identity(item) for item in first.items}
    assert not had & {item_identity(item) for item in second.items}
    counts = Counter(item.key for record in (first, second) for item in record.items)
    assert set(counts.values()) == {2}
    again = sheet(tmp_path, fives, "two", after=[tmp_path])
    assert again == second, "the sheets that are built again do not count"


def test_a_folder_without_sheets_and_a_damaged_file_are_told(tmp_path, fives):
    sheet(tmp_path, fives, "one")
    (tmp_path / "none").mkdir()
    (path,) = (tmp_path / "one").rglob(KEY)
    path.write_bytes(b"\xff")
    with pytest.raises(InputError) as told:
        earlier_sheets([tmp_path / "none", tmp_path / "one"], tmp_path / "two")
    assert [problem.file for problem in told.value.problems] == [
        "none",
        "one/" + path.relative_to(tmp_path / "one").as_posix(),
    ]


def test_rows_of_one_student_and_template_come_one_after_the_other():
    template = read_template(available()["level-03"])
    rows = [
        Row(student, template, parse_keys("C major; G major"), title, None, 2)
        for student, title in (("Ada", "Mon"), ("Ben", "Mon"), ("Ada", "Tue"))
    ]
    found = after(orders(rows, BuildSettings()), {})
    assert [order.earlier.sheets for order in found] == [0, 0, 1]
