"""The term plans on paper.

In: plans. Out: ``term/`` in the studio folder, a chart for each student and one file of all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from workbook.builds.publish import staging
from workbook.inputs.days import day_and_month, in_words
from workbook.music.keys import parse_key
from workbook.pages.term import Chart, ChartWeek, chart_pdf
from workbook.weeks.progress import NO_KEY
from workbook.weeks.student_files import student_files
from workbook.weeks.studios import OpenStudio
from workbook.weeks.term import TermPlan, TermWeek

FOLDER, ALL = "term", "all.pdf"


def write_charts(studio: OpenStudio, plans: Sequence[TermPlan]) -> list[Path]:
    """Write the charts; returns the files, that with all students first. Raises OutputError."""
    out, paper = studio.studio.folder / FOLDER, studio.studio.build.paper
    charts = [chart(plan) for plan in plans]
    names = student_files(((plan.student, plan.level) for plan in plans), (ALL,))
    with staging(out) as new:
        (new / ALL).write_bytes(chart_pdf(charts, paper, "Term"))
        for name, drawn, plan in zip(names, charts, plans):
            (new / name).write_bytes(chart_pdf([drawn], plan.paper, drawn.title))
    return [out / name for name in (ALL, *names)]


def chart(plan: TermPlan) -> Chart:
    """A plan as it is drawn."""
    columns = [plan.naming.key(parse_key(key)) if key else NO_KEY for key in plan.keys]
    return Chart(
        f"{plan.student}: the term",
        f"{plan.level}, exam on {in_words(plan.exam)}; met {plan.met} of {plan.total}",
        columns,
        [_week(plan, week) for week in plan.weeks],
        plan.sentences,
    )


def _week(plan: TermPlan, week: TermWeek) -> ChartWeek:
    counts = Counter(plan.keys.index(cell.key) for cell in week.new)
    remark = "no lesson" if week.off else "not handed in" if week.missed else ""
    return ChartWeek(day_and_month(week.day), remark, week.past, counts)
