"""Files taken apart by their table of objects: what pypdf finds in them, piece by piece."""

import io

import pytest
from pypdf import PdfReader

from workbook import build
from workbook.pdf import content
from workbook.pdf.join import Job
from workbook.pdf.parts import Parts
from workbook.resources import shipped


@pytest.fixture(scope="module")
def books(tmp_path_factory):
    out = tmp_path_factory.mktemp("demo")
    build(shipped() / "demo" / "roster.csv", out)
    return sorted(file for file in out.rglob("*.pdf") if file.parent != out)


def job(files, own):
    out = io.BytesIO()
    made = Job(out, "All", "someone")
    for file in files:
        if own:
            made.add_book(Parts(file.read_bytes()), (612.0, 792.0), file.stem)
        else:
            made.add(PdfReader(file), file.stem)
    made.finish()
    return out.getvalue()


def test_a_print_job_of_parts_is_what_pypdf_makes_of_the_files(books):
    quick, slow = (job(books, own) for own in (True, False))
    read = [PdfReader(io.BytesIO(data), strict=True) for data in (quick, slow)]
    assert len(read[0].pages) == len(read[1].pages)
    for one, other in zip(*(reader.pages for reader in read)):
        assert one.mediabox == other.mediabox
        assert one.extract_text() == other.extract_text()
        assert "/Trans" not in one and "/Annots" not in one
    assert content.read_pages(quick) == content.read_pages(slow)
    assert list(read[0].page_labels) == list(read[1].page_labels)
    assert abs(len(quick) - len(slow)) < 0.02 * len(slow)


def test_pages_read_by_their_parts_are_those_that_pypdf_reads(books):
    for file in books:
        data = file.read_bytes()
        quick = [content._drawn(*page) for page in content._written(data)]
        assert quick == [content._drawn(*page) for page in content._any(data)]
        assert any(page.words for page in quick)


@pytest.mark.parametrize(
    "change, words",
    [
        (lambda data: data[:-40], "no table of objects"),
        (lambda data: data.replace(b"\n9 0 obj", b"\n8 0 obj"), "object 9 is not where"),
        (lambda data: data[:200] + b" " + data[200:], "no table of objects|is not where"),
        (lambda data: b"", "no table of objects"),
    ],
)
def test_a_file_that_is_not_as_written_is_told(books, change, words):
    with pytest.raises(ValueError, match=words):
        Parts(change(books[0].read_bytes()))
