"""Print jobs: fronts, labels, outline, and no more memory than one file takes."""

import io

from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from workbook.pages.join import Job


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
        made.add(file, name)
    made.finish()
    return PdfReader(io.BytesIO(out.getvalue()), strict=True), out.getvalue()


def test_each_file_begins_on_a_front_side():
    reader, _ = job(("Ann", pdf(3, "a")), ("Bo", pdf(2, "b")), ("Cy", pdf(1, "c")))
    assert [page.extract_text().strip() for page in reader.pages] == [
        "a 0", "a 1", "a 2", "", "b 0", "b 1", "c 0"]
    assert {(float(p.mediabox.width), float(p.mediabox.height)) for p in reader.pages} == {
        (300.0, 400.0)}
    assert list(reader.page_labels) == ["Ann 1", "Ann 2", "Ann 3", "Ann 4", "Bo 1", "Bo 2", "Cy 1"]
    assert [(entry.title, reader.get_destination_page_number(entry))
            for entry in reader.outline] == [("Ann", 0), ("Bo", 4), ("Cy", 6)]
    assert reader.metadata.title == "All" and reader.root_object["/Lang"] == "en"


def test_without_fronts_pages_follow_one_another():
    reader, _ = job(("Ann", pdf(1)), ("Bo", pdf(1)), fronts=False)
    assert len(reader.pages) == 2


def test_what_files_share_goes_in_once():
    _, one = job(("Ann", pdf(4)))
    _, ten = job(*((f"n{n}", pdf(4)) for n in range(10)))
    assert len(ten) < 10 * len(one) * 0.7
