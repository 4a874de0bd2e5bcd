"""PDFs that mean no good, given to ``print``: told in a sentence, or printed without it.

What a page shows is rendered by pdfium, which had no part in writing the jobs.
"""

import subprocess
import sys
import zlib
from contextlib import closing

import pikepdf
import pypdfium2
import pytest
from click.testing import CliRunner
from pikepdf import Array, Dictionary, Name

from workbook import cli

BOTH = pytest.mark.parametrize("booklet", [False, True])
PAGE = "<</Type/Page/Parent 2 0 R/MediaBox {box}/Contents 4 0 R/Resources<<{more}>>>>"
BOX = "[0 0 612 792]"


def stream(entries, data):
    return b"<<%b/Length %d>>\nstream\n%b\nendstream" % (entries.encode(), len(data), data)


def written(path, content, *others, box=BOX, more=""):
    """A PDF of one page, from its objects as bytes: the content, and those from number 5."""
    page = PAGE.format(box=box, more=more).encode()
    tree = b"<</Type/Pages/Count 1/Kids[3 0 R]>>"
    objects = (b"<</Type/Catalog/Pages 2 0 R>>", tree, page, content, *others)
    out, places = b"%PDF-1.7\n", []
    for number, text in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, text)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"xref\n0 %d\n0000000000 65535 f \n%b" % (len(objects) + 1, table)
    size = len(objects) + 1
    out += b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (
        size,
        out.index(b"xref"),
    )
    path.write_bytes(out)
    return path


def zeros(megabytes):
    """That many megabytes of zeros, compressed."""
    packer, block = zlib.compressobj(9), bytes(1 << 20)
    return b"".join(packer.compress(block) for _ in range(megabytes)) + packer.flush()


def printed(path, booklet, out=None):
    """The result of the command, and the job."""
    out = out or path.with_suffix(".job.pdf")
    more = ("--booklet", "--onto", "tabloid") if booklet else ("--no-fronts",)
    told = CliRunner().invoke(cli.main, ["print", str(path), "--out", str(out), *more])
    return told, out


def refused(path, booklet, words):
    told, out = printed(path, booklet)
    assert told.exit_code == 2 and not out.exists(), told.output
    assert path.name in told.output and words in told.output, told.output
    assert isinstance(told.exception, SystemExit)


def dark(out, booklet, *places):
    """Whether the front page of a job is dark at each place, in points of a Letter page."""
    with closing(pypdfium2.PdfDocument(out)) as document:
        picture = document[0].render(may_draw_forms=False).to_pil().convert("L")
    left = 612 if booklet else 0
    return [picture.getpixel((left + x, 792 - y)) < 100 for x, y in places]


@BOTH
def test_filters_that_are_none_are_told(tmp_path, booklet):
    page = written(tmp_path / "a.pdf", stream("/Filter/FooDecode", b"q Q"))
    refused(page, booklet, "packed in a way that no program can unpack")
    picture = "/Type/XObject/Subtype/Image/Width 1/Height 1/BitsPerComponent 8"
    picture += "/ColorSpace/DeviceGray/Filter[/FlateDecode/FooDecode]"
    page = written(
        tmp_path / "b.pdf",
        stream("", b"q /X Do Q"),
        stream(picture, zlib.compress(b"x")),
        more="/XObject<</X 5 0 R>>",
    )
    refused(page, booklet, "packed in a way that no program can unpack")


@BOTH
@pytest.mark.parametrize("number", ["NaN", "inf", "-Infinity", "(x)", "null"])
def test_boxes_without_numbers_are_told(tmp_path, number, booklet):
    page = written(tmp_path / "a.pdf", stream("", b"q Q"), box=f"[0 0 {number} 792]")
    refused(page, booklet, "not four numbers")


@BOTH
@pytest.mark.parametrize("box", ["/MediaBox", "/CropBox"])
@pytest.mark.parametrize("number", ["9" * 400 + ".0", "(x)", "null", "[7]"])
def test_boxes_that_only_the_reader_of_numbers_refuses(tmp_path, box, number, booklet):
    """A number above all that a computer calculates with; and boxes that qpdf does not look at."""
    more = f">>/CropBox[0 0 {number} 792]/Other<<" if box == "/CropBox" else ""
    media = BOX if more else f"[0 0 {number} 792]"
    page = written(tmp_path / "a.pdf", stream("", b"q Q"), box=media, more=more)
    refused(page, booklet, "not four numbers")


@BOTH
def test_boxes_larger_than_any_paper_are_told(tmp_path, booklet):
    page = written(tmp_path / "a.pdf", stream("", b"q Q"), box="[0 0 2000000 792]")
    refused(page, booklet, "larger than any paper")


@BOTH
@pytest.mark.parametrize("box", ["[612 792 0 0]", "[612 0 0 792]", "[0 792 612 0]"])
def test_corners_in_any_order_are_the_same_page(tmp_path, box, booklet):
    """ISO 32000-1, 7.9.5: any two corners that lie opposite."""
    content = stream("", b"100 300 100 100 re f")
    told, job = printed(written(tmp_path / "a.pdf", content, box=box), booklet)
    assert told.exit_code == 0, told.output
    _, usual = printed(written(tmp_path / "b.pdf", content), booklet)
    assert dark(job, booklet, (150, 350), (450, 350)) == [True, False]
    with pikepdf.open(job) as one, pikepdf.open(usual) as other:
        pages = [pdf.pages[0].obj.MediaBox for pdf in (one, other)]
    assert [float(x) for x in pages[0]] == [float(x) for x in pages[1]]


@pytest.fixture(scope="module")
def bombs(tmp_path_factory):
    """300 MB of zeros in a page, a form, a picture, twice packed, and in an object stream."""
    folder, packed = tmp_path_factory.mktemp("bombs"), zeros(300)
    form = "/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Filter/FlateDecode"
    picture = "/Type/XObject/Subtype/Image/Width 9/Height 9/BitsPerComponent 8"
    picture += "/ColorSpace/DeviceGray/Filter/FlateDecode"
    drawn, named = stream("", b"q /X Do Q"), "/XObject<</X 5 0 R>>"
    return [
        written(folder / "page.pdf", stream("/Filter/FlateDecode", packed)),
        written(folder / "form.pdf", drawn, stream(form, packed), more=named),
        written(folder / "picture.pdf", drawn, stream(picture, packed), more=named),
        written(
            folder / "twice.pdf",
            stream("/Filter[/FlateDecode/FlateDecode]", zlib.compress(packed, 9)),
        ),
    ]


_MEASURED = """
import re, sys
from pathlib import Path
from workbook import cli
from click.testing import CliRunner
def peak():  # of this program alone; rusage counts what started it, too
    return int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1])
told = CliRunner().invoke(cli.main, sys.argv[1:])
print(told.exit_code, peak() // 1024, told.output)
"""


@BOTH
def test_300_mb_in_300_kb_are_refused_in_little_memory(bombs, tmp_path, booklet):
    words = ["print", *map(str, bombs), "--out", str(tmp_path / "j.pdf")]
    words += ["--booklet"] * booklet
    told = subprocess.run(
        [sys.executable, "-c", _MEASURED, *words], capture_output=True, text=True, timeout=60
    )
    code, megabytes, *_ = told.stdout.split()
    assert code == "2" and told.stdout.count("far more data than a page needs") == 4, told
    assert int(megabytes) < 250


def layered(path, properties, layers=3, drawn=None, change=lambda pdf, made: None):
    """A page with a black square in each of some layers, at x = 100, 200, …

    ``properties`` makes the configuration from the list of layers.
    """
    written(path, stream("", b"q Q"))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        made = [
            pdf.make_indirect(Dictionary(Type=Name.OCG, Name=f"layer {n}")) for n in range(layers)
        ]
        page = pdf.pages[0]
        named = {f"/L{n}": layer for n, layer in enumerate(made)}
        page.obj.Resources.Properties = Dictionary(named)
        squares = drawn or b"".join(
            b"/OC /L%d BDC 0 g %d 300 50 50 re f EMC\n" % (n, 100 + 100 * n) for n in range(layers)
        )
        page.obj.Contents = pdf.make_stream(squares)
        listed, default = properties(made)
        pdf.Root.OCProperties = Dictionary(OCGs=Array(listed), D=Dictionary(default))
        change(pdf, made)
        pdf.save(path)
    return path


SPOTS = ((125, 325), (225, 325), (325, 325))


def seen(path, booklet):
    told, job = printed(path, booklet)
    assert told.exit_code == 0, told.output
    return dark(job, booklet, *SPOTS)


@BOTH
def test_layers_off_by_base_state_are_hidden_but_those_on(tmp_path, booklet):
    path = layered(
        tmp_path / "a.pdf", lambda made: (made, {"/BaseState": Name.OFF, "/ON": [made[1]]})
    )
    assert seen(path, booklet) == [False, True, False]


@BOTH
def test_layers_that_are_not_listed_are_in_the_base_state(tmp_path, booklet):
    path = layered(
        tmp_path / "a.pdf", lambda made: (made[1:], {"/BaseState": Name.OFF, "/ON": [made[2]]})
    )
    assert seen(path, booklet) == [False, False, True]


@BOTH
def test_a_layer_written_where_it_is_used_is_hidden(tmp_path, booklet):
    def inline(pdf, made):
        pdf.pages[0].obj.Resources.Properties.L0 = Dictionary(Type=Name.OCG, Name="answers")

    path = layered(
        tmp_path / "a.pdf",
        lambda made: (made[1:], {"/BaseState": Name.OFF, "/ON": made[1:]}),
        change=inline,
    )
    assert seen(path, booklet) == [False, True, True]
    with pikepdf.open(path.with_suffix(".job.pdf")) as pdf:  # some readers show what none lists
        resources = pdf.pages[0].obj.Resources
        if booklet:
            resources = next(iter(resources.XObject.values())).Resources
        assert resources.Properties.L0.objgen in [
            layer.objgen for layer in pdf.Root.OCProperties.D.OFF
        ]


@BOTH
def test_usage_and_intent_do_not_bring_a_hidden_layer_back(tmp_path, booklet):
    def usage(pdf, made):
        for layer in made[:2]:
            layer.Usage = Dictionary(
                Print=Dictionary(PrintState=Name.ON), View=Dictionary(ViewState=Name.ON)
            )
        made[1].Intent = Name.Design

    path = layered(tmp_path / "a.pdf", lambda made: (made, {"/OFF": made[:2]}), change=usage)
    assert seen(path, booklet) == [False, False, True]


@BOTH
def test_memberships_of_hidden_layers_are_hidden(tmp_path, booklet):
    """OCMDs (8.11.2.2): by policy and by expression, and within forms in one another."""

    def members(pdf, made):
        named = pdf.pages[0].obj.Resources.Properties
        off, on, _ = made
        named.L0 = pdf.make_indirect(
            Dictionary(Type=Name.OCMD, OCGs=Array([off, on]), P=Name.AllOn)
        )
        named.L1 = pdf.make_indirect(
            Dictionary(Type=Name.OCMD, VE=Array([Name.And, on, Array([Name.Not, off])]))
        )
        named.L2 = pdf.make_indirect(Dictionary(Type=Name.OCMD, OCGs=Array([off]), P=Name.AnyOff))

    path = layered(tmp_path / "a.pdf", lambda made: (made, {"/OFF": [made[0]]}), change=members)
    assert seen(path, booklet) == [False, True, True]


@BOTH
def test_nested_layers_are_hidden_with_the_outer_one(tmp_path, booklet):
    """Marked content within marked content, and a form with /OC that draws another form."""
    drawn = (
        b"/OC /L0 BDC /OC /L1 BDC 100 300 50 50 re f EMC EMC\n"
        b"/F0 Do /OC /L1 BDC 300 300 50 50 re f EMC\n"
    )

    def forms(pdf, made):
        inner = pdf.make_stream(b"200 300 50 50 re f")
        outer = pdf.make_stream(b"/F1 Do")
        for form in (inner, outer):
            form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 612, 792])
        outer.OC = made[0]
        inner.OC = made[1]
        outer.Resources = Dictionary(XObject=Dictionary(F1=inner))
        pdf.pages[0].obj.Resources.XObject = Dictionary(F0=outer)

    path = layered(
        tmp_path / "a.pdf",
        lambda made: (made, {"/BaseState": Name.OFF, "/ON": made[1:]}),
        drawn=drawn,
        change=forms,
    )
    assert seen(path, booklet) == [False, False, True]


def actions(pdf):
    """Scripts, launches, renditions and files in every place that a page's objects have."""
    script = Dictionary(S=Name.JavaScript, JS="beep()")
    launch = pdf.make_indirect(Dictionary(Type=Name.Action, S=Name.Launch, F="calc"))
    long = pdf.make_indirect(Dictionary(S=Name.JavaScript, JS=pdf.make_stream(b"beep()")))
    film = Dictionary(S=Name.Rendition, JS="beep()", R=Dictionary(S=Name.MR))
    spec = Dictionary(Type=Name.Filespec, F="beep.txt", EF=Dictionary(F=pdf.make_stream(b"beep")))
    tree = Dictionary(Names=Array([pikepdf.String("a"), long]))
    pdf.Root.OpenAction, pdf.Root.AA = script, Dictionary(WC=launch)
    pdf.Root.Names = Dictionary(JavaScript=tree, EmbeddedFiles=Dictionary(Names=Array(["a", spec])))
    pdf.Root.AcroForm = Dictionary(Fields=Array([Dictionary(T="a", AA=Dictionary(K=script))]))
    page = pdf.pages[0].obj
    page.AA = Dictionary(O=script)
    page.Annots = Array([Dictionary(Type=Name.Annot, Subtype=Name.Link, A=launch)])
    form = pdf.make_stream(b"100 300 50 50 re f")
    form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 612, 792])
    places = (
        (page.Resources, ("OpenAction", "AA", "Names", "JavaScript", "Other")),
        (page.Resources.Properties, ("M0", "M1", "M2", "M3", "M4")),
        (form, ("OpenAction", "AA", "Names", "JavaScript", "Other")),
        (page.Group, ("A", "AA", "Names", "EF", "Other")),
    )
    # known by the name of their entry alone, or by the script alone
    bare = Dictionary(Names=Array([pikepdf.String("a"), pikepdf.String("beep")]))
    form_data = pdf.make_stream(b"beep")
    for holder, names in places:
        for name, value in zip(names, (script, Dictionary(O=launch), tree, film, spec)):
            holder[f"/{name}"] = value
        holder["/Renditions"], holder["/XFA"] = bare, form_data
        holder["/URI"] = pikepdf.String("beep:")
        holder["/Another"] = Dictionary(JS="beep()")
        holder["/Deep"] = Dictionary(Deeper=Array([Dictionary(Next=long), launch, spec]))
    page.Resources.XObject = Dictionary(JS=form)  # a name that any resource may have
    page.Contents = pdf.make_stream(b"/JS Do")


@BOTH
def test_scripts_and_actions_anywhere_are_left_behind(tmp_path, booklet):
    path = written(tmp_path / "a.pdf", stream("", b"q Q"), more="/Properties<<>>")
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].obj.Group = Dictionary(S=Name.Transparency, CS=Name.DeviceGray)
        actions(pdf)
        pdf.save(path)
    told, job = printed(path, booklet)
    assert told.exit_code == 0, told.output
    assert dark(job, booklet, (125, 325)) == [True]
    data = job.read_bytes()
    assert b"/Transparency" in data
    for word in (b"JavaScript", b"Launch", b"Rendition", b"beep", b"calc", b"/EF", b"Filespec"):
        assert word not in data, word


def test_encrypted_with_aes_256_and_older_revision(tmp_path):
    """Revisions 4 and 6 of the standard handler, and one that there is not."""
    plain = written(tmp_path / "plain.pdf", stream("", b"100 300 50 50 re f"))
    for revision in (4, 6):
        path = tmp_path / f"r{revision}.pdf"
        with pikepdf.open(plain) as pdf:
            pdf.save(path, encryption=pikepdf.Encryption(owner="o", user="u", R=revision))
        refused(path, False, "locked with a password")
    path.write_bytes(path.read_bytes().replace(b"/R 6", b"/R 9"))
    refused(path, False, "r6.pdf")
