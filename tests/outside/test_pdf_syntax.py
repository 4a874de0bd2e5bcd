"""Every kind of PDF that the program writes, read by qpdf: no error and no warning.

Source: qpdf, its manual on the option --check, by way of pikepdf.
"""

import io
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner

from workbook.cli import main
from workbook.resources import shipped

DEMO = shipped() / "demo" / "roster.csv"
ROSTER = "student,template,keys\nAda,level-04,A major; F# minor\nBo,first-steps,C major\n"


@pytest.fixture(
    scope="module",
    params=[
        pytest.param((ROSTER, 25), id="some"),
        pytest.param((DEMO.read_text("utf-8"), 30), id="all", marks=pytest.mark.sweep),
    ],
)
def files(request, demo, tmp_path_factory):
    out = tmp_path_factory.mktemp("all")
    roster, least = request.param
    (out / "roster.csv").write_text(roster, "utf-8")

    def run(*words):
        result = CliRunner().invoke(main, list(map(str, words)))
        assert result.exit_code == 0, result.output

    looks = ("--size", "large", "--paper", "a4", "--punch", "--grey")
    run("build", out / "roster.csv", "--out", out / "large", *looks)
    run("study", "A-flat major", "--level", 4, "--faded", "0,50", "--out", out / "study")
    run("preview", "progression", "--key", "E major", "--hand", "both", "--out", out / "one.pdf")
    books = sorted(demo.glob("*/workbook.pdf"))
    run("print", *books, "--out", out / "job.pdf", "--copies", 2)
    run("print", *books, "--out", out / "booklets.pdf", "--booklet", "--onto", "a3")
    found = sorted([*out.rglob("*.pdf"), *demo.rglob("*.pdf")])
    assert len(found) > least
    return found


def faults(data: bytes) -> list:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        check = getattr(pdf, "check_pdf_syntax", None) or pdf.check  # its name before version 10
        return [*check(), *pdf.get_warnings()]


def test_no_file_has_a_fault(files):
    assert {str(file): told for file in files if (told := faults(file.read_bytes()))} == {}


def test_faults_are_seen(files):
    data = Path(files[0]).read_bytes()
    moved = data.replace(b"\nstartxref\n", b"\n\n\n\nstartxref\n").replace(
        b"/Length ", b"/Length 9", 1
    )
    assert faults(moved)
