"""Print jobs: fronts, labels, outline, and no more memory than one file takes."""

import io

import pikepdf
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from workbook.pdf.join import Job


def pdf(pages, words="word"):
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(300, 400), invariant=1)
    for number in range(pages):
        canvas.drawString(50, 50, f"{words} {number}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def job(*parts, fronts=True):
    out = io.BytesIO()
    made = Job(out, "All", "someone", fronts)
    for name, file in parts:
        with pikepdf.open(io.BytesIO(file)) as source:
            made.add(source, name)
    made.finish()
    return PdfReader(io.BytesIO(out.getvalue()), strict=True), out.getvalue()


def test_each_file_begins_on_a_front_side():
    reader, _ = job(("Ann", pdf(3, "a")), ("Bo", pdf(2, "b")), ("Cy", pdf(1, "c")))
    assert [page.extract_text().strip() for page in reader.pages] == [
        "a 0",
        "a 1",
        "a 2",
        "",
        "b 0",
        "b 1",
        "c 0",
    ]
    assert {(float(p.mediabox.width), float(p.mediabox.height)) for p in reader.pages} == {
        (300.0, 400.0)
    }
    assert list(reader.page_labels) == ["Ann 1", "Ann 2", "Ann 3", "Ann 4", "Bo 1", "Bo 2", "Cy 1"]
    assert [
        (entry.title, reader.get_destination_page_number(entry)) for entry in reader.outline
    ] == [("Ann", 0), ("Bo", 4), ("Cy", 6)]
    assert reader.metadata.title == "All" and reader.root_object["/Lang"] == "en"


def test_without_fronts_pages_follow_one_another():
    reader, _ = job(("Ann", pdf(1)), ("Bo", pdf(1)), fronts=False)
    assert len(reader.pages) == 2


def test_what_files_share_goes_in_once():
    _, one = job(("Ann", pdf(4)))
    _, ten = job(*((f"n{n}", pdf(4)) for n in range(10)))
    assert len(ten) < 10 * len(one) * 0.7


def test_copies_begin_on_a_front_side_too():
    out = io.BytesIO()
    made = Job(out, "All", "someone", copies=3)
    with pikepdf.open(io.BytesIO(pdf(3))) as source:
        made.add(source, "Ann")
    made.finish()
    reader = PdfReader(io.BytesIO(out.getvalue()), strict=True)
    assert [page.extract_text().strip() for page in reader.pages] == [
        *["word 0", "word 1", "word 2", ""] * 2,
        "word 0",
        "word 1",
        "word 2",
    ]
    assert reader.root_object["/ViewerPreferences"]["/Duplex"] == "/DuplexFlipLongEdge"


def test_a_dictionary_that_pages_share_and_an_object_within_itself():
    """The fonts stand once above all pages, and one dictionary refers to itself."""
    source = io.BytesIO(b"%PDF-1.4\n")
    source.seek(0, io.SEEK_END)
    offsets = []
    for number, text in enumerate(
        (
            "<</Type/Catalog/Pages 2 0 R>>",
            (
                "<</Type/Pages/Count 2/Kids[3 0 R 4 0 R]/MediaBox[0 0 300 400]"
                "/Resources<</Font<</F 5 0 R>>/Properties<</M 7 0 R>>>>>>"
            ),
            "<</Type/Page/Parent 2 0 R/Contents 6 0 R>>",
            "<</Type/Page/Parent 2 0 R/Contents 6 0 R>>",
            "<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
            "<</Length 36>>stream\nBT /F 12 Tf 9 9 Td (shared) Tj ET   \nendstream",
            "<</Self 7 0 R>>",
        ),
        1,
    ):
        offsets.append(source.tell())
        source.write(f"{number} 0 obj\n{text}\nendobj\n".encode())
    start = source.tell()
    table = "".join(f"{offset:010d} 00000 n \n" for offset in offsets)
    source.write(
        f"xref\n0 8\n0000000000 65535 f \n{table}trailer\n<</Size 8/Root 1 0 R>>\n"
        f"startxref\n{start}\n%%EOF\n".encode()
    )
    reader, data = job(("Ann", source.getvalue()))
    assert [page.extract_text().strip() for page in reader.pages] == ["shared"] * 2
    mark = reader.pages[1]["/Resources"]["/Properties"].raw_get("/M")
    assert mark.get_object().raw_get("/Self").idnum == mark.idnum
    assert data.count(b"/Helvetica") == 1
