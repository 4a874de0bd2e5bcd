"""Print jobs from files: the command, its messages, what is left as it was."""

import io
import logging
import random
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing

import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from pypdf import PdfReader, PdfWriter
from pypdf.annotations import FreeText, Link
from pypdf.generic import DictionaryObject, NameObject, TextStringObject
from reportlab.pdfgen.canvas import Canvas

from workbook import cli
from workbook.builds.print_jobs import booklets, print_job
from workbook.errors import InputError
from workbook.pdf.impose import SHEETS, order
from workbook.pdf.printable_pdf import look


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
    assert wide.exit_code == 2 and "in landscape" in wide.output


def test_title_author_and_language_are_those_of_the_one_file(demo, tmp_path):
    file = min(demo.rglob("workbook.pdf"))
    there = PdfReader(file)
    for more in ((), ("--booklet",)):
        assert run(file, "--out", tmp_path / "j.pdf", *more).exit_code == 0
        here = PdfReader(tmp_path / "j.pdf", strict=True)
        assert here.metadata.title == there.metadata.title
        assert here.metadata.author == there.metadata.author
        assert here.metadata.subject == there.metadata.subject
        assert here.root_object["/Lang"] == "en"
        assert here.outline[0].title == there.metadata.title
    make(tmp_path / "a.pdf"), make(tmp_path / "b.pdf")
    assert run(tmp_path / "a.pdf", tmp_path / "b.pdf", "--out", tmp_path / "j.pdf").exit_code == 0
    assert "/Lang" not in PdfReader(tmp_path / "j.pdf").root_object


def test_each_page_says_where_it_is_cut(tmp_path):
    """A trim box on every page, blank ones and those of booklets included (ISO 32000-1,
    14.11.2)."""
    own = make(tmp_path / "a.pdf", 3)
    with pikepdf.open(own, allow_overwriting_input=True) as pdf:
        pdf.pages[0].obj.TrimBox = [9, 18, 603, 774]
        pdf.pages[1].obj.TrimBox = [9, pikepdf.Name.None_]
        pdf.save(own)
    out, whole = tmp_path / "j.pdf", [0, 0, 612, 792]
    assert run(own, make(tmp_path / "b.pdf"), "--out", out).exit_code == 0
    with pikepdf.open(out) as pdf:
        found = [list(map(float, page.obj.TrimBox)) for page in pdf.pages]
    assert found == [[9, 18, 603, 774], whole, whole, whole, whole]
    assert run(make(tmp_path / "b.pdf"), "--booklet", "--out", out).exit_code == 0
    with pikepdf.open(out) as pdf:
        assert [list(page.obj.TrimBox) for page in pdf.pages] == [[0, 0, 792, 612]] * 2


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
        "it does not exist",
        "cannot be read",
        "would overwrite it",
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
    assert "The command does not send it to the printer." in run("--help").output


@pytest.mark.parametrize("more", [(), ("--booklet",)])
def test_the_same_files_give_the_same_job(tmp_path, more):
    a = make(tmp_path / "a.pdf", 5)
    made = []
    for name in ("x.pdf", "y.pdf"):
        assert run(a, "--out", tmp_path / name, *more).exit_code == 0
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]


def encrypted(path, source, user, allow=None):
    """``source`` encrypted with AES-256 (revision 6, ISO 32000-2, 7.6.4.3.3)."""
    with pikepdf.open(source) as pdf:
        allow = allow or pikepdf.Permissions()
        pdf.save(path, encryption=pikepdf.Encryption(owner="owner", user=user, R=6, allow=allow))
    return path


@pytest.mark.parametrize("more", [(), ("--booklet",)])
def test_encrypted_files_print_where_they_may(tmp_path, more):
    plain = make(tmp_path / "plain.pdf", 3, title="Étude", words="kept")
    out, known = tmp_path / "j.pdf", tmp_path / "known.pdf"
    assert run(plain, "--out", known, *more).exit_code == 0
    told = run(encrypted(tmp_path / "open.pdf", plain, ""), "--out", out, *more)
    assert told.exit_code == 0, told.output
    assert texts(out) == texts(known) and b"/Encrypt" not in out.read_bytes()
    assert PdfReader(out).metadata.title == "Étude"
    told = run(encrypted(tmp_path / "locked.pdf", plain, "secret"), "--out", out, *more)
    assert told.exit_code == 2 and "locked with a password" in told.output, told.output
    kept = encrypted(tmp_path / "kept.pdf", plain, "", pikepdf.Permissions(print_highres=False))
    told = run(kept, "--out", out, *more)
    assert told.exit_code == 2 and "does not allow printing" in told.output, told.output


def layered(path, hidden, usage=""):
    """A page with two layers of one name: the music, and the answers, which may be hidden."""
    make(path)
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        layers = [
            pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="layer"))
            for _ in range(2)
        ]
        page = pdf.pages[0]
        page.Resources.Properties = pikepdf.Dictionary(L0=layers[0], L1=layers[1])
        drawn = b"".join(
            b"/OC /L%d BDC 0 g %d 300 100 100 re f EMC\n" % (n, 100 + 200 * n) for n in (0, 1)
        )
        page.contents_add(pdf.make_stream(drawn))
        default = pikepdf.Dictionary(OFF=[layers[1]] if hidden else [])
        if usage:
            state = pikepdf.Dictionary(PrintState=pikepdf.Name("/" + usage))
            layers[1].Usage = pikepdf.Dictionary(Print=state)
            default.AS = [
                pikepdf.Dictionary(
                    Event=pikepdf.Name.Print, Category=[pikepdf.Name.Print], OCGs=[layers[1]]
                )
            ]
        pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=layers, D=default)
        pdf.save(path)
    return path


def squares(picture, scale=1.0, left=0.0):
    """Whether the music and the answers are to be seen on a page of a Letter print job."""
    y = picture.height - 350 * scale
    return tuple(picture.getpixel((left + x * scale, y)) < 100 for x in (150, 350))


@pytest.mark.parametrize("booklet", [False, True])
def test_hidden_layers_stay_hidden(tmp_path, booklet):
    """Also where another file has the same layer, shown; and what printing changes is changed."""
    files = [
        layered(tmp_path / "hidden.pdf", True),
        layered(tmp_path / "shown.pdf", False),
        layered(tmp_path / "not-printed.pdf", False, "OFF"),
        layered(tmp_path / "printed.pdf", True, "ON"),
    ]
    out = tmp_path / "j.pdf"
    more = ("--booklet", "--onto", "tabloid") if booklet else ("--no-fronts",)
    told = run(*files, "--out", out, *more)
    assert told.exit_code == 0, told.output
    with closing(pypdfium2.PdfDocument(out)) as document:
        pages = [page.render().to_pil().convert("L") for page in document]
    fronts = pages[::2] if booklet else pages
    found = [squares(page, left=612 * booklet) for page in fronts]
    assert found == [(True, False), (True, True), (True, False), (True, True)]


def test_crop_boxes_units_and_inherited_rotation(tmp_path):
    """Corners in any order (ISO 32000-1, 7.9.5); a page twice as large as its numbers say."""
    path = make(tmp_path / "a.pdf", 2, (400, 400))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.Root.Pages.Rotate = 90
        for page in pdf.pages:
            page.obj.CropBox = [350, 306, 0, 0]
            page.obj.MediaBox = [400, 0, 0, 400]
            page.obj.UserUnit = 2
            del page.obj.Rotate
        pdf.save(path)
    out = tmp_path / "j.pdf"
    assert page_sizes(path) == ((612, 700),) * 2
    assert run(path, "--out", out).exit_code == 0
    assert page_sizes(out) == ((612, 700),) * 2
    with pikepdf.open(out) as pdf:
        assert pdf.pages[0].Rotate == 90 and pdf.pages[0].UserUnit == 2
    assert run(path, "--out", out, "--booklet", "--onto", "tabloid").exit_code == 0
    assert "page 1" in texts(out)[0]


def page_sizes(path):
    return look(path).sizes


def test_a_file_that_has_lost_a_page_is_damaged(tmp_path):
    path = make(tmp_path / "a.pdf", 3)
    data = path.read_bytes()
    with pikepdf.open(path) as pdf:
        lost = pdf.pages[1].obj.objgen[0]
    path.write_bytes(data.replace(b"\n%d 0 obj" % lost, b"\n%d 0 obk" % lost))
    told = run(path, "--out", tmp_path / "j.pdf")
    assert told.exit_code == 2 and "the file is damaged" in told.output, told.output


def test_threads_make_the_jobs_that_one_makes(tmp_path):
    """Damaged files too: nothing is set for the whole process, and nothing goes to the screen."""
    files = [make(tmp_path / f"{n}.pdf", 5, words=f"w{n}") for n in range(4)]
    (tmp_path / "bad.pdf").write_bytes(files[0].read_bytes().replace(b"/Kids", b"/Kodz"))
    level = logging.getLogger("pypdf").level

    def one(number):
        out = tmp_path / f"out-{number}.pdf"
        if number % 5 == 4:
            with pytest.raises(InputError):
                print_job([tmp_path / "bad.pdf"], out)
            return b""
        (print_job if number % 2 else booklets)(files, out)
        assert logging.getLogger("pypdf").level == level
        return out.read_bytes()

    alone = [one(number) for number in range(20)]
    with ThreadPoolExecutor(4) as threads:
        assert list(threads.map(one, range(20))) == alone


def test_memory_holds_one_file_at_a_time(tmp_path):
    """Ten files with pictures of 4 MB each take no more than two of them."""
    noise = random.Random(1)
    files = []
    for number in range(10):
        path = make(tmp_path / f"{number}.pdf")
        with pikepdf.open(path, allow_overwriting_input=True) as pdf:
            picture = pdf.make_stream(noise.randbytes(4_000_000))
            picture.Type, picture.Subtype = pikepdf.Name.XObject, pikepdf.Name.Image
            picture.Width, picture.Height, picture.BitsPerComponent = 2000, 2000, 8
            picture.ColorSpace = pikepdf.Name.DeviceGray
            pdf.pages[0].Resources.XObject = pikepdf.Dictionary(I=picture)
            pdf.save(path, compress_streams=False)
        files.append(path)
    tracemalloc.start()
    try:
        print_job(files, tmp_path / "j.pdf")
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert (tmp_path / "j.pdf").stat().st_size > 40_000_000
    assert most < 20_000_000
