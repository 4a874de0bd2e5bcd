"""``workbook print``: one print job from PDF files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import NAMED_FILE, NEW_FILE, Whole
from workbook.cli.parameters import ends_in
from workbook.design import DEFAULT_HAND, HANDS
from workbook.inputs.messages import plural

if TYPE_CHECKING:
    from workbook.builds.print_jobs import Printed

_HOW_TO_FOLD = (
    (
        "Print at actual size, landscape, on both sides, flip on short edge, so that the "
        "backs are upright."
    ),
    (
        "Fold the sheets of each booklet together in the middle, the first sheet outermost, "
        "and stitch them in the fold."
    ),
)


@click.command(
    "print",
    cls=Command,
    epilog=example(
        "workbook print march/*/workbook.pdf --out lesson.pdf --copies 2",
        "workbook print march/*/workbook.pdf --booklet --onto tabloid --out booklets.pdf",
    ),
)
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=NAMED_FILE)
@click.option(
    "--out",
    required=True,
    type=NEW_FILE,
    callback=ends_in(".pdf"),
    help="The print job, a .pdf file.",
)
@click.option(
    "--copies",
    type=Whole(1, 999),
    default=1,
    show_default=True,
    help="Number of copies of the whole job, one after the other.",
)
@click.option(
    "--booklet",
    is_flag=True,
    help="Make a booklet of each FILE: two pages to a side, to fold and stitch in the middle.",
)
@click.option(
    "--onto",
    type=click.Choice(("letter", "a4", "tabloid", "a3"), case_sensitive=False),
    help="Paper for booklets. On tabloid or A3, Letter or A4 pages keep their size.  "
    "[default: the paper of the pages, which are reduced to fit]",
)
@click.option(
    "--fronts/--no-fronts", default=None, help="Begin each FILE on a front side.  [default: fronts]"
)
def print_files(
    files: tuple[Path, ...],
    out: Path,
    copies: int,
    booklet: bool,
    onto: str | None,
    fronts: bool | None,
) -> None:
    """Join PDF files into one print job.

    The command does not send it to the printer.
    """
    if onto and not booklet:
        raise click.UsageError("--onto is the paper for booklets; add --booklet")
    if booklet and fronts is False:
        raise click.UsageError("a booklet always begins on a front side; leave out --no-fronts")
    from workbook.builds.print_jobs import booklets, print_job

    end_cleanly_on_signals()
    if booklet:
        job = booklets(files, out, copies=copies, onto=onto, notice=click.echo)
    else:
        job = print_job(files, out, copies=copies, fronts=fronts is not False, notice=click.echo)
    for file, notes in zip(files, job.left_out):
        if notes:
            left_out = plural(notes, "note or form field", "notes or form fields")
            click.echo(f"{file}: {left_out} on its pages left out")
    click.echo("\n".join(_summary(job, fronts is not False)))


_SMALLER = (
    "A box of 8 mm is then {:.1f} mm high. For boxes to write in, build the workbooks on small "
    "paper (--paper half-letter or a5), or print onto larger sheets (--onto tabloid or a3)."
)


def _summary(job: Printed, fronts: bool) -> list[str]:
    """What the print job contains and how to print it, line by line."""
    files = plural(len(job.pages), "booklet" if job.sheet else "file")
    start = f"{job.out}: {files}, {plural(job.copies, 'copy', 'copies')}, "
    if not job.sheet:
        sides = f"{start}{plural(job.sides, 'side')}"
        return [sides, "Print on both sides, flip on long edge."] if fronts else [sides]
    scale = f"{round(100 * job.scale, 1):g} % of their size"
    sheets = plural(job.sides // 2, "sheet")
    told = [f"{start}{sheets} of {job.sheet}, pages at {scale}"]
    if job.scale < 1:
        told.append(_SMALLER.format(HANDS[DEFAULT_HAND].box * job.scale))
    return [*told, *_sheets(job), *_HOW_TO_FOLD]


def _sheets(job: Printed) -> list[str]:
    """For each booklet, which sheets of the job are its own."""
    lines, first = [], 1
    for title, pages in zip(job.titles, job.pages):
        last = first + (pages + 3) // 4 - 1
        sheets = f"sheet {first}" if first == last else f"sheets {first} to {last}"
        each = " of each copy" if job.copies > 1 else ""
        lines.append(f"  {title}: {plural(pages, 'page')}, {sheets}{each}")
        first = last + 1
    return lines
