"""``workbook templates``: list, show and copy the templates."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Group, example
from workbook.cli.options import NEW_FILE, template_dir_option
from workbook.cli.parameters import ends_in
from workbook.errors import ExitCode, InputError
from workbook.inputs.messages import plural, shortened

if TYPE_CHECKING:
    from workbook.studio.template_model import Template


@click.group(cls=Group, epilog=example("workbook templates list"))
def templates() -> None:
    """List, show and copy the templates that workbooks are made from."""


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
@template_dir_option
def copy(name: str, file: Path, template_dir: Path | None) -> None:
    """Copy the template NAME to FILE, for you to edit."""
    from workbook.builds.publish import whole_file
    from workbook.inputs.toml_table import text_of

    text = text_of(template_file(name, template_dir, "NAME"))
    if _exists(file):
        raise click.BadParameter(f"{file} already exists; name another file", param_hint="FILE")
    with whole_file(file, click.echo) as out:
        out.write(text.encode())
    click.echo(
        f"{file} is yours to edit. In the roster, call it {file.stem}, and build with "
        f"--template-dir {file.parent}"
    )


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
