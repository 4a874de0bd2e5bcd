"""Damaging a built workbook: copies of its files with one thing wrong."""

import json
import re

from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject

from workbook.pdf.content import read_pages

_ORIGIN = re.compile(rb"(?=1 0 0 1 \S+ \S+ Tm)")
_SHOWN = re.compile(rb"\((?:\\.|[^\\)])*\) Tj", re.DOTALL)
_STRING = re.compile(rb"\(((?:\\.|[^\\)])*)\)", re.DOTALL)


def record(folder, change):
    """``key.json`` after ``change`` was called with its data."""
    path = folder / "key.json"
    data = json.loads(path.read_text("utf-8"))
    change(data)
    path.write_text(json.dumps(data), "utf-8")


def pdf(path, change):
    """A PDF after ``change`` was called with a writer of all of it."""
    writer = PdfWriter(clone_from=PdfReader(path))
    change(writer)
    writer.write(path)


def page(path, number, change):
    """A PDF whose page's operators, a list of lines, ``change`` has changed in place."""

    def edit(writer):
        one = writer.pages[number - 1]
        lines = one.get_contents().get_data().split(b"\n")
        change(lines)
        stream = DecodedStreamObject()
        stream.set_data(b"\n".join(lines))
        one[NameObject("/Contents")] = writer._add_object(stream)

    pdf(path, edit)


def text(path, number, words, change, rect=(0, 0, 2000, 2000)):
    """A PDF in which ``change`` makes another line of the one that draws ``words``, the first
    within ``rect``."""
    x0, y0, x1, y1 = rect
    place = next(
        i
        for i, w in enumerate(read_pages(path.read_bytes())[number - 1].words)
        if w.text == words and x0 <= w.at[0] <= x1 and y0 <= w.at[1] <= y1
    )

    def edit(lines):
        index = next(i for i, one in enumerate(lines) if one.endswith(b" ET"))
        start, *pieces = _ORIGIN.split(lines[index])
        drawn = [i for i, piece in enumerate(pieces) if b" Tj" in piece]
        piece = pieces[drawn[place]]
        changed = change(b"BT " + piece)
        pieces[drawn[place]] = changed[3:] if changed else _SHOWN.sub(b"", piece)
        lines[index] = start + b"".join(pieces)

    page(path, number, edit)


def line(path, number, ending, change):
    """A PDF in which the first line with ``ending`` on a page is changed by ``change``."""

    def edit(lines):
        place = next(i for i, one in enumerate(lines) if one.rstrip().endswith(ending))
        lines[place] = change(lines[place])

    page(path, number, edit)


def backwards(drawn):
    """A text line with the characters of its strings in the reverse order."""

    def turned(match):
        codes = re.findall(rb"\\[0-7]{3}|\\.|[^\\]", match[1], re.DOTALL)
        return b"(" + b"".join(reversed(codes)) + b")"

    return _STRING.sub(turned, drawn)


def moved(place, by):
    """A change that adds ``by`` to the number at ``place`` of a line."""

    def change(drawn):
        words = drawn.split(b" ")
        words[place] = b"%.3f" % (float(words[place]) + by)
        return b" ".join(words)

    return change


def added(*more):
    """A change of a page: these lines at its end."""
    return lambda lines: lines.extend(more)
