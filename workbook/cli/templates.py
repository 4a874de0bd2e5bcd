"""``workbook templates``: list, show and copy the templates, and change the sections of one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Group, example
from workbook.cli.options import EXISTING_FILE, NEW_FILE, Whole, template_dir_option
from workbook.cli.parameters import ends_in, named_values
from workbook.errors import ExitCode, InputError
from workbook.inputs.messages import plural, quoted, shortened

if TYPE_CHECKING:
    from workbook.studio.template_model import Template

MOST = 100
"""The sections of a template."""


@click.group(cls=Group, epilog=example("workbook templates list"))
def templates() -> None:
    """List, show, copy and change the templates that workbooks are made from."""


@templates.command("list", epilog=example("workbook templates list"))
@template_dir_option
@click.pass_context
def list_templates(ctx: click.Context, template_dir: Path | None) -> None:
    """List the templates with their titles."""
    from workbook.studio.templates import available, read_template
    from workbook.typesetting.runs import unprintable

    faulty = False
    for name, path in available(template_dir).items():
        try:
            click.echo(_line(name, read_template(path, unprintable=unprintable)))
        except InputError as error:
            faulty = True
            click.echo(f"{name}: {plural(len(error.problems), 'problem')}", err=True)
            click.echo(str(error), err=True)
    if faulty:
        ctx.exit(ExitCode.BAD_INPUT)


def _line(name: str, template: Template) -> str:
    level = f"level {shortened(template.level)}; " if template.level else ""
    exercises = plural(sum(section.count for section in template.sections), "exercise")
    return f"{name}: {shortened(template.title)} ({level}{exercises})"


@templates.command(epilog=example("workbook templates show all-skills"))
@click.argument("name")
@template_dir_option
def show(name: str, template_dir: Path | None) -> None:
    """Print the template NAME."""
    from workbook.inputs.toml_table import text_of

    click.echo(text_of(template_file(name, template_dir, "NAME")), nl=False)


@templates.command(epilog=example("workbook templates copy all-skills my-templates/spring.toml"))
@click.argument("name")
@click.argument("file", type=NEW_FILE, callback=ends_in(".toml"))
@click.option("--title", help="The title of the copy.")
@template_dir_option
def copy(name: str, file: Path, title: str | None, template_dir: Path | None) -> None:
    """Copy the template NAME to FILE, for you to edit."""
    from workbook.builds.publish import whole_file
    from workbook.inputs.toml_table import text_of
    from workbook.weeks import template_edits, template_sections

    text = text_of(template_file(name, template_dir, "NAME"))
    if title is not None:
        text = template_sections.headed(file.stem, text, title)
        template_edits.read(file.stem, text)
    if _exists(file):
        raise click.BadParameter(f"{file} already exists; name another file", param_hint="FILE")
    with whole_file(file, click.echo) as out:
        out.write(text.encode())
    click.echo(
        f"{file} is yours to edit. In the roster, call it {file.stem}, and build with "
        f"--template-dir {file.parent}"
    )


@templates.command(
    epilog=example("workbook templates add my-templates/spring.toml scale-fingering --at 2")
)
@click.argument("file", type=EXISTING_FILE, callback=ends_in(".toml"))
@click.argument("family")
@click.option("--at", type=Whole(1, MOST), help="Position of the new section.  [default: the last]")
def add(file: Path, family: str, at: int | None) -> None:
    """Add a section with exercises of FAMILY to the template in FILE."""
    from workbook.exercises.families import FAMILIES
    from workbook.inputs.suggestions import did_you_mean
    from workbook.weeks import template_sections

    if family not in FAMILIES:
        hint = did_you_mean(family, FAMILIES) or f"the families are {', '.join(FAMILIES)}"
        raise click.BadParameter(
            f"there is no family {quoted(family)}; {hint}", param_hint="FAMILY"
        )

    def change(name: str, text: str) -> str:
        return template_sections.added(name, text, family, None if at is None else at - 1)

    _rewrite(file, change)


@templates.command(epilog=example("workbook templates remove my-templates/spring.toml 3"))
@click.argument("file", type=EXISTING_FILE, callback=ends_in(".toml"))
@click.argument("section", type=Whole(1, MOST))
def remove(file: Path, section: int) -> None:
    """Remove section number SECTION from the template in FILE."""
    from workbook.weeks import template_sections

    _rewrite(file, lambda name, text: template_sections.removed(name, text, section - 1))


@templates.command(epilog=example("workbook templates move my-templates/spring.toml 3 1"))
@click.argument("file", type=EXISTING_FILE, callback=ends_in(".toml"))
@click.argument("section", type=Whole(1, MOST))
@click.argument("place", type=Whole(1, MOST))
def move(file: Path, section: int, place: int) -> None:
    """Move section number SECTION of the template in FILE to PLACE."""
    from workbook.weeks import template_sections

    _rewrite(file, lambda name, text: template_sections.moved(name, text, section - 1, place - 1))


@templates.command(
    "set",
    epilog=example(
        'workbook templates set my-templates/spring.toml --title "Spring"',
        "workbook templates set my-templates/spring.toml --section 3 count=6",
    ),
)
@click.argument("file", type=EXISTING_FILE, callback=ends_in(".toml"))
@click.argument("values", metavar="[KEY=VALUE]...", nargs=-1)
@click.option("--title", help="The new title.")
@click.option("--instructions", help='The instructions on the first page; "" for none.')
@click.option("--section", type=Whole(1, MOST), help="Number of the section to change.")
def set_values(
    file: Path,
    values: tuple[str, ...],
    title: str | None,
    instructions: str | None,
    section: int | None,
) -> None:
    """Change the title, the instructions or a section of the template in FILE.

    The keys of a section are those of the template file: count, points, example (yes or no),
    hands and so on. Repeat a KEY for several values; a KEY without a value is removed.
    """
    from workbook.weeks import template_edits, template_sections

    if bool(values) != (section is not None):
        raise click.UsageError("to change a section, give both --section and KEY=VALUE")
    if section is None and title is None and instructions is None:
        raise click.UsageError("say what to change: --title, --instructions or --section")
    chosen = named_values(values, "count=4")

    def change(name: str, text: str) -> str:
        text = template_sections.headed(name, text, title, instructions)
        return text if section is None else template_edits.edited(name, text, section - 1, chosen)

    _rewrite(file, change)


def _rewrite(file: Path, change: Callable[[str, str], str]) -> None:
    """Change the text of a template, if the result is valid, and list its sections."""
    from workbook.inputs.toml_table import text_of
    from workbook.weeks import template_edits, toml_edits

    new = change(file.stem, text_of(file))
    template = template_edits.read(file.stem, new)
    toml_edits.save(file, new)
    for number, section in enumerate(template.sections, 1):
        click.echo(f"{number}. {shortened(section.title)}: {plural(section.count, 'exercise')}")


def _exists(file: Path) -> bool:
    try:
        return file.exists()
    except OSError:  # writing will say why
        return False


def template_file(name: str, folder: Path | None, parameter: str) -> Path:
    """The file of the template called ``name``; ``parameter`` is where the name was given."""
    from workbook.studio.templates import find

    try:
        return find(name, folder)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint=parameter) from None
