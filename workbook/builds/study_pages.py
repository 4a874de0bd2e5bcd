"""Study pages from keys and a template to PDF files.

template + keys → plans → snippets → sheets → files, as for workbooks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from pathlib import Path

from workbook.builds.publish import staging
from workbook.builds.workbooks import Progress
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.fingering.conventions import Conventions
from workbook.music.keys import Key
from workbook.pages import render
from workbook.pages.layout import lay_out_study
from workbook.pages.paper import Paper
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job
from workbook.planning.study import study
from workbook.studio.folders import safe
from workbook.studio.templates import Template


def study_pages(
    keys: Sequence[Key],
    template: Template,
    out: Path,
    *,
    faded: Iterable[int] = (0,),
    fingering: Conventions | None = None,
    paper: Paper = Paper("letter"),
    progress: Progress | None = None,
    executor: Executor | None = None,
) -> list[Path]:
    """Write a study page of every key into the folder ``out``, one for each share of
    ``faded`` (percent of the answers taken out); with several, all in one file too.

    Raises EngraverMissing, EngravingError or OutputError with the old files untouched.
    """
    tell = progress or (lambda step, done, of: None)
    plans = [
        (key, share, study(template, key, share, fingering)) for key in keys for share in faded
    ]
    exercises = [item.exercise for _, _, plan in plans for item in plan.items]
    snippets = iter(
        engrave(
            exercises,
            lambda done, of: tell("Engraving", done, of),
            line_width=paper.line_width,
            cache=Cache(folder()),
            executor=executor,
        )
    )
    written = []
    with staging(out) as new:
        together = new / f"{template.name}-all.pdf"
        with together.open("wb") as file:
            job = Job(file, f"Study pages: {template.title}", "workbook")
            for done, (key, share, plan) in enumerate(plans):
                tell("Writing", done, len(plans))
                drawn = {item.number: next(snippets) for item in plan.items}
                title = f"Study page: {template.naming.key(key)}, {template.title}"
                title += f", {share} % to fill in" if share else ""
                data = render.render(
                    lay_out_study(plan, drawn, paper),
                    render.WORKBOOK,
                    paper.whole,
                    title,
                    "workbook",
                )
                ending = f"-{share}-out" if share else ""
                name = key.ascii.replace("#", "-sharp").replace("b ", "-flat ").replace(" ", "-")
                path = Path(safe(f"{name}-{template.name}{ending}") + ".pdf")
                (new / path).write_bytes(data)
                job.add_finished(FinishedPdf(data), paper.whole, title)
                written.append(out / path)
            job.finish()
        if len(plans) == 1:
            together.unlink()
        else:
            written.append(out / together.name)
    return written
