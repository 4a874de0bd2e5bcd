"""A term run through the commands: sheets set, marked in three ways, set again, until the exam.

The learners are invented: how likely each of their boxes is right depends on the key and rises
with every exercise in it. What they wrote is kept here and compared with the record; the points
are added up here once more.
"""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pikepdf
import pytest

from tests.weeks.test_studio import run
from workbook.music.keys import parse_key
from workbook.weeks.results import marked_sheets
from workbook.weeks.studios import opened

FIRST = date(2027, 1, 12)


class Learner:
    """Writes answers: right ones, wrong ones, or none."""

    def __init__(self, name: str, ability: float):
        self.name, self._ability, self._rng = name, ability, Random(name)
        self._practised: dict[str, int] = defaultdict(int)

    def write(self, key: dict) -> dict[str, str]:
        """What is written on a sheet, by blank id: right, wrong or empty."""
        found = {}
        for section in key["sections"]:
            for item in section["items"]:
                name = item["key"]
                signs = abs(parse_key(name).fifths) if name else 0
                likely = min(self._ability - 0.05 * signs + 0.08 * self._practised[name], 0.97)
                self._practised[name] += 1
                for blank in item["blanks"]:
                    if self._rng.random() < likely:
                        found[blank["id"]] = "right"
                    else:
                        found[blank["id"]] = self._rng.choice(["wrong", "wrong", "empty"])
        return found


def items(key: dict):
    return [item for section in key["sections"] for item in section["items"]]


def added_up(key: dict, outcomes: dict[str, str]) -> dict[str, float]:
    """The points of each section: its exercises' shares of right boxes, in half points."""
    assert {section["marking"] for section in key["sections"]} == {"share"}
    return {
        section["letter"]: sum(
            share(item["points"], [outcomes[b["id"]] for b in item["blanks"]])
            for item in section["items"]
        )
        for section in key["sections"]
    }


def share(full: int, outcomes: list[str]) -> float:
    """``full`` times the share of right boxes, to the nearest half, a quarter up."""
    return (4 * full * outcomes.count("right") + len(outcomes)) // (2 * len(outcomes)) / 2


def by_typing(studio: Path, key: dict, outcomes: dict[str, str]) -> None:
    words = {"wrong": [], "empty": []}
    for name, outcome in outcomes.items():
        if outcome != "right":
            words[outcome].append(name)
    run(
        "mark",
        key["code"],
        "--wrong",
        " ".join(words["wrong"]),
        "--empty",
        " ".join(words["empty"]),
        "--studio",
        studio,
    )


def by_table(studio: Path, week: Path, key: dict, points: dict[str, float]) -> None:
    rows = list(csv.reader(io.StringIO((week / "mark-sheet.csv").read_text("utf-8-sig"))))
    row = next(row for row in rows if key["code"] in row)
    for letter, value in points.items():
        row[rows[0].index(letter)] = str(value)
    out = io.StringIO()
    csv.writer(out).writerows([rows[0], row])
    (studio / "points.csv").write_text(out.getvalue(), "utf-8")
    run("mark", "--table", studio / "points.csv", "--studio", studio)


def by_form(studio: Path, folder: Path, key: dict, outcomes: dict[str, str]) -> None:
    answers = {b["id"]: b["answer"] for item in items(key) for b in item["blanks"]}
    with pikepdf.open(folder / "workbook-form.pdf") as pdf:
        for page in pdf.pages:
            for widget in page.get("/Annots", []):
                name = str(widget.T).split()[1].replace("-", ".")
                text = {"right": answers[name], "wrong": "zz", "empty": ""}[outcomes[name]]
                if text:
                    widget.V = pikepdf.String(text)
        pdf.save(studio / "back.pdf")
    run("mark", studio / "back.pdf", "--studio", studio)


def term(folder: Path, learners: list[tuple[Learner, str]], weeks: int) -> None:
    """Run a term and check, week by week, that the record says what was written."""
    rows = "".join(f"{learner.name},{level},\n" for learner, level in learners)
    (folder / "roster.csv").write_text("student,template,keys\n" + rows, "utf-8")
    run("begin", folder)
    exam = FIRST + timedelta(weeks=weeks)
    text = (folder / "studio.toml").read_text("utf-8")
    text = text.replace("# first_lesson = 2027-01-12", f"first_lesson = {FIRST}")
    text = text.replace("# exam = 2027-06-05", f"exam = {exam}")
    text = text.replace('paper = "letter"', 'paper = "letter"\nfillable = true')
    (folder / "studio.toml").write_text(text, "utf-8")
    for number in range(weeks):
        day = FIRST + timedelta(weeks=number)
        run("next", "--studio", folder, "--week", day, "--pages", "3")
        for place, (learner, _) in enumerate(learners):
            here = folder / day.isoformat() / learner.name.replace(" ", "-")
            key = json.loads((here / "key.json").read_text("utf-8"))
            outcomes = learner.write(key)
            points = added_up(key, outcomes)
            way = ("typed", "table", "form")[(place + number) % 3]
            if way == "typed":
                by_typing(folder, key, outcomes)
            elif way == "table":
                by_table(folder, here.parent, key, points)
            else:
                by_form(folder, here, key, outcomes)
            _compare(folder, key["code"], way, outcomes, points)


def _compare(folder, code, way, outcomes, points):
    from workbook.weeks.marks import summary

    with opened(folder) as one:
        found = summary(one, code)
        marks = {name: str(mark.outcome) for name, mark in one.record.marks(code).items()}
    assert {section.letter: section.points for section in found.sections} == points
    assert found.points == sum(points.values())
    assert marks == ({} if way == "table" else outcomes)


def met_keys(folder: Path, student: str) -> set[str]:
    with opened(folder) as one:
        keys = {item.cell.key for sheet in marked_sheets(one, student) for item in sheet.items}
    return keys - {""}  # rhythms are in no key


def test_three_weeks(tmp_path):
    learners = [
        (Learner("Pippa Marrowby", 0.7), "level-01"),
        (Learner("Otto Quill", 0.5), "level-02"),
    ]
    term(tmp_path, learners, 3)
    assert met_keys(tmp_path, "Pippa Marrowby") == {"C major", "G major", "F major"}


@pytest.mark.sweep
def test_a_whole_term(tmp_path):
    from workbook.studio.templates import find, read_template

    names = ("Pippa Marrowby", "Otto Quill", "Nan Ferry", "Ilio Varga", "Zoë Linde", "Sam Oak")
    levels = ("level-01", "level-02", "level-03", "level-01", "level-02", "level-03")
    learners = [
        (Learner(name, 0.45 + 0.08 * number), level)
        for number, (name, level) in enumerate(zip(names, levels))
    ]
    term(tmp_path, learners, 12)
    for name, level in zip(names, levels):
        keys = {key.ascii for key in read_template(find(level)).keys}
        assert met_keys(tmp_path, name) == keys
