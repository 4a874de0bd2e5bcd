"""One print job from several PDFs: the files one after the other, or each as a booklet.

In: paths of PDFs. Out: one PDF, complete or not written at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from workbook.builds.obstacles import refuse_names
from workbook.builds.publish import whole_file
from workbook.builds.recovery import reading
from workbook.builds.titles import listed
from workbook.design import PAPER_NAMES
from workbook.errors import InputError, Problem
from workbook.inputs.files import real
from workbook.inputs.messages import plural
from workbook.pdf.impose import CLOSE, HALVES, SHEETS, Booklets, scale
from workbook.pdf.join import Job
from workbook.pdf.printable_pdf import PrintablePdf, Size, look, opened


@dataclass(frozen=True)
class Printed:
    """What a print job holds.

    ``pages`` counts those of each file, ``sides`` the printed sides of all copies.
    For booklets ``sheet`` is the paper's name and ``scale`` the factor by which pages
    are made smaller, 1 for their own size. ``left_out`` counts, for each file, the
    notes and form fields on its pages, which are not printed.
    """

    out: Path
    titles: tuple[str, ...]
    pages: tuple[int, ...]
    copies: int
    sides: int
    sheet: str = ""
    scale: float = 1.0
    left_out: tuple[int, ...] = ()


def print_job(
    files: Sequence[Path | str],
    out: Path | str,
    *,
    copies: int = 1,
    fronts: bool = True,
    notice: Callable[[str], object] | None = None,
) -> Printed:
    """Write ``files`` one after the other to ``out``, ``copies`` of the whole.

    With ``fronts`` each begins on a front side. ``notice`` is called with a sentence about
    each interrupted build that was finished first. Raises InputError with all problems of the
    files (missing, damaged, locked, pages of several sizes), OutputError, or WorkbookError if
    files changed in the meantime; ``out`` is then unchanged.
    """
    steady = reading(map(Path, files), notice)
    sources, out = _sources(files, out), Path(out)
    with whole_file(out, notice) as file:
        job = Job(file, *_about(sources), fronts, copies, _language(sources))
        _add(sources, job)
        job.finish(subject=_subject(sources))
        steady.check()
    return _printed(out, sources, copies, job)


def booklets(
    files: Sequence[Path | str],
    out: Path | str,
    *,
    copies: int = 1,
    onto: str | None = None,
    notice: Callable[[str], object] | None = None,
) -> Printed:
    """Write each of ``files`` as a booklet of its own to ``out``, ``copies`` of all.

    ``onto`` is the paper, a name of ``SHEETS``; if None, that of the pages,
    which are then drawn smaller. Raises as ``print_job`` does, and InputError for
    pages that are wider than high, or are of no known paper size.
    """
    steady = reading(map(Path, files), notice)
    sources, out = _sources(files, out), Path(out)
    name = _paper(sources, onto)
    with whole_file(out, notice) as file:
        job = Booklets(file, *_about(sources), SHEETS[name], copies, _language(sources))
        _add(sources, job)
        job.finish(subject=_subject(sources))
        steady.check()
    return _printed(
        out, sources, copies, job, PAPER_NAMES[name], scale(sources[0].sizes[0], SHEETS[name])
    )


def _printed(
    out: Path,
    sources: list[PrintablePdf],
    copies: int,
    job: Job,
    sheet: str = "",
    scale: float = 1.0,
) -> Printed:
    return Printed(
        out,
        tuple(source.title for source in sources),
        tuple(len(source.sizes) for source in sources),
        copies,
        job.pages,
        sheet,
        scale,
        left_out=tuple(source.notes for source in sources),
    )


def _sources(files: Iterable[Path | str], out: Path | str) -> list[PrintablePdf]:
    """What must be known about every file. Raises InputError with the problems of all."""
    refuse_names(Path(out), ())
    sources: list[PrintablePdf] = []
    problems: list[Problem] = []
    for path in map(Path, files):
        if real(path) == real(out):
            problems.append(
                Problem(
                    str(path),
                    "",
                    "the print job would overwrite it;",
                    "give the print job another name",
                )
            )
            continue
        try:
            sources.append(look(path))
        except InputError as error:
            problems += error.problems
    problems += _sizes(sources)
    if problems:
        raise InputError(dict.fromkeys(problems))
    return sources


def _sizes(sources: list[PrintablePdf]) -> list[Problem]:
    """One problem for each file with a page of another size than the first page of all."""
    problems = []
    for source in sources:
        for number, size in enumerate(source.sizes, 1):
            if not _alike(size, sources[0].sizes[0]):
                problems.append(
                    Problem(
                        str(source.path),
                        f"page {number}",
                        f"the page is {_size_name(size)}, but the first page of "
                        f"{sources[0].path} is {_size_name(sources[0].sizes[0])};",
                        "make a separate print job for each paper size",
                    )
                )
                break
    return problems


def _paper(sources: list[PrintablePdf], onto: str | None) -> str:
    """The name of the paper for booklets. Raises InputError if the pages do not suit one."""
    first = sources[0]
    width, height = first.sizes[0]
    if width > height + CLOSE:
        raise InputError(
            [
                Problem(
                    str(source.path),
                    "",
                    "its pages are in landscape;",
                    "booklets need pages in portrait",
                )
                for source in sources
            ]
        )
    if onto is not None:
        return onto
    for name, half in HALVES.items():
        if _alike((width, height), half):
            return name
    for name, (long, short) in SHEETS.items():
        if _alike((width, height), (short, long)):
            return name
    raise InputError(
        [
            Problem(
                str(first.path),
                "",
                f"its pages are {_size_name((width, height))}, which is not a known paper size;",
                f"name the paper with --onto {', '.join(SHEETS)}",
            )
        ]
    )


def _add(sources: list[PrintablePdf], job: Job) -> None:
    problems: list[Problem] = []
    for source in sources:
        try:
            with opened(source.path) as pdf:
                job.add(pdf, source.title)
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(dict.fromkeys(problems))


def _about(sources: list[PrintablePdf]) -> tuple[str, str]:
    """Title and author of the job: those of the file, if it is one."""
    if len({source.path for source in sources}) == 1:
        return sources[0].title, sources[0].author or "workbook"
    titles = [source.title for source in sources]
    return listed(f"Print job of {plural(len(sources), 'file')}", titles), "workbook"


def _subject(sources: list[PrintablePdf]) -> str:
    """What the files are about."""
    return "; ".join(dict.fromkeys(filter(None, (source.subject for source in sources))))


def _language(sources: list[PrintablePdf]) -> str:
    languages = {source.language for source in sources}
    return languages.pop() if len(languages) == 1 else ""


def _alike(one: Size, other: Size) -> bool:
    return all(abs(a - b) <= CLOSE for a, b in zip(one, other))


def _size_name(size: Size) -> str:
    for name, (long, short) in SHEETS.items():
        if _alike(size, (short, long)):
            return PAPER_NAMES[name]
        if _alike(size, (long, short)):
            return f"{PAPER_NAMES[name]} on its side"
    return f"{size[0] / 72:.2f} by {size[1] / 72:.2f} in"
