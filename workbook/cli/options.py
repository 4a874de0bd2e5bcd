"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from workbook.studio.settings import LETTERS, PAPERS, SIZES, STEPS

Decorated = TypeVar("Decorated", bound=Callable[..., Any])
Decorator = Callable[[Decorated], Decorated]

EXISTING_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
EXISTING_FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)
NEW_FILE = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(file_okay=False, path_type=Path)


def page_options(command: Decorated) -> Decorated:
    """``--paper``, ``--size`` and ``--punch``: how pages look."""
    return _all(
        click.option(
            "--paper",
            type=click.Choice(PAPERS, case_sensitive=False),
            default="letter",
            show_default=True,
            help="Paper size.",
        ),
        click.option(
            "--size",
            type=click.Choice(SIZES),
            default="normal",
            show_default=True,
            help="Size of staves, text and boxes; the larger ones are for low vision.",
        ),
        click.option(
            "--punch",
            is_flag=True,
            help="Leave a wider margin at the binding, for two-sided printing.",
        ),
    )(command)


def grey_option(command: Decorated) -> Decorated:
    """``--grey``: answer keys for a printer without colour."""
    return click.option(
        "--grey",
        is_flag=True,
        help="Print answers in black on grey, for a printer without colour.",
    )(command)


def word_options(command: Decorated) -> Decorated:
    """``--letters`` and ``--steps``: what notes and steps are called."""
    return _all(
        click.option(
            "--letters",
            type=click.Choice(LETTERS),
            help="Note names: German has H and B, the last three have do re mi.  "
            "[default: as the template says]",
        ),
        click.option(
            "--steps",
            type=click.Choice(STEPS),
            help="Half step, whole step, measure; or semitone, tone, bar.  "
            "[default: as the template says]",
        ),
    )(command)


def fingering_option(command: Decorated) -> Decorated:
    """``--fingering``: a file of the teacher's own."""
    return click.option(
        "--fingering",
        type=EXISTING_FILE,
        help="A file of your own fingerings, overriding the built-in ones.",
    )(command)


def studio_option(command: Decorated) -> Decorated:
    """``--studio``: the studio folder, by default the one that the command runs in."""
    return click.option(
        "--studio",
        type=EXISTING_FOLDER,
        default=Path(),
        help="The studio folder.  [default: the folder you are in]",
    )(command)


def template_dir_option(command: Decorated) -> Decorated:
    """``--template-dir``: a folder of the teacher's own templates."""
    return click.option(
        "--template-dir",
        type=EXISTING_FOLDER,
        help="Folder of your own templates, overriding built-in ones of the same name.",
    )(command)


def _all(*options: Decorator[Decorated]) -> Decorator[Decorated]:
    """The options as one decorator, in the order in which ``--help`` lists them."""

    def decorate(command: Decorated) -> Decorated:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate
