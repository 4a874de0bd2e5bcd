"""Booklets: pages where folded sheets need them, upright on both sides, at their size."""

import io

import pikepdf
import pypdfium2
import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    RectangleObject,
)
from reportlab.pdfgen.canvas import Canvas

from workbook.pdf.impose import SHEETS, Booklets, order, scale


def pdf(pages, size=(300, 400)):
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1)
    for number in range(1, pages + 1):
        canvas.drawString(50, 60, f"page {number}")
        canvas.drawString(size[0] - 90, size[1] - 40, "corner")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def imposed(*files, sheet=(600.0, 400.0), copies=1):
    out = io.BytesIO()
    job = Booklets(out, "All", "someone", sheet, copies)
    for number, file in enumerate(files, 1):
        with pikepdf.open(io.BytesIO(file)) as source:
            job.add(source, f"book {number}")
    job.finish()
    return out.getvalue()


def words(data, index):
    """By the line of text: left and bottom of its first letter, and of its last."""
    text = pypdfium2.PdfDocument(data)[index].get_textpage()
    found, start = {}, 0
    for line in text.get_text_range().splitlines(keepends=True):
        if line.strip():
            first = text.get_charbox(start, loose=True)
            last = text.get_charbox(start + len(line.rstrip()) - 1, loose=True)
            found[line.strip()] = first[0], first[1], last[0], last[1]
        start += len(line)
    return found


def halves(data, middle):
    """For each side the numbers of the pages on the left and right, as their text says."""
    found = []
    for index in range(len(pypdfium2.PdfDocument(data))):
        places = {line: at[0] for line, at in words(data, index).items() if "page" in line}
        side = [None, None]
        for line, x in places.items():
            assert side[x > middle] is None
            side[x > middle] = int(line.split()[-1])
        found.append(tuple(side))
    return found


# the drawing in the manual of Perl's PDF::Imposition::Schema2up (eight pages on two sheets)
EIGHT = [(8, 1), (2, 7), (6, 3), (4, 5)]


def test_eight_pages_as_the_manual_draws_them():
    assert order(8) == EIGHT
    assert halves(imposed(pdf(8)), 300) == EIGHT


@pytest.mark.parametrize("pages", range(1, 14))
def test_folded_sheets_read_in_order(pages):
    """Fold the sheets and turn the leaves: 1, 2, 3 and so on, then the blanks.

    The manual of psbook (psutils): sheets folded together, multiples of four,
    blanks added, duplex as for short-edge binding. So behind the right half of a
    front lies the left half of its back.
    """
    sides = halves(imposed(pdf(pages)), 300)
    assert sides == order(pages)
    assert len(sides) == 2 * -(-pages // 4)
    sheets = list(zip(sides[::2], sides[1::2]))
    read = [page for front, back in sheets for page in (front[1], back[0])]
    read += [page for front, back in reversed(sheets) for page in (back[1], front[0])]
    assert read == [*range(1, pages + 1), *[None] * (-pages % 4)]


@pytest.mark.parametrize("paper, sheet", [("letter", "tabloid"), ("a4", "a3")])
def test_on_paper_of_double_size_nothing_moves(paper, sheet):
    long, short = SHEETS[paper]
    source = pdf(5, (short, long))
    made = imposed(source, sheet=SHEETS[sheet])
    middle, sides = SHEETS[sheet][0] / 2, order(5)
    for index, side in enumerate(sides):
        found = words(made, index)
        for half, page in enumerate(side):
            if page is not None:
                for line, at in words(source, page - 1).items():
                    if line.startswith("page"):
                        shift = [a - b for a, b in zip(found[line], at)]
                        assert shift == pytest.approx([middle * half, 0] * 2, abs=0.1)


def test_on_the_same_paper_pages_shrink_into_the_middle_of_their_half():
    long, short = SHEETS["letter"]
    source = pdf(4, (short, long))
    by = scale((short, long), SHEETS["letter"])
    assert by == pytest.approx(396 / 612)  # half of 792 for a width of 612
    at = words(source, 0)["page 1"]
    found = words(imposed(source, sheet=SHEETS["letter"]), 0)["page 1"]
    below = (612 - 792 * by) / 2
    assert found == pytest.approx(
        [396 + by * at[0], below + by * at[1], 396 + by * at[2], below + by * at[3]], abs=0.1
    )


def test_sheets_and_the_print_dialog():
    reader = PdfReader(io.BytesIO(imposed(pdf(5), pdf(3))), strict=True)
    assert {tuple(map(float, page.mediabox)) for page in reader.pages} == {(0, 0, 600, 400)}
    assert all(page.rotation == 0 for page in reader.pages)
    assert dict(reader.root_object["/ViewerPreferences"]) == {
        "/DisplayDocTitle": True,
        "/Duplex": "/DuplexFlipShortEdge",
        "/PrintScaling": "/None",
    }
    assert [
        (entry.title, reader.get_destination_page_number(entry)) for entry in reader.outline
    ] == [("book 1", 0), ("book 2", 4)]
    assert reader.metadata.title == "All" and reader.root_object["/Lang"] == "en"
    assert reader.page_labels[5] == "book 2, side 2"


def test_each_file_is_a_booklet_and_copies_follow_one_another():
    once = halves(imposed(pdf(5), pdf(3)), 300)
    assert once == order(5) + order(3)
    assert halves(imposed(pdf(5), pdf(3), copies=3), 300) == once * 3
    reader = PdfReader(io.BytesIO(imposed(pdf(5), pdf(3), copies=2)), strict=True)
    assert [
        (entry.title, reader.get_destination_page_number(entry)) for entry in reader.outline
    ] == [("book 1", 0), ("book 2", 4), ("book 1, copy 2", 6), ("book 2, copy 2", 10)]


def test_a_page_goes_in_once_however_many_copies():
    one, many = imposed(pdf(7)), imposed(pdf(7), copies=50)
    assert one.count(b"/Subtype /Form") == many.count(b"/Subtype /Form") == 7
    # what a copy adds is its pages' dictionaries, four sides of 300 bytes or less
    assert (len(many) - len(one)) / 49 < 4 * 300
    assert imposed(pdf(7), pdf(7)).count(b"/Subtype /Form") == 7


@pytest.mark.parametrize("turned", (0, 90, 180, 270))
def test_turned_and_cropped_pages_look_as_they_did(turned):
    reader = PdfReader(io.BytesIO(pdf(4, (420, 420))))
    writer = PdfWriter()
    crop = (40, 20, 340, 420) if turned in (0, 180) else (20, 40, 420, 340)
    for page in reader.pages:
        page.cropbox = RectangleObject(crop)
        page[NameObject("/Rotate")] = NumberObject(turned)
        writer.add_page(page)
    source = io.BytesIO()
    writer.write(source)
    page = pypdfium2.PdfDocument(source.getvalue())[0].render().to_pil().convert("L")
    sheet = pypdfium2.PdfDocument(imposed(source.getvalue()))[0].render().to_pil().convert("L")
    assert page.size == (300, 400) and sheet.size == (600, 400)
    half = sheet.crop((300, 0, 600, 400))
    assert min(page.tobytes()) < 60  # there is something to see
    unlike = sum(abs(a - b) > 100 for a, b in zip(page.tobytes(), half.tobytes()))
    assert unlike < 5


def test_contents_in_parts_and_pages_with_nothing_on_them():
    writer = PdfWriter(io.BytesIO(pdf(2)))
    parts = ArrayObject()
    for text in (b"q 1 0 0 1 20 0 cm", b"", writer.pages[0].get_contents().get_data(), b"Q"):
        part = DecodedStreamObject()
        part.set_data(text)
        parts.append(writer._add_object(part))
    writer.pages[0][NameObject("/Contents")] = parts
    del writer.pages[1]["/Contents"]
    source = io.BytesIO()
    writer.write(source)
    made = imposed(source.getvalue())
    assert halves(made, 300) == [(None, 1), (None, None)]
    assert words(made, 0)["page 1"][0] == pytest.approx(370, abs=1.5)


def test_transparent_pages_stay_groups_of_their_own():
    writer = PdfWriter(io.BytesIO(pdf(1)))
    writer.pages[0][NameObject("/Group")] = DictionaryObject(
        {NameObject("/S"): NameObject("/Transparency"), NameObject("/CS"): NameObject("/DeviceRGB")}
    )
    source = io.BytesIO()
    writer.write(source)
    page = PdfReader(io.BytesIO(imposed(source.getvalue())), strict=True).pages[0]
    group = page["/Resources"]["/XObject"]["/P1"]["/Group"]
    assert group["/S"] == "/Transparency" and group["/I"] == True  # noqa: E712 (a PDF object)
