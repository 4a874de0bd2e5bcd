"""``workbook begin``, ``record`` and ``student``: the studio folder, its record, its students."""

from __future__ import annotations

from datetime import date
from pathlib import Path, PurePath

import click

from workbook.cli.commands import Command, Group, example
from workbook.cli.options import DAY, EXISTING_FILE, FOLDER, studio_option
from workbook.cli.studios import opened
from workbook.inputs.days import today
from workbook.inputs.messages import plural

_BEGUN = "{} is now a studio folder."
_FIRST_ROSTER = "student,template,keys,title\n"


@click.command(cls=Command, epilog=example("workbook begin studio --roster roster.csv"))
@click.argument("folder", type=FOLDER)
@click.option("--roster", type=EXISTING_FILE, help="A roster to start with; it is copied.")
@click.option("--invented", is_flag=True, help="Start with invented students and a term.")
def begin(folder: Path, roster: Path | None, invented: bool) -> None:
    """Make FOLDER a studio folder, with a record of marks."""
    from workbook.inputs.problem_log import bytes_of
    from workbook.studio.folder import ROSTER, SETTINGS
    from workbook.studio.roster import read_roster
    from workbook.studio.row_settings import files_beside
    from workbook.weeks.studios import begin as run

    if invented:
        _begin_invented(folder, roster)
        return
    there = folder / ROSTER
    beside: dict[PurePath, bytes] = {}
    has_students = roster is not None or there.is_file()
    if roster is not None:
        beside = files_beside(read_roster(roster), roster)
        data = roster.read_bytes()
    else:
        data = bytes_of(there) if there.is_file() else _FIRST_ROSTER.encode()
    studio = run(folder, data, beside)
    click.echo(_BEGUN.format(studio.folder))
    students = "" if has_students else f", and your students into {there}"
    click.echo(f"Write the dates of the term into {studio.folder / SETTINGS}{students}.")
    click.echo(f"Then, in that folder: workbook build --week {today()}")


def _begin_invented(folder: Path, roster: Path | None) -> None:
    from workbook.studio.folder import ROSTER
    from workbook.weeks.first_roster import invented

    if roster is not None or (folder / ROSTER).exists():
        raise click.UsageError("invented students need a folder without a roster")
    click.echo(_BEGUN.format(invented(folder, today()).folder))
    click.echo(f"Then, in that folder: workbook build --week {today()}")


@click.group("record", cls=Group)
def record() -> None:
    """Show, check, copy and restore the record of marks."""


@record.command(cls=Command)
@studio_option
def show(studio: Path) -> None:
    """List the recorded sheets with their points."""
    from workbook.weeks.marks import summary

    with opened(studio) as open_studio:
        sheets = open_studio.record.sheets()
        marked = open_studio.record.last_marked()
        for sheet in sheets:
            told = f"{sheet.week}  {sheet.code}  {sheet.student}: {sheet.title}"
            if sheet.code in marked:
                found = summary(open_studio, sheet.code)
                told += (
                    ", partly marked"
                    if found.points is None
                    else f", {found.points:g} of {found.full} points"
                )
            elif sheet.state != "out":
                told += f", {sheet.state}"
            click.echo(told)
        click.echo(f"{plural(len(sheets), 'sheet')}, {len(marked)} marked")


@record.command(cls=Command, epilog=example("workbook record sheet --week 2027-01-12"))
@click.option("--week", type=DAY, help="The day of a lesson.  [default: all]")
@studio_option
def sheet(week: date | None, studio: Path) -> None:
    """Write the mark sheet with the recorded points, as a table and as a PDF."""
    from workbook.weeks.mark_sheets import write_mark_sheets

    with opened(studio) as open_studio:
        for path in write_mark_sheets(open_studio, week):
            click.echo(str(path))


@record.command("check", cls=Command)
@studio_option
def check_record(studio: Path) -> None:
    """Check the record and its newest copy."""
    from workbook.studio_record.copies import copies
    from workbook.studio_record.database import RecordError, fault

    with opened(studio) as open_studio:
        files = [open_studio.record.path, *copies(studio)[:1]]
        open_studio.record.read_through()
        for sheet in open_studio.record.sheets():
            open_studio.record.workbook(sheet.code)
    for file in files:
        if wrong := fault(file):
            raise RecordError(f"{file}: {wrong}. Restore a copy with: workbook record restore")
        click.echo(f"{file}: sound")


@record.command(cls=Command)
@studio_option
def save(studio: Path) -> None:
    """Save a copy of the record and a table of all marks now."""
    from workbook.studio_record.copies import TABLE

    with opened(studio) as open_studio:
        copy = open_studio.save()
    click.echo(f"{copy}\n{copy.with_name(TABLE)}")


@record.command(cls=Command)
@click.argument("copy", type=EXISTING_FILE, required=False)
@click.option("--yes", is_flag=True, help="Do not ask for confirmation.")
@studio_option
def restore(copy: Path | None, yes: bool, studio: Path) -> None:
    """Restore the record from a copy.

    Without COPY, the newest copy in the studio folder is used. If this computer already has a
    record, it is kept under another name.
    """
    from workbook.studio_record.copies import copies
    from workbook.weeks.studios import restore as run

    chosen = copy or next(iter(copies(studio)), None)
    if chosen and not yes:
        click.confirm(f"Restore the record from {chosen}?", abort=True)
    click.echo(f"The record was restored from {run(studio, chosen)}.")


@record.command(cls=Command)
@click.argument("code")
@click.option("--out", type=FOLDER, required=True, help="A new folder for its files.")
@studio_option
def remake(code: str, out: Path, studio: Path) -> None:
    """Make a sheet again from the record alone."""
    from workbook.weeks.codes import known_code
    from workbook.weeks.recipes import remake as run

    with opened(studio) as open_studio:
        built = run(open_studio, known_code(open_studio.record, code), out)
    click.echo(f"{built.student}: {built.title}, key code {built.code} -> {built.folder}")


@click.group(cls=Group)
def student() -> None:
    """Rename a student, or note that a student has left."""


@student.command(cls=Command, epilog=example('workbook student rename "Ada" "Ada Moor"'))
@click.argument("old")
@click.argument("new")
@studio_option
def rename(old: str, new: str, studio: Path) -> None:
    """Rename a student in the roster and in the record."""
    from workbook.weeks.students import rename as run

    with opened(studio) as open_studio:
        rows = run(open_studio, old, new)
        open_studio.save()
    click.echo(f"{old} is now {new} in the record and in {plural(rows, 'row')} of the roster.")


@student.command(cls=Command)
@click.argument("name")
@click.option("--back", is_flag=True, help="The student is back.")
@studio_option
def leave(name: str, back: bool, studio: Path) -> None:
    """Note that a student has left; sheets and marks are kept."""
    from workbook.weeks.students import leave as run

    with opened(studio) as open_studio:
        run(open_studio, name, back=back)
        open_studio.save()
    click.echo(f"{name} {'is back' if back else 'has left'}; sheets and marks are kept.")
