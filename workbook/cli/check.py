"""``workbook check``: the files of a build are read again and checked."""

from __future__ import annotations

from pathlib import Path

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import EXISTING_FOLDER
from workbook.cli.progress import Progress
from workbook.errors import CheckFailed, Finding


@click.command(cls=Command, epilog=example("workbook check march"))
@click.argument("folder", metavar="FOLDER", type=EXISTING_FOLDER)
def check(folder: Path) -> None:
    """Check every page of a build in FOLDER.

    FOLDER is a whole build or the folder of one student. The command checks sizes, fonts,
    numbers and key codes; that the answer key has the right answer in every box and the
    workbook has none; that boxes are clear of each other and of the music; and that workbook
    and answer key line up.
    """
    from workbook.builds.recovery import reading
    from workbook.preflight import check_folder, check_jobs, folders, missing, outdated

    steady = reading([folder], click.echo)
    found = folders(folder)
    if not found:
        raise click.BadParameter(
            f"there is no key.json in {folder} or below it; name a folder "
            "that workbook build wrote to",
            param_hint="FOLDER",
        )
    findings: list[Finding] = []
    sound: list[str] = []
    with Progress() as progress:
        for done, place in enumerate(found):
            progress.tell("Checking", done, len(found))
            name = _name(place, folder)
            wrong = check_folder(place, True, name)
            findings += wrong
            if not wrong:
                sound.append(f"{name}: all is well")
        findings += [*missing(folder), *check_jobs(folder)]
        older = outdated(folder)
        steady.check()
        progress.tell("Checking", len(found), len(found))
    for line in filter(None, [*sound, older]):
        click.echo(line)
    if findings:
        raise CheckFailed(findings)


def _name(place: Path, folder: Path) -> str:
    return place.relative_to(folder).as_posix() if place != folder else folder.resolve().name
