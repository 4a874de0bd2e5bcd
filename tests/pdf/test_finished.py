"""Finished books: their objects as bytes, and what other libraries find in the same files."""

import io
import re

import pikepdf
import pytest
from pypdf import PdfReader

from workbook import build
from workbook.pdf import content, finished
from workbook.pdf.finished import FinishedPdf, Unreadable
from workbook.pdf.join import Job
from workbook.pdf.writer import Writer
from workbook.resources import shipped


@pytest.fixture(scope="module")
def books(tmp_path_factory):
    out = tmp_path_factory.mktemp("demo")
    build(shipped() / "demo" / "roster.csv", out)
    return sorted(file for file in out.rglob("*.pdf") if file.parent != out)


def job(files, as_finished):
    out = io.BytesIO()
    made = Job(out, "All", "someone")
    for file in files:
        if as_finished:
            made.add_finished(FinishedPdf(file.read_bytes()), (612.0, 792.0), file.stem)
        else:
            with pikepdf.open(file) as pdf:
                made.add(pdf, file.stem)
    made.finish()
    return out.getvalue()


def test_a_print_job_of_finished_books_is_that_of_any_files(books):
    ours, any_file = (job(books, as_finished) for as_finished in (True, False))
    read = [PdfReader(io.BytesIO(data), strict=True) for data in (ours, any_file)]
    assert len(read[0].pages) == len(read[1].pages)
    for one, other in zip(*(reader.pages for reader in read)):
        assert one.mediabox == other.mediabox
        assert one.extract_text() == other.extract_text()
        assert "/Trans" not in one and "/Annots" not in one
    assert content.read_pages(ours) == content.read_pages(any_file)
    assert list(read[0].page_labels) == list(read[1].page_labels)
    assert len(ours) < 1.05 * len(any_file)


def test_objects_as_bytes_are_those_that_pikepdf_reads(books):
    """Put together anew under the same numbers, they are the same document for qpdf."""
    for file in books[:3]:
        data = file.read_bytes()
        ours, out = FinishedPdf(data), io.BytesIO()
        with pikepdf.open(file) as pdf:
            assert ours.pages == [page.obj.objgen for page in pdf.pages]
            writer = Writer(out)
            assert set(ours._packed) & {one.objgen for one in pdf.objects}
            for number in range(1, len(pdf.objects) + 1):
                text = b"".join(ours.object((number, 0)))
                assert writer.write(text) == number
            writer.close(pdf.Root.objgen[0], pdf.trailer.Info.objgen[0])
            with pikepdf.open(out) as again:
                assert not again.get_warnings() and len(again.objects) == len(pdf.objects) + 1
                for one, other in zip(pdf.objects, again.objects):
                    if isinstance(one, pikepdf.Stream):
                        assert one.read_raw_bytes() == other.read_raw_bytes()
                        assert one.stream_dict.unparse() == other.stream_dict.unparse()
                        continue
                    assert one.unparse(resolved=True) == other.unparse(resolved=True)


def test_what_is_read_by_our_own_table_is_what_any_reader_finds(books, monkeypatch):
    for file in books:
        data = file.read_bytes()
        ours = FinishedPdf(data)
        with monkeypatch.context() as patch:
            patch.setattr(finished, "read_table", lambda data: None)
            any_reader = FinishedPdf(data)
        assert vars(ours) == vars(any_reader)
        assert ours.pages and ours.structure


def test_words_read_back_are_those_that_pypdf_reads(books):
    for file in books:
        pages = content.read_pages(file.read_bytes())
        for page, other in zip(pages, PdfReader(file).pages, strict=True):
            assert page.size == (other.mediabox.width, other.mediabox.height)
            ours = "".join("".join(words.text for words in page.words).split())
            assert sorted(ours) == sorted("".join(other.extract_text().split()))


def test_pages_written_again_by_another_program_read_the_same(books):
    for file in books[:2]:
        again = io.BytesIO()
        with pikepdf.open(file) as pdf:
            pdf.save(again, object_stream_mode=pikepdf.ObjectStreamMode.generate)
        assert content.read_pages(again.getvalue()) == content.read_pages(file.read_bytes())
        read = FinishedPdf(again.getvalue())
        with pikepdf.open(again) as pdf:
            for key in read.pages:
                contents = pdf.get_object(key).Contents.objgen
                assert b"/Contents %d 0 R" % contents[0] in read.object(key)[0]


def test_damaged_objects_within_a_stream_are_refused(books):
    data = books[0].read_bytes()
    at = data.index(b"stream\n", data.index(b"/ObjStm")) + 20
    with pytest.raises(Unreadable):
        FinishedPdf(data[:at] + bytes(30) + data[at + 30 :])


@pytest.mark.parametrize(
    "change, words",
    [
        (lambda data: data[:-40], "damaged"),
        (
            lambda data: re.sub(rb"\n\d+( 0 obj\n<< /Type /XObject)", rb"\n8\1", data, count=1),
            "damaged|not where",
        ),
        (lambda data: data[:200] + b" " + data[200:], "damaged|not where"),
        (lambda data: b"", "damaged"),
    ],
)
def test_a_file_that_is_not_as_written_is_reported(books, change, words):
    def read():
        pdf = FinishedPdf(change(books[0].read_bytes()))
        for key in pdf._spans:
            pdf.object(key)

    with pytest.raises(Unreadable, match=words) as error:
        read()
    assert "0x" not in str(error.value)
