"""Print jobs from files: the command, its messages, what is left as it was."""

import io

import pytest
from click.testing import CliRunner
from pypdf import PdfReader, PdfWriter
from pypdf.annotations import FreeText, Link
from pypdf.generic import DictionaryObject, NameObject, TextStringObject
from reportlab.pdfgen.canvas import Canvas

from workbook import cli
from workbook.pdf.impose import SHEETS, order


def make(path, pages=1, size=(612, 792), title="", words="page"):
    canvas = Canvas(str(path), pagesize=size, invariant=1)
    canvas.setTitle(title or path.stem)
    for number in range(1, pages + 1):
        canvas.drawString(50, 60, f"{words} {number}")
        canvas.showPage()
    canvas.save()
    return path


def run(*words):
    return CliRunner().invoke(cli.main, ["print", *map(str, words)])


def texts(path):
    return [page.extract_text().strip() for page in PdfReader(path, strict=True).pages]


def test_files_follow_one_another_each_on_a_front_side(tmp_path):
    a, b = make(tmp_path / "a.pdf", 3, words="a"), make(tmp_path / "b.pdf", 1, words="b")
    out = tmp_path / "new" / "job.pdf"
    told = run(a, b, "--out", out, "--copies", 2)
    assert told.exit_code == 0, told.output
    assert texts(out) == ["a 1", "a 2", "a 3", "", "b 1", "", "a 1", "a 2", "a 3", "", "b 1"]
    assert "2 files, 2 copies, 11 sides" in told.output and "flip on long edge" in told.output
    assert run(a, b, "--out", out, "--no-fronts", "--copies", 2).exit_code == 0
    assert texts(out) == ["a 1", "a 2", "a 3", "b 1"] * 2
    assert [path.name for path in out.parent.iterdir()] == ["job.pdf"]


def test_booklets_of_the_demo(demo, tmp_path):
    files = sorted(demo.rglob("workbook.pdf"))
    out = tmp_path / "b.pdf"
    for onto in ("letter", "tabloid"):
        told = run(*files, "--out", out, "--booklet", "--onto", onto)
        assert told.exit_code == 0, told.output
        assert "flip on short edge" in told.output and "stitch" in told.output
        sides = iter(PdfReader(out, strict=True).pages)
        for file in files:
            pages = [page.extract_text() for page in PdfReader(file).pages]
            for side in order(len(pages)):
                page = next(sides)
                assert (page.mediabox.width, page.mediabox.height) == SHEETS[onto]
                forms = page["/Resources"]["/XObject"]
                assert sorted(forms) == sorted(f"/P{n}" for n in side if n)
                found = page.extract_text()
                for number in side:
                    if number:
                        assert f"page {number} of {len(pages)}" in found
        assert next(sides, None) is None
    assert out.stat().st_size < sum(file.stat().st_size for file in files) * 1.1


def test_more_copies_take_no_more_room(demo, tmp_path):
    files = sorted(demo.rglob("workbook.pdf"))
    sizes = []
    for copies in (1, 30):
        assert (
            run(*files, "--out", tmp_path / "b.pdf", "--booklet", "--copies", copies).exit_code == 0
        )
        sizes.append((tmp_path / "b.pdf").stat().st_size)
    sides = sum(len(order(len(PdfReader(file).pages))) for file in files)
    assert sizes[1] - sizes[0] < 29 * (sides * 400 + len(files) * 300)


def test_the_paper_of_a_booklet(tmp_path):
    out = tmp_path / "b.pdf"
    for size, more, sheet, by in (
        ((612, 792), (), "letter", "64.7"),
        ((595.3, 841.9), (), "a4", "70.7"),
        ((595, 842), ("--onto", "A3"), "a3", "100"),
        ((420, 595), ("--onto", "a4"), "a4", "100"),
        ((612, 792), ("--onto", "a3"), "a3", "97.3"),
    ):
        told = run(make(tmp_path / "p.pdf", 2, size), "--booklet", "--out", out, *more)
        assert f"pages at {by} %" in told.output, told.output
        box = PdfReader(out, strict=True).pages[0].mediabox
        assert (box.width, box.height) == SHEETS[sheet]
    odd = run(make(tmp_path / "p.pdf", 2, (500, 700)), "--booklet", "--out", out)
    assert odd.exit_code == 2 and "--onto" in odd.output
    wide = run(make(tmp_path / "p.pdf", 2, (792, 612)), "--booklet", "--out", out)
    assert wide.exit_code == 2 and "wider than high" in wide.output


def test_title_author_and_language_are_those_of_the_one_file(demo, tmp_path):
    file = sorted(demo.rglob("workbook.pdf"))[0]
    there = PdfReader(file)
    for more in ((), ("--booklet",)):
        assert run(file, "--out", tmp_path / "j.pdf", *more).exit_code == 0
        here = PdfReader(tmp_path / "j.pdf", strict=True)
        assert here.metadata.title == there.metadata.title
        assert here.metadata.author == there.metadata.author
        assert here.root_object["/Lang"] == "en"
        assert here.outline[0].title == there.metadata.title
    make(tmp_path / "a.pdf"), make(tmp_path / "b.pdf")
    assert run(tmp_path / "a.pdf", tmp_path / "b.pdf", "--out", tmp_path / "j.pdf").exit_code == 0
    assert "/Lang" not in PdfReader(tmp_path / "j.pdf").root_object


def test_everything_wrong_is_told_in_one_go_and_nothing_is_written(tmp_path):
    good = make(tmp_path / "good.pdf", 2)
    locked = PdfWriter(good)
    locked.encrypt("secret", algorithm="RC4-128")
    locked.write(tmp_path / "locked.pdf")
    (tmp_path / "cut.pdf").write_bytes(good.read_bytes()[:-300])
    (tmp_path / "text.pdf").write_text("march", "utf-8")
    PdfWriter().write(tmp_path / "empty.pdf")
    make(tmp_path / "a4.pdf", size=(595.276, 841.89))
    out = tmp_path / "job.pdf"
    out.write_bytes(b"old")
    told = run(
        good,
        *(tmp_path / f"{name}.pdf" for name in ("locked", "cut", "text", "empty", "a4", "missing")),
        tmp_path,
        out,
        "--out",
        out,
    )
    assert told.exit_code == 2
    for words in (
        "8 problems, nothing was written",
        "locked with a password",
        "cut short",
        "not a PDF",
        "no pages",
        "page 1: the page is A4, but the first page of",
        "no such file",
        "cannot be read",
        "would take its place",
    ):
        assert words in told.output, told.output
    assert out.read_bytes() == b"old" and "Traceback" not in told.output
    assert not list(tmp_path.glob(".*"))


def test_damaged_pages_are_found_while_writing(tmp_path):
    good = make(tmp_path / "good.pdf", 2)
    data = good.read_bytes()
    # a stream whose bytes were overwritten, and a table of objects that leads nowhere
    writer = PdfWriter(good)
    for page in writer.pages:
        page.compress_content_streams()
    whole = io.BytesIO()
    writer.write(whole)
    start = whole.getvalue().index(b"stream\n") + 7
    hurt = bytearray(whole.getvalue())
    hurt[start : start + 12] = b"\xff" * 12
    (tmp_path / "hurt.pdf").write_bytes(hurt)
    (tmp_path / "lost.pdf").write_bytes(data.replace(b"/Kids", b"/Kodz"))
    for more in ((), ("--booklet",)):
        told = run(good, tmp_path / "hurt.pdf", "--out", tmp_path / "j.pdf", *more)
        assert told.exit_code == 2 and "hurt.pdf: the file is damaged" in told.output, told.output
        assert told.output.count("\n") == 2
        told = run(good, tmp_path / "lost.pdf", "--out", tmp_path / "j.pdf", *more)
        assert told.exit_code == 2 and "lost.pdf: " in told.output, told.output
    assert not (tmp_path / "j.pdf").exists() and not list(tmp_path.glob(".*"))


def test_notes_links_and_scripts_stay_behind(tmp_path):
    writer = PdfWriter(make(tmp_path / "a.pdf"))
    writer.add_annotation(0, FreeText(text="well done", rect=(50, 50, 150, 90)))
    writer.add_annotation(0, Link(rect=(50, 50, 150, 90), url="https://example.org"))
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(
        {NameObject("/S"): NameObject("/JavaScript"), NameObject("/JS"): TextStringObject("beep()")}
    )
    writer.add_attachment("a.txt", b"words")
    writer.write(tmp_path / "a.pdf")
    for more in ((), ("--booklet",)):
        told = run(tmp_path / "a.pdf", "--out", tmp_path / "j.pdf", *more)
        assert told.exit_code == 0 and "1 note or form field" in told.output, told.output
        data = (tmp_path / "j.pdf").read_bytes()
        for word in (
            b"/Annot",
            b"/JS",
            b"JavaScript",
            b"/EmbeddedFile",
            b"example.org",
            b"/URI",
            str(tmp_path).encode(),
        ):
            assert word not in data


def test_options_that_do_not_go_together(tmp_path):
    a = make(tmp_path / "a.pdf")
    for words in (
        ("--onto", "a3"),
        ("--booklet", "--no-fronts"),
        ("--copies", "0"),
        ("--out", tmp_path / "j.doc"),
    ):
        told = run(a, "--out", tmp_path / "j.pdf", *words)
        assert told.exit_code == 2 and not (tmp_path / "j.pdf").exists(), told.output
    assert "cannot write" in run(a, "--out", a / "j.pdf").output
    assert run(a, "--out", a / "j.pdf").exit_code == 5
    assert "You send it to the printer yourself." in run("--help").output


@pytest.mark.parametrize("more", [(), ("--booklet",)])
def test_the_same_files_give_the_same_job(tmp_path, more):
    a = make(tmp_path / "a.pdf", 5)
    made = []
    for name in ("x.pdf", "y.pdf"):
        assert run(a, "--out", tmp_path / name, *more).exit_code == 0
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]
