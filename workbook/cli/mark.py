"""``workbook mark``: marks into the record."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import EXISTING_FILE, NAMED_FILE, studio_option
from workbook.cli.studios import opened
from workbook.inputs.messages import plural

if TYPE_CHECKING:
    from workbook.weeks.marking_session import Session
    from workbook.weeks.marks import Summary
    from workbook.weeks.studios import OpenStudio

_NOTATION = (
    "2 = all of exercise 2, 5.3 = its box 3, 17.1-4, 5.r3 = right hand, 8- = left empty, "
    "22* = ask me, +5.3 = right after all, later 3 = page 3 is missing, undo"
)


@click.command(
    cls=Command,
    epilog=example(
        "workbook mark QWZ-6UR",
        'workbook mark QWZ-6UR --wrong "2 5.3 11" --empty "8"',
        "workbook mark returned/*.pdf",
        "workbook mark --table 2027-01-12/mark-sheet.csv",
    ),
)
@click.argument("sheets", nargs=-1, metavar="CODE | FILE.pdf...")
@click.option(
    "--wrong",
    metavar="BOXES",
    help="Boxes that are wrong: 2 is all of exercise 2, 5.3 is its box 3, 17.1-4 are four boxes.",
)
@click.option("--empty", metavar="BOXES", help="Boxes that were left empty.")
@click.option("--all-right", is_flag=True, help="Every box is right.")
@click.option(
    "--later", metavar="PAGES", help="Numbers of missing pages, whose boxes stay unmarked."
)
@click.option("--not-handed-in", is_flag=True, help="The sheet did not come back.")
@click.option(
    "--from-json",
    type=NAMED_FILE,
    help="Marks from another program; - reads standard input.",
)
@click.option(
    "--table",
    type=EXISTING_FILE,
    help="A mark sheet with the points of each section, CSV or .xlsx.",
)
@click.option("--by", default="", help="Who marked, if not you.")
@studio_option
def mark(
    sheets: tuple[str, ...],
    wrong: str | None,
    empty: str | None,
    all_right: bool,
    later: str | None,
    not_handed_in: bool,
    from_json: Path | None,
    table: Path | None,
    by: str,
    studio: Path,
) -> None:
    """Record the marks of a sheet.

    Give the key code at the foot of the sheet; boxes that you do not list count as right. Without
    an option, the command asks what is wrong. If you give PDF forms, the answers typed into them
    are judged.
    """
    files = [Path(name) for name in sheets if name.lower().endswith(".pdf")]
    named = wrong is not None or empty is not None or all_right or later is not None
    if [bool(sheets), bool(from_json), bool(table)].count(True) != 1:
        raise click.UsageError("give a key code, PDF files, --table or --from-json")
    if len(sheets) > 1 and len(files) < len(sheets):
        raise click.UsageError("give one key code, or only PDF files")
    if files and (named or not_handed_in):
        raise click.UsageError(
            "PDF forms are judged automatically; to correct the marks, give the key code"
        )
    if all_right and (wrong or empty):
        raise click.UsageError("--all-right cannot be used with --wrong or --empty")
    with opened(studio) as open_studio:
        if from_json:
            lines = _summaries(_from_json(open_studio, from_json))
        elif table:
            lines = _from_table(open_studio, table, by)
        elif files:
            lines = _from_files(open_studio, files)
        else:
            session = _session(open_studio, sheets[0], by)
            if not_handed_in:
                session.not_handed_in()
                lines = [f"{session.sheet.student}: {session.code} was not handed in."]
            else:
                changed = []
                if named:
                    changed = session.all_but(wrong or "", empty or "", later or "")
                else:
                    _ask(session)
                lines = [*summary_lines(session.summary()), *_now_right(changed)]
        open_studio.save()
    click.echo("\n".join(lines))


def _now_right(changed: list[str]) -> list[str]:
    from workbook.weeks.marks import boxes_named

    if not changed:
        return []
    was, it, counts = (
        ("was", "it", "it counts") if len(changed) == 1 else ("were", "them", "they count")
    )
    told = (
        f"{boxes_named(changed)} {was} wrong or empty; you did not name {it}, so {counts} as right."
    )
    return [told[0].upper() + told[1:]]


def _session(open_studio: OpenStudio, typed: str, by: str) -> Session:
    from workbook.weeks.codes import known_code
    from workbook.weeks.marking_session import Session

    return Session(open_studio, known_code(open_studio.record, typed), by)


def _summaries(found: Iterable[Summary]) -> list[str]:
    return [line for one in found for line in summary_lines(one)]


def _from_table(open_studio: OpenStudio, table: Path, by: str) -> list[str]:
    from workbook.weeks.table_marks import enter_table

    found = enter_table(open_studio, table, by)
    points = [
        f"{one.student}: {one.title}, {one.code}  {_points_line(one)}" for one in found.summaries
    ]
    return [*points, *found.notes] or [f"{table} has no points yet."]


def _from_files(open_studio: OpenStudio, files: list[Path]) -> list[str]:
    from workbook.weeks.returned_files import enter_files

    found = enter_files(open_studio, files)
    unread = [f"Not read: {line}" for line in found.unread]
    return [*unread, *_summaries(found.summaries), *found.notes]


def _from_json(open_studio: OpenStudio, file: Path) -> list[Summary]:
    from workbook.errors import InputError
    from workbook.inputs.problem_log import ProblemLog
    from workbook.inputs.toml_table import read_utf8
    from workbook.weeks.program_marks import enter_json

    if str(file) == "-":
        return enter_json(open_studio, sys.stdin.read(), "standard input")
    log = ProblemLog(file.name, "line")
    text = read_utf8(file, log)
    if text is None:
        raise InputError(log.problems)
    return enter_json(open_studio, text, file.name)


def _ask(session: Session) -> None:
    """Ask for what is not right until the teacher is done."""
    from workbook.marking.wrong_boxes import NotUnderstood

    sheet, workbook = session.sheet, session.workbook
    boxes = plural(len(workbook.blanks), "box", "boxes")
    click.echo(
        f"{sheet.student}: {sheet.title}, {sheet.code}, "
        f"{plural(len(workbook.items), 'exercise')}, {boxes}"
    )
    click.echo(f"What is not right? ({_NOTATION}; Enter = nothing)")
    first = not session.marked
    while True:
        typed = click.prompt(">", default="", show_default=False, prompt_suffix=" ").strip()
        try:
            if typed == "undo":
                session.undo()
            elif typed or first:
                named = session.line(typed, whole=first)
                first = False
                _show(session, named)
                _ask_boxes(session)
            else:
                return
        except NotUnderstood as error:
            click.echo(str(error))
            continue
        click.echo(_points_line(session.summary()))
        click.echo("Anything else? (Enter = done)")


def _show(session: Session, named: list[int]) -> None:
    """The answers of the exercises that were named, each box with its mark."""
    from workbook.marking.answer_lines import answer_lines
    from workbook.weeks.marks import item_name

    outcomes, naming = session.outcomes(), session.naming
    for item in session.workbook.items:
        if item.number in named:
            click.echo(f"{item.number}. {item_name(item, naming)}")
            for line in answer_lines(item, outcomes):
                click.echo(f"   {line}")


def _ask_boxes(session: Session) -> None:
    """For each exercise with a star, ask which boxes are wrong; each answer is saved at once."""
    from workbook.marking.wrong_boxes import NotUnderstood

    while session.asked:
        number = session.asked[0]
        _show(session, [number])
        typed = click.prompt(
            "   Wrong boxes (1-4, r3; add - for empty; later)",
            default="",
            show_default=False,
        )
        try:
            session.boxes(number, typed)
        except NotUnderstood as error:
            click.echo(f"   {error}")


def _points_line(summary: Summary) -> str:
    parts = [
        f"{section.letter} {'?' if section.points is None else f'{section.points:g}'}"
        for section in summary.sections
    ]
    total = sum(section.points or 0 for section in summary.sections)
    whole = all(section.points is not None for section in summary.sections)
    parts.append(f"total {total:g} of {summary.full}" if whole else f"so far {total:g}")
    return "  ".join(parts)


def summary_lines(summary: Summary) -> list[str]:
    """The summary of a sheet: points, then what was wrong."""
    lines = [f"{summary.student}: {summary.title}, {summary.code}", _points_line(summary)]
    if summary.not_marked:
        lines.append(f"{plural(summary.not_marked, 'box', 'boxes')} not marked yet")
    lines += summary.wrong
    if not summary.wrong and not summary.not_marked:
        lines.append("Everything is right.")
    return lines
