"""What all commands have in common: errors become one message and an exit code."""

from __future__ import annotations

import gc
import signal
import sys
from collections.abc import Iterator
from itertools import takewhile
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn

import click

from workbook.errors import SIGNALLED, InputError, WorkbookError
from workbook.inputs.messages import plural, quoted


class Command(click.Command):
    """A command that explains what to do about an extra word: put words in quotes."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Click's own, after a look for words that belong to no option or argument."""
        wants_help = not set(args).isdisjoint(ctx.help_option_names)
        if not ctx.resilient_parsing and not wants_help:
            _, extra, _ = self.make_parser(ctx).parse_args(list(args))
            if extra:
                self._fail_on(extra[0], args, ctx)
        return super().parse_args(ctx, args)

    def _fail_on(self, extra: str, args: list[str], ctx: click.Context) -> NoReturn:
        example = next(self._split_texts(args), "")
        hint = f", as in {example}" if example else ""
        ctx.fail(
            f"{quoted(extra)} is one word too many; put a text of several words in quotes{hint}"
        )

    def _split_texts(self, args: list[str]) -> Iterator[str]:
        """Each option whose value seems to go on in the next words, with these in quotes."""
        for place, word in enumerate(args):
            option, equals, value = word.partition("=")
            if not any(option in names for names in self._names_of_options_with_values()):
                continue
            following = args[place + 1 :]
            words = [value] if equals else following[:1]
            words += takewhile(_goes_on, following if equals else following[1:])
            if len(words) > 1:
                yield f'{option} "{" ".join(words)}"'

    def _names_of_options_with_values(self) -> list[list[str]]:
        options = [param for param in self.params if isinstance(param, click.Option)]
        return [option.opts for option in options if not option.is_flag]


def example(*commands: str) -> str:
    """Commands as the ``epilog`` of a command's help, a line for each."""
    return "\b\nExample:  " + "\n          ".join(commands)


def _goes_on(word: str) -> bool:
    """Whether ``word`` may belong to the text before it: neither option nor file."""
    try:
        return not word.startswith("-") and not Path(word).exists()
    except OSError:  # no name of a file
        return True


_LOADING = 10_000
"""The garbage collection threshold while modules are loaded, which leaves no garbage."""


class Group(click.Group):
    """A group whose commands turn our errors into one message and their exit code."""

    command_class = Command
    group_class = type

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was named."""
        gc.set_threshold(_LOADING)
        try:
            return super().invoke(ctx)
        except WorkbookError as error:
            if isinstance(error, InputError):
                problems = plural(len(error.problems), "problem")
                click.echo(f"{problems}, nothing was written:", err=True)
            click.echo(str(error), err=True)
            ctx.exit(error.exit_code)


def _end(number: int, frame: FrameType | None) -> NoReturn:  # noqa: ARG001
    sys.exit(SIGNALLED + number)


def collect_seldom() -> None:
    """Collect garbage seldom, as a command that makes workbooks should."""
    from workbook.builds.parallel import COLLECT

    gc.freeze()  # what is loaded stays: collections need not look through it
    gc.set_threshold(COLLECT)


def end_cleanly_on_signals() -> None:
    """Remove unfinished files when the command is asked to end or its terminal is closed."""
    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):  # Windows has no SIGHUP
            signal.signal(getattr(signal, name), _end)
