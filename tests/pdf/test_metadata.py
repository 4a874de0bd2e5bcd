"""What files say of themselves: XMP read by an XML parser, and titles of bounded length."""

import io
import xml.etree.ElementTree as ET

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workbook.builds.titles import listed, of_students
from workbook.marking.mark_sheet import Marked
from workbook.pdf.join import Job
from workbook.pdf.metadata import About, xmp

DC = "{http://purl.org/dc/elements/1.1/}"
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"


def read(data):
    """The values of a metadata stream, by name, as an XML parser reads them."""
    packet = data[data.index(b"stream\n") + 7 : data.rindex(b"\nendstream")]
    root = ET.fromstring(packet)
    return {
        name: "".join(root.find(f".//{DC}{name}").itertext())
        for name in ("title", "creator", "description", "language")
        if root.find(f".//{DC}{name}") is not None
    }


@given(st.text(), st.text())
def test_whatever_is_typed_is_escaped(title, author):
    found = read(xmp(About(title, author, "What it is about")))
    assert found["description"] == "What it is about" and found["language"] == "en"
    sound = "".join(c for c in title if c in "\t\n\r" or (c >= " " and c not in "\ufffe\uffff"))
    assert found["title"] == sound.replace("\r\n", "\n").replace("\r", "\n")


def test_markup_in_a_name():
    found = read(xmp(About('Ada </rdf:li> & "<b>', "]]> me")))
    assert found["title"] == 'Ada </rdf:li> & "<b>' and found["creator"] == "]]> me"


def test_pikepdf_reads_what_is_said_in_every_job():
    out = io.BytesIO()
    job = Job(out, "Any", "Ünal <3")
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        again = io.BytesIO()
        pdf.save(again)
    with pikepdf.open(again) as pdf:
        job.add(pdf, "one")
    job.finish("Workbooks & more", "About")
    with pikepdf.open(out) as pdf, pdf.open_metadata() as said:
        assert said["dc:title"] == str(pdf.docinfo.Title) == "Workbooks & more"
        assert said["dc:creator"] == ["Ünal <3"] and said["dc:description"] == "About"
        assert said["pdf:Producer"] == str(pdf.docinfo.Producer) == "workbook"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert "pdfuaid:part" not in said


def book(student, title="Spring"):
    return Marked(student, title, "ABC-DEF", ())


@pytest.mark.parametrize(
    "books, title",
    [
        ([book("Ada")], "Workbooks of 1 student, Spring: Ada"),
        ([book("Ada"), book("Ada", "More")], "Workbooks of 1 student: Ada"),
        ([book("Ada"), book("Bo")], "Workbooks of 2 students, Spring: Ada, Bo"),
    ],
)
def test_the_title_of_a_job_says_whose_workbooks_it_holds(books, title):
    assert of_students("Workbooks", books) == title


def test_a_title_has_a_bounded_length():
    title = of_students("Answer keys", [book(f"Student number {n}") for n in range(1000)])
    assert len(title) <= 120 and title.startswith("Answer keys of 1,000 students, Spring: Student")
    assert title.endswith(" more")
    assert len(listed("Print job", ["x" * 5000])) < 120
