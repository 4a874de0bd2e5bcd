"""The command line: options in the teacher's words, one clear message when something is wrong.

Everything heavy is imported inside the commands, so that ``--help`` is quick.
"""

from __future__ import annotations

import re
import signal
import sys
from pathlib import Path

import click

from workbook import __version__
from workbook.errors import CheckFailed, InputError, OutputError, WorkbookError

TONICS = {
    "major": "Cb Gb Db Ab Eb Bb F C G D A E B F# C#",
    "minor": "Ab Eb Bb F C G D A E B F# C# G# D# A#",
}


class _Group(click.Group):
    """A group that turns our errors into one message and their exit code."""

    def invoke(self, context: click.Context):
        try:
            return super().invoke(context)
        except WorkbookError as error:
            if isinstance(error, InputError):
                count = len(error.problems)
                click.echo(f"{count} problem{'s' * (count != 1)}, nothing was written:", err=True)
            click.echo(str(error), err=True)
            context.exit(error.exit_code)


class _FamilyName(click.ParamType):
    """The name of a family of exercises; the families are loaded when one is named."""

    name = "family"

    def convert(self, value, param, context):
        from workbook.exercises.families import FAMILIES

        return click.Choice(tuple(FAMILIES)).convert(value, param, context)

    def shell_complete(self, context, param, incomplete):
        from click.shell_completion import CompletionItem

        from workbook.exercises.families import FAMILIES

        return [CompletionItem(name) for name in FAMILIES if name.startswith(incomplete)]


class _KeyName(click.ParamType):
    """A musical key as a teacher writes it."""

    name = "key"

    def convert(self, value, param, context):
        from workbook.music.keys import Key, parse_key

        if isinstance(value, Key):
            return value
        try:
            return parse_key(value)
        except ValueError as error:
            self.fail(str(error), param, context)

    def shell_complete(self, context, param, incomplete):
        from click.shell_completion import CompletionItem

        names = [f"{tonic} {mode}" for mode, tonics in TONICS.items() for tonic in tonics.split()]
        return [CompletionItem(n) for n in names if n.lower().startswith(incomplete.lower())]


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__)
def main():
    """Printed piano workbooks, one for each student, with answer keys.

    \b
    Try it on an invented studio:   workbook demo
    Then on your own:               workbook build roster.csv --out march
    """


def _page_options(command):
    """The options of how pages look."""
    for option in (
        click.option(
            "--grey",
            is_flag=True,
            help="Print answers black on grey, for a printer without colour.",
        ),
        click.option(
            "--punch",
            is_flag=True,
            help="Leave a wider margin at the binding, for a two-sided book.",
        ),
        click.option(
            "--size",
            type=click.Choice(("normal", "large", "extra-large")),
            default="normal",
            show_default=True,
            help="Size of staff, text and boxes; the larger ones for low vision.",
        ),
        click.option(
            "--paper",
            type=click.Choice(("letter", "a4"), case_sensitive=False),
            default="letter",
            show_default=True,
            help="Paper size.",
        ),
    ):
        command = option(command)
    return command


def _words(command):
    """The options of what notes and steps are called."""
    for option in (
        click.option(
            "--steps",
            type=click.Choice(("half step", "semitone")),
            help="Half step, whole step, measure; or semitone, tone, bar.",
        ),
        click.option(
            "--letters",
            type=click.Choice(("english", "german", "italian", "french", "spanish")),
            help="Note names; German has H and B, the last three do re mi.",
        ),
    ):
        command = option(command)
    return command


def _page(paper: str, size: str, punch: bool):
    from workbook.pages.flow import Page

    return Page(paper, size, punch)


_fingering = click.option(
    "--fingering",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A file of your own fingerings, over the ones that come along.",
)


@main.command()
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("workbook-demo"),
    show_default=True,
    help="Folder to write into.",
)
@_page_options
def demo(out: Path, paper: str, size: str, punch: bool, grey: bool):
    """Build the workbooks of an invented studio.

    \b
    Example:  workbook demo
    """
    from workbook.resources import shipped

    roster = shipped() / "demo" / "roster.csv"
    built = _build(
        roster,
        out,
        seed="",
        students=(),
        template_dir=None,
        page=_page(paper, size, punch),
        grey=grey,
    )
    click.echo(
        f"\nOpen first: {built[0].folder / 'workbook.pdf'}\n"
        f"and beside it {built[0].folder / 'answer-key.pdf'}.\n"
        f"The roster it was built from: {roster}"
    )


@main.command()
@click.argument("roster", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--out",
    required=True,
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder to write into; other files there are left alone.",
)
@click.option("--seed", default="", help="Any word; another word gives other exercises.")
@click.option(
    "--student",
    "students",
    multiple=True,
    help="Build only this student; may be given several times.",
)
@click.option(
    "--template-dir",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Folder with your own templates, looked at before the ones that come along.",
)
@click.option(
    "--forms",
    type=click.IntRange(1, 26),
    default=1,
    show_default=True,
    help="So many workbooks a row, A, B and so on: alike, with other exercises.",
)
@_fingering
@_words
@_page_options
def build(
    roster: Path,
    out: Path,
    seed: str,
    students: tuple[str, ...],
    template_dir: Path | None,
    forms: int,
    fingering: Path | None,
    letters: str | None,
    steps: str | None,
    paper: str,
    size: str,
    punch: bool,
    grey: bool,
):
    """Build a workbook and an answer key for each row of ROSTER, a CSV file.

    \b
    Example:  workbook build roster.csv --out march --seed march
    """
    _build(
        roster,
        out,
        seed=seed,
        students=students,
        template_dir=template_dir,
        forms=forms,
        fingering=fingering,
        letters=letters,
        steps=steps,
        page=_page(paper, size, punch),
        grey=grey,
    )


def _build(roster: Path, out: Path, **options):
    from workbook.builds.workbooks import build as run
    from workbook.engraving.engrave import cores
    from workbook.preflight import outdated

    _tidy_end()
    with _Bar() as bar:
        built = run(roster, out, progress=bar.tell, processes=cores(), **options)
    for one in built:
        click.echo(
            f"{one.student}: {one.title}, {one.items} exercises, {one.points} points, "
            f"{one.pages} pages, key code {one.code} -> {one.folder}"
        )
    if options["students"] and (older := outdated(out)):
        click.echo(older)
    return built


def _tidy_end() -> None:
    """Being told to end, too, removes what is half done."""
    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):  # the second is not everywhere: a terminal that is closed
            number = getattr(signal, name)
            signal.signal(number, lambda number, frame: sys.exit(128 + number))


class _Bar:
    """A progress bar a step, on the terminal only."""

    def __init__(self):
        self._step, self._bar = "", None
        self._shown = sys.stderr.isatty()

    def __enter__(self):
        return self

    def __exit__(self, *error):
        self._close()

    def _close(self):
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None

    def tell(self, step: str, done: int, of: int) -> None:
        if not self._shown:
            return
        if step != self._step:
            self._close()
            self._step = step
            self._bar = click.progressbar(length=of, label=step, file=sys.stderr)
            self._bar.__enter__()
        self._bar.update(done - self._bar.pos)


@main.command("print")
@click.argument(
    "files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path)
)
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="The print job, a .pdf file.",
)
@click.option(
    "--copies",
    type=click.IntRange(1, 999),
    default=1,
    show_default=True,
    help="How often to print the whole, copy after copy.",
)
@click.option(
    "--booklet",
    is_flag=True,
    help="Two pages to a side, to fold in the middle and stitch; each FILE a booklet.",
)
@click.option(
    "--onto",
    type=click.Choice(("letter", "a4", "tabloid", "a3"), case_sensitive=False),
    help="Paper for booklets. On tabloid or A3, Letter or A4 pages keep their size.  "
    "[default: the paper of the pages, which are made smaller]",
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
):
    """Make one print job of PDF files; send it to the printer yourself.

    \b
    Example:  workbook print march/*/workbook.pdf --out lesson.pdf --copies 2
              workbook print march/*/workbook.pdf --booklet --onto tabloid --out booklets.pdf
    """
    if out.suffix.lower() != ".pdf":
        raise click.BadParameter(f"{out} must end in .pdf", param_hint="--out")
    if onto and not booklet:
        raise click.UsageError("--onto is the paper for booklets; add --booklet")
    if booklet and fronts is False:
        raise click.UsageError("a booklet always begins on a front side; leave out --no-fronts")
    from workbook.builds.print_jobs import booklets, print_job

    _tidy_end()
    if booklet:
        job = booklets(files, out, copies=copies, onto=onto)
    else:
        job = print_job(files, out, copies=copies, fronts=fronts is not False)
    for file, notes in zip(files, job.left_out):
        if notes:
            click.echo(f"{file}: {_count(notes, 'note')} or form fields on its pages left out")
    click.echo("\n".join(_told(job, fronts is not False)))


def _told(job, fronts: bool) -> list[str]:
    """What is in the print job and how to print it, in lines."""
    files = _count(len(job.pages), "booklet" if job.sheet else "file")
    size = f"{job.out}: {files}, {_count(job.copies, 'copy', 'copies')}, "
    if not job.sheet:
        sides = f"{size}{_count(job.sides, 'side')}"
        return [sides, "Print on both sides, flip on long edge."] if fronts else [sides]
    lines = [
        f"{size}{_count(job.sides // 2, 'sheet')} of {job.sheet}, pages at "
        f"{round(100 * job.scale, 1):g} % of their size"
    ]
    first = 1
    for title, pages in zip(job.titles, job.pages):
        last = first + (pages + 3) // 4 - 1
        lines.append(
            f"  {title}: {_count(pages, 'page')}, "
            + (f"sheet {first}" if first == last else f"sheets {first} to {last}")
            + " of each copy" * (job.copies > 1)
        )
        first = last + 1
    return [
        *lines,
        "Print at actual size, landscape, on both sides, flip on short edge: so the "
        "backs stand upright.",
        "Fold each booklet's sheets together in the middle, the first "
        "sheet outermost, and stitch them in the fold.",
    ]


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


@main.group()
def templates():
    """List, show and copy the templates that workbooks are made from.

    \b
    Example:  workbook templates list
    """


_dir = click.option(
    "--template-dir",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="Folder with your own templates.",
)


@templates.command("list")
@_dir
def list_templates(template_dir: Path | None):
    """List the templates with their titles.

    \b
    Example:  workbook templates list
    """
    from workbook.studio.templates import available, read_template

    problems = []
    for name, path in available(template_dir).items():
        try:
            template = read_template(path)
        except InputError as error:
            problems += error.problems
            continue
        count = sum(section.count for section in template.sections)
        level = f"level {template.level}; " if template.level else ""
        click.echo(f"{name}: {template.title} ({level}{count} exercises)")
    if problems:
        raise InputError(problems)


@templates.command()
@click.argument("name")
@_dir
def show(name: str, template_dir: Path | None):
    """Print the template NAME.

    \b
    Example:  workbook templates show all-skills
    """
    click.echo(_template_path(name, template_dir).read_text("utf-8-sig"), nl=False)


@templates.command()
@click.argument("name")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@_dir
def copy(name: str, file: Path, template_dir: Path | None):
    """Copy the template NAME to FILE, to edit it.

    \b
    Example:  workbook templates copy all-skills my-templates/spring.toml
    """
    text = _template_path(name, template_dir).read_bytes()
    if file.exists():
        raise click.ClickException(f"{file} is there already; name another file")
    if file.suffix != ".toml":
        raise click.ClickException(f"{file} must end in .toml, as {file.stem}.toml")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(text)
    except OSError as error:
        raise OutputError(f"cannot write {file}: {error.strerror}") from None
    click.echo(
        f"{file} is yours to edit. In the roster call it {file.stem}, and build with "
        f"--template-dir {file.parent}"
    )


def _template_path(name: str, folder: Path | None) -> Path:
    import difflib

    from workbook.errors import Problem
    from workbook.studio.templates import available

    found = available(folder)
    if name not in found:
        close = difflib.get_close_matches(name, found, n=1)
        hint = f'did you mean "{close[0]}"?' if close else f"there are: {', '.join(found)}"
        raise InputError([Problem("templates", "", f'there is no template "{name}";', hint)])
    return found[name]


class _Shares(click.ParamType):
    """Percents of answers to take out: 0, 25, 50, 75 or 100, several with commas."""

    name = "percent"

    def convert(self, value, param, context):
        if isinstance(value, tuple):
            return value
        from workbook.planning.study import SHARES

        shares = [part.strip().rstrip("%").strip() for part in value.split(",")]
        known = {str(share): share for share in SHARES}
        wrong = [part for part in shares if part not in known]
        if wrong:
            self.fail(f"{wrong[0]!r} is none of {', '.join(known)}", param, context)
        return tuple(dict.fromkeys(known[part] for part in shares))


@main.command()
@click.argument("keys", nargs=-1, required=True)
@click.option("--level", type=click.IntRange(1, 10), help="The skills of this level, 1 to 10.")
@click.option("--template", "name", help="The skills of this template, in place of a level.")
@click.option(
    "--faded",
    type=_Shares(),
    default="0",
    show_default=True,
    help="Percent of the answers to take out: 0, 25, 50, 75, 100, or several: 0,50.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("study"),
    show_default=True,
    help="Folder to write into.",
)
@_dir
@_fingering
@_words
@_page_options
def study(
    keys: tuple[str, ...],
    level: int | None,
    name: str | None,
    faded: tuple[int, ...],
    out: Path,
    template_dir: Path | None,
    fingering: Path | None,
    letters: str | None,
    steps: str | None,
    paper: str,
    size: str,
    punch: bool,
    grey: bool,
):
    """Write study pages: every skill of a level in each of KEYS, fully worked.

    KEYS are such as "E major", "all minor" or all. With --faded a share of the
    answers is left for the student to fill in.

    \b
    Example:  workbook study "E major" --level 5 --faded 0,50,100
    """
    from workbook.builds.study_pages import study_pages
    from workbook.fingering.conventions import load, traditional
    from workbook.music.keys import parse_keys
    from workbook.studio.templates import read_template, worded

    if (level is None) == (name is None):
        raise click.UsageError("give either --level or --template")
    try:
        # a name without quotes comes in words: E flat major
        found = parse_keys(
            re.sub(
                ";(?=(?:flat|sharp|major|minor)(?:;|$))", " ", ";".join(keys), flags=re.IGNORECASE
            )
        )
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="KEYS") from None
    template = read_template(_template_path(name or f"level-{level:02d}", template_dir))
    with _Bar() as bar:
        written = study_pages(
            found,
            worded(template, letters, steps),
            out,
            faded=faded,
            fingering=load(fingering) if fingering else traditional(),
            page=_page(paper, size, punch),
            progress=bar.tell,
        )
    for path in written:
        click.echo(path)


@main.command()
@click.argument("family", type=_FamilyName())
@click.option("--key", type=_KeyName(), required=True, help='For example "E major".')
@click.option(
    "--hand",
    type=click.Choice(("right", "left", "both")),
    default="right",
    show_default=True,
    help="In families that are read: right is treble, left is bass.",
)
@click.option(
    "--set",
    "choices",
    multiple=True,
    metavar="NAME=VALUE",
    help="A setting of the family as in a template, such as octaves=2.",
)
@click.option(
    "--given", type=click.IntRange(0, 30), default=0, help="Boxes filled in, in each row."
)
@click.option("--seed", default="1", show_default=True)
@_fingering
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="A .pdf or .png file.  [default: FAMILY.pdf]",
)
def preview(
    family: str,
    key,
    hand: str,
    choices: tuple[str, ...],
    given: int,
    seed: str,
    fingering: Path | None,
    out: Path | None,
):
    """Draw one exercise of FAMILY, blank and answered.

    \b
    Example:  workbook preview intervals --key "E major" --set quality=true --out try.png
    """
    from random import Random

    from workbook.builds import previews as slips
    from workbook.exercises.families import FAMILIES
    from workbook.exercises.model import Request
    from workbook.fingering.conventions import load, traditional

    out = out or Path(f"{family}.pdf")
    if out.suffix.lower() not in (".pdf", ".png"):
        raise click.BadParameter(f"{out} must end in .pdf or .png", param_hint="--out")
    kind = FAMILIES[family]
    settings = dict(_setting(kind, choice) for choice in choices)
    if problem := kind.problem(settings, key, hand):
        raise click.BadParameter(problem, param_hint="--set")
    table = load(fingering) if fingering else traditional()
    exercise = kind.make(
        Request(key, hand, kind.asks, given, 2, settings, fingering=table), Random(seed)
    )
    data = slips.png(exercise) if out.suffix.lower() == ".png" else slips.pdf(exercise)
    try:
        out.write_bytes(data)
    except OSError as error:
        raise OutputError(f"cannot write {out}: {error.strerror}") from None
    click.echo(f"{out}: {exercise.prompt}")


def _setting(family, choice: str):
    name, equals, value = choice.partition("=")
    if not equals:
        raise click.BadParameter(f"write {choice}=VALUE", param_hint="--set")
    allowed = family.settings.get(name)
    if allowed is None:
        known = ", ".join(family.settings) or "none"
        raise click.BadParameter(
            f"{family.name} has no setting {name!r}; it has: {known}", param_hint="--set"
        )
    for one in allowed:
        if str(one).lower() == value.lower():
            return name, one
    if allowed.check:
        try:
            allowed.check(value)
        except ValueError as error:
            raise click.BadParameter(f"{name}: {error}", param_hint="--set") from None
        return name, value
    listed = ", ".join(str(one).lower() for one in allowed)
    raise click.BadParameter(f"{name} can be {listed}, not {value!r}", param_hint="--set")


@main.command()
@click.argument(
    "folder", metavar="DIR", type=click.Path(exists=True, file_okay=False, path_type=Path)
)
def check(folder: Path):
    """Read again what a build wrote into DIR, and check it, page for page.

    DIR is a whole build or the folder of one student. Sizes, fonts, numbers and key
    codes; answers in every box of the answer key, and none in the workbook; boxes
    clear of each other and of the music; workbook and answer key in register.

    \b
    Example:  workbook check march
    """
    from workbook.preflight import check_folder, check_jobs, folders, missing, outdated

    found = folders(folder)
    if not found:
        raise click.BadParameter(
            f"there is no key.json in or below {folder}; name a folder "
            "that workbook build wrote into",
            param_hint="DIR",
        )
    findings, lines = [], []
    with _Bar() as bar:
        for done, place in enumerate(found):
            bar.tell("Checking", done, len(found))
            name = (
                place.relative_to(folder).as_posix() if place != folder else folder.resolve().name
            )
            wrong = check_folder(place, True, name)
            findings += wrong
            lines += [] if wrong else [f"{name}: all is well"]
        findings += [*missing(folder), *check_jobs(folder)]
        bar.tell("Checking", len(found), len(found))
    if older := outdated(folder):
        lines.append(older)
    for line in lines:
        click.echo(line)
    if findings:
        raise CheckFailed(findings)


@main.command()
@click.option("--clear", is_flag=True, help="Remove all of it; the next build engraves anew.")
def cache(clear: bool):
    """Show where engraved exercises are kept between builds, and how many there are.

    \b
    Example:  workbook cache --clear
    """
    from workbook.engraving.cache import Cache, folder

    kept = Cache(folder())
    size = kept.clear() if clear else kept.size()
    click.echo(
        f"{kept.place}: {size.snippets} exercises, {size.bytes / 1e6:.1f} MB"
        + (", removed" if clear else f" (at most {kept.most / 1e6:.0f} MB are kept)")
    )
