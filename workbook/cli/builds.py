"""``workbook build`` and ``workbook demo``: workbooks and answer keys from a roster."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, collect_seldom, end_cleanly_on_signals, example
from workbook.cli.options import (
    DAY,
    EXISTING_FILE,
    EXISTING_FOLDER,
    FOLDER,
    Whole,
    fingering_option,
    grey_option,
    page_options,
    studio_option,
    template_dir_option,
    weekly_option,
    word_options,
)
from workbook.cli.progress import Progress
from workbook.cli.studios import opened
from workbook.inputs.days import today
from workbook.inputs.messages import plural
from workbook.studio.settings import MOST_FORMS, BuildSettings

if TYPE_CHECKING:
    from workbook.builds.books import Built


@click.command(cls=Command, epilog=example("workbook demo"))
@click.option(
    "--out",
    type=FOLDER,
    default=Path("workbook-demo"),
    show_default=True,
    help="Folder to write to.",
)
@page_options
@grey_option
def demo(out: Path, paper: str, size: str, punch: bool, grey: bool) -> None:
    """Build the workbooks of an invented studio."""
    from workbook.resources import shipped

    roster = shipped() / "demo" / "roster.csv"
    built = _build(roster, out, BuildSettings(paper=paper, size=size, punch=punch, grey=grey))
    click.echo(
        f"\nOpen first: {built[0].folder / 'workbook.pdf'}\n"
        f"and beside it {built[0].folder / 'answer-key.pdf'}.\n"
        f"The roster it was built from: {roster}"
    )


@click.command(
    cls=Command,
    epilog=example(
        "workbook build roster.csv --out march --seed march",
        "workbook build --week 2027-01-12",
    ),
)
@click.argument("roster", type=EXISTING_FILE, required=False)
@click.option(
    "--out",
    metavar="FOLDER",
    help="Folder to write to; other files in it are left alone.",
)
@click.option(
    "--week",
    type=DAY,
    help="In a studio folder: the day of the lesson.  [default: the next lesson]",
)
@click.option(
    "--replace",
    "replacing",
    is_flag=True,
    help="In a studio folder: overwrite this week's sheets.",
)
@studio_option
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Share the work among many machines: tcp://HOST:8786, or local:4 for four processes on "
    "this machine. Each workbook gets a folder named by its key code; --out may be a URL.",
)
@click.option("--seed", default="", help="Any text; a different one gives different exercises.")
@click.option(
    "--student",
    "students",
    multiple=True,
    help="Build for this student only; may be repeated.",
)
@click.option(
    "--after",
    type=EXISTING_FOLDER,
    multiple=True,
    help="Folder of earlier sheets, whose exercises are not set again while others remain; may be "
    "repeated.",
)
@template_dir_option
@weekly_option
@click.option(
    "--forms",
    type=Whole(1, MOST_FORMS),
    default=1,
    show_default=True,
    help="Number of parallel versions per row (A, B, …).",
)
@fingering_option
@word_options
@page_options
@grey_option
@click.option(
    "--fillable",
    is_flag=True,
    help="Add workbook-form.pdf, a form to fill in on a screen, which workbook mark can read.",
)
@click.option(
    "--exam",
    is_flag=True,
    help="Leave out all help: filled-in boxes and practice instructions.",
)
@click.pass_context
def build(
    ctx: click.Context,
    roster: Path | None,
    out: str | None,
    week: date | None,
    replacing: bool,
    studio: Path,
    cluster: str | None,
    seed: str,
    students: tuple[str, ...],
    after: tuple[Path, ...],
    template_dir: Path | None,
    pages: int | None,
    forms: int,
    fingering: Path | None,
    letters: str | None,
    steps: str | None,
    paper: str,
    size: str,
    punch: bool,
    grey: bool,
    fillable: bool,
    exam: bool,
) -> None:
    """Build workbooks and answer keys from ROSTER, a CSV file.

    Each row of ROSTER becomes a workbook and its answer key. In a studio folder, leave out ROSTER
    and --out: the sheets go into a folder for the week and into the record.
    """
    settings = BuildSettings(
        paper=paper,
        size=size,
        punch=punch,
        grey=grey,
        fillable=fillable,
        letters=letters,
        steps=steps,
        forms=forms,
        fingering=fingering,
        template_dir=template_dir,
        exam=exam,
        pages=pages,
    )
    if roster is None:
        _check_for_studio(out, cluster)
        explicit = {name for name in asdict(settings) if _given(ctx, name)}
        _build_week(studio, week, settings, explicit, seed, students, replacing, after)
        return
    if week or replacing:
        raise click.UsageError("--week and --replace are for studio folders; leave out ROSTER")
    if out is None:
        raise click.UsageError("name a folder to write to with --out")
    if cluster is not None:
        _build_on(cluster, roster, out, settings, seed, students, after)
        return
    if "://" in out:
        raise click.BadParameter("a URL needs --cluster", param_hint="--out")
    _build(roster, _folder(out), settings, seed, students, after)


def _folder(out: str) -> Path:
    ctx = click.get_current_context()
    param = next(param for param in ctx.command.params if param.name == "out")
    return Path(FOLDER.convert(out, param, ctx))


def _given(ctx: click.Context, name: str) -> bool:
    return ctx.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE


def _check_for_studio(out: str | None, cluster: str | None) -> None:
    if out or cluster:
        raise click.UsageError("name a roster; without one, the sheets go into a studio folder")


def _build_week(
    studio: Path,
    week: date | None,
    settings: BuildSettings,
    explicit: set[str],
    seed: str,
    students: tuple[str, ...],
    replacing: bool,
    after: tuple[Path, ...],
) -> None:
    from workbook.engraving.engrave import cores
    from workbook.weeks.sets import Run, set_week

    end_cleanly_on_signals()
    collect_seldom()
    notices: list[str] = []
    with opened(studio) as open_studio, Progress() as progress:
        own = open_studio.studio
        day = week or own.next_lesson(today())
        built = set_week(
            open_studio,
            day,
            students=students,
            seed=seed,
            forms=settings.forms,
            settings=replace(own.build, **{name: getattr(settings, name) for name in explicit}),
            replacing=replacing,
            after=after,
            run=Run(progress.tell, notices.append, processes=cores()),
        )
    for one in built:
        click.echo(built_line(one))
    for line in notices:
        click.echo(line)


def _build_on(
    cluster: str,
    roster: Path,
    out: str,
    settings: BuildSettings,
    seed: str,
    students: tuple[str, ...],
    after: tuple[Path, ...],
) -> None:
    from workbook.builds.cluster import build_on
    from workbook.builds.dask_workers import connect

    if students:
        raise click.UsageError("--student cannot be used with --cluster")
    end_cleanly_on_signals()
    with connect(cluster) as workers, Progress() as progress:
        done = build_on(
            workers, roster, out, settings, seed=seed, after=after, progress=progress.tell
        )
    if done.notice:
        click.echo(done.notice)
    there = plural(done.workbooks - done.made, "workbook")
    click.echo(f"{plural(done.made, 'workbook')} built, {there} already there -> {out}")


def _build(
    roster: Path,
    out: Path,
    settings: BuildSettings,
    seed: str = "",
    students: tuple[str, ...] = (),
    after: tuple[Path, ...] = (),
) -> list[Built]:
    from workbook.builds.workbooks import build as run
    from workbook.engraving.engrave import cores
    from workbook.preflight import outdated

    end_cleanly_on_signals()
    collect_seldom()
    notices: list[str] = []
    with Progress() as progress:
        built = run(
            roster,
            out,
            seed=seed,
            students=students,
            after=after,
            progress=progress.tell,
            notice=notices.append,
            **asdict(settings),
            processes=cores(),
        )
    for one in built:
        click.echo(built_line(one))
    for line in notices:
        click.echo(line)
    if students and (older := outdated(out)):
        click.echo(older)
    return built


def built_line(built: Built) -> str:
    """A workbook that was built, in a line."""
    counts = [
        plural(number, name)
        for number, name in (
            (built.items, "exercise"),
            (built.points, "point"),
            (built.pages, "page"),
        )
    ]
    return (
        f"{built.student}: {built.title}, {', '.join(counts)}, key code {built.code} "
        f"-> {built.folder}"
    )
