"""Builds study pages from keys and a template.

keys + template → plans → exercises → snippets → pages → files, as for workbooks.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from workbook.builds.publish import staging
from workbook.builds.titles import listed
from workbook.builds.workbooks import Progress
from workbook.cancel import Cancel
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import Snippet
from workbook.errors import InputError, Problem
from workbook.fingering.conventions import Conventions, load, traditional
from workbook.inputs.problem_log import ProblemLog
from workbook.music.keys import Key, parse_keys
from workbook.pages import render
from workbook.pages.columns import frames
from workbook.pages.layout import lay_out_study
from workbook.pages.paper import Paper
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job
from workbook.planning.plan import Plan
from workbook.planning.study import study
from workbook.studio.folders import safe_name
from workbook.studio.row_settings import too_large
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import Template, overridden
from workbook.studio.templates import find, read_template
from workbook.typesetting.runs import unprintable


@dataclass(frozen=True)
class _StudyPage:
    key: Key
    faded: int
    plan: Plan


def study_pages(
    keys: str | Sequence[Key],
    template: str | Template,
    out: Path | str,
    *,
    faded: Iterable[int] = (0,),
    template_dir: Path | str | None = None,
    fingering: Path | str | None = None,
    letters: str | None = None,
    steps: str | None = None,
    paper: str = "letter",
    size: str = "normal",
    punch: bool = False,
    progress: Progress | None = None,
    notice: Callable[[str], object] | None = None,
    cancel: Cancel | None = None,
    executor: Executor | None = None,
) -> list[Path]:
    """Write a study page for each key: every skill of a template, worked or with answers left out.

    Args:
        keys: Keys as in a roster ("E major; A minor"), or ``Key`` values.
        template: The name of a template, or a ``Template``.
        out: The folder to write into.
        faded: Percentages of answers to take out (``planning.study.SHARES``), one page each.
        template_dir: A folder with the teacher's own templates.
        fingering: A file with the teacher's own fingerings.
        letters: Note names (see ``music.naming``) instead of the template's.
        steps: Words for steps (see ``music.naming``) instead of the template's.
        paper, size, punch, progress, notice, cancel, executor: As for ``build``.

    Returns:
        The files. If there are several pages, the last file contains them all.

    Raises:
        ValueError: A key or another argument is unknown.
        InputError, EngraverMissing, EngravingError, OutputError, Cancelled: As for ``build``.
    """
    settings = BuildSettings(
        paper,
        size,
        punch,
        letters=letters,
        steps=steps,
        fingering=fingering,
        template_dir=template_dir,
    )
    if wrong := too_large(settings.paper, settings.size):
        log = ProblemLog("size", "")
        log.add(None, *wrong)
        raise InputError(log.problems)
    form = Paper(settings.paper, settings.size, settings.punch)
    cancel = cancel or Cancel()
    report = progress or (lambda step, done, of: None)
    wanted = parse_keys(keys) if isinstance(keys, str) else keys
    if isinstance(template, str):
        template = read_template(find(template, template_dir), unprintable=unprintable)
    template = overridden(template, settings.letters, settings.steps)
    table = load(fingering) if fingering else traditional()
    pages = list(_plans(wanted, template, tuple(faded), table))
    _check_full(pages, template)
    target, written = Path(out), []
    together = f"{template.name}-all.pdf"
    names = [*(_file_name(page, template) for page in pages), together]
    with staging(target, names, notice=notice) as new:
        snippets = iter(
            engrave(
                [item.exercise for page in pages for item in page.plan.drawn],
                partial(report, "Engraving"),
                frames=[frame for page in pages for frame in frames(page.plan, form)],
                cache=Cache(folder()),
                executor=executor,
                cancel=cancel,
            )
        )
        combined = new / together
        with combined.open("wb") as file:
            job = Job(file, f"Study pages: {template.title}", "workbook")
            for done, page in enumerate(pages):
                cancel.check()
                report("Writing", done, len(pages))
                title, data = _drawn(page, template, snippets, form)
                name = _file_name(page, template)
                (new / name).write_bytes(data)
                job.add_finished(FinishedPdf(data), form.whole, title)
                written.append(target / name)
            names = [template.naming.key(key) for key in wanted]
            job.finish(
                listed(f"Study pages, {template.title}", names), render.SUBJECTS[render.WORKBOOK]
            )
        if len(pages) == 1:
            combined.unlink()
        else:
            written.append(target / combined.name)
    return written


def _plans(
    keys: Sequence[Key], template: Template, faded: Sequence[int], table: Conventions
) -> Iterator[_StudyPage]:
    for key in keys:
        for share in faded:
            yield _StudyPage(key, share, study(template, key, share, table))


def _check_full(pages: Sequence[_StudyPage], template: Template) -> None:
    """Raise InputError for the keys whose page would have no exercise."""
    empty = dict.fromkeys(page.key for page in pages if not page.plan.sections)
    problems = [
        Problem(template.name, "", f"none of its sections suits {key.ascii};", "choose another key")
        for key in empty
    ]
    if problems:
        raise InputError(problems)


def _drawn(
    page: _StudyPage, template: Template, snippets: Iterator[Snippet], paper: Paper
) -> tuple[str, bytes]:
    """The title and the PDF of a study page; takes the page's snippets from ``snippets``."""
    title = f"Study page: {template.naming.key(page.key)}, {template.title}"
    title += f", {page.faded} % to fill in" if page.faded else ""
    drawn = {item.number: next(snippets) for item in page.plan.drawn}
    return title, render.render(
        lay_out_study(page.plan, drawn, paper), render.WORKBOOK, paper.whole, title, "workbook"
    )


def _file_name(page: _StudyPage, template: Template) -> str:
    key = page.key.ascii.replace("#", "-sharp").replace("b ", "-flat ").replace(" ", "-")
    ending = f"-{page.faded}-out" if page.faded else ""
    return safe_name(f"{key}-{template.name}{ending}") + ".pdf"
