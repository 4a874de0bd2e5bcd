"""Snippets: what LilyPond drew, cut to its ink, with the space it kept for boxes.

In: LilyPond's PDF and the report that our ``page-post-process`` printed.
Out: one ``Snippet`` per score. All measures are in points (1/72 inch), with the origin at
the lower left corner of the snippet.
"""

from __future__ import annotations

import hashlib
import io
import logging
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, cast

from workbook.engraving import ink
from workbook.engraving.glyphs import Fonts, Glyph, PdfDictionary
from workbook.engraving.lilypond import Run, Unusable
from workbook.errors import EngravingError
from workbook.exercises.model import Slot

if TYPE_CHECKING:
    from pypdf import PageObject

Rect = tuple[float, float, float, float]

STAFF_SIZE = 20
STAFF_SPACE = STAFF_SIZE / 4 * 72 / 72.27
"""Points (1/72 inch); LilyPond's own point is 1/72.27 inch."""
PAGE_WIDTH, PAGE_HEIGHT, MARGIN = 260, 900, 10
"""Millimetres: the paper on which LilyPond draws a snippet, before it is cut."""
_MM = 72 / 25.4

_log = logging.getLogger(__name__)

PAPER = rf"""
#(define (report-page layout pages)
  (define (numbers . values)
    (for-each (lambda (v) (format #t " ~,4f" v)) values)
    (newline))
  (for-each
    (lambda (page)
      (display "@PAGE") (newline) (force-output)
      (for-each
        (lambda (line)
          (let* ((stencil (ly:prob-property line 'stencil))
                 (system (ly:prob-property line 'system-grob))
                 (x (ly:stencil-extent stencil X))
                 (y (ly:stencil-extent stencil Y)))
            (display "@LINE")
            (numbers (ly:prob-property line 'Y-offset) (car x) (car y) (cdr x) (cdr y))
            (if (ly:grob? system)
              (for-each
                (lambda (grob)
                  (let ((text (ly:grob-property grob 'text #f)))
                    (if (and (pair? text) (eq? (car text) slot-markup))
                      (let ((gx (ly:grob-extent grob system X))
                            (gy (ly:grob-extent grob system Y)))
                        (format #t "@SLOT ~a" (cadr text))
                        (numbers (car gx) (car gy) (cdr gx) (cdr gy))))
                    (if (eq? (grob::name grob) 'StaffSymbol)
                      (let ((gx (ly:grob-extent grob system X))
                            (gy (ly:grob-extent grob system Y)))
                        (display "@STAFF")
                        (numbers (car gx) (car gy) (cdr gx) (cdr gy))))))
                (ly:grob-array->list (ly:grob-object system 'all-elements))))))
        (ly:prob-property page 'lines)))
    pages))
#(define-markup-command (slot layout props name width height) (string? number? number?)
  (ly:make-stencil "" (cons 0 width) (cons 0 height)))
#(set-global-staff-size {STAFF_SIZE})
\paper {{
  indent = 0  ragged-right = ##f  ragged-last = ##f  ragged-bottom = ##t  ragged-last-bottom = ##t
  paper-width = {PAGE_WIDTH}\mm  paper-height = {PAGE_HEIGHT}\mm
  left-margin = {MARGIN}\mm  top-margin = {MARGIN}\mm  bottom-margin = {MARGIN}\mm
  tagline = ##f  print-page-number = ##f
  oddHeaderMarkup = ##f  evenHeaderMarkup = ##f  oddFooterMarkup = ##f  evenFooterMarkup = ##f
  top-system-spacing = #'((basic-distance . 0) (minimum-distance . 0) (padding . 0))
  system-system-spacing = #'((basic-distance . 0) (minimum-distance . 0) (padding . 5.5))
  page-post-process = #report-page
}}
"""


@dataclass(frozen=True)
class Snippet:
    """One engraved exercise, without numbers, boxes or answers.

    ``printed`` are the page's drawing operators, compressed (zlib), to be moved by
    ``-x, -y`` so that the lower left corner of the cut comes to the origin; they draw
    ``glyphs`` as form XObjects. ``written`` is what the student writes on the staff, for the
    answer key only (b"" for nothing). ``slots`` maps a slot to the space for
    the boxes of its column, relative to the snippet. ``lines`` has the bottom and the top
    of each line of music, from the top down. ``staff`` is the left end of the first staff's
    top line, (0, 0) in a figure.
    """

    width: float
    height: float
    x: float
    y: float
    printed: bytes
    written: bytes
    slots: dict[Slot, Rect]
    glyphs: tuple[Glyph, ...] = ()
    lines: tuple[tuple[float, float], ...] = ()
    staff: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def name(self) -> str:
        """A name for its content: snippets that draw the same have the same name."""
        cut = repr((self.x, self.y, self.width, self.height)).encode()
        return hashlib.sha256(cut + self.printed + self.written).hexdigest()[:12]


def read(run: Run, count: int) -> list[Snippet]:
    """The ``count`` snippets of a run, in its order.

    Raises EngravingError if the report or the PDF has another number of pages, and Unusable
    if they are not what LilyPond writes.
    """
    try:
        return _read(run, count)
    except EngravingError:
        raise
    except Exception as error:  # noqa: BLE001 - pypdf raises anything for a damaged file
        _log.info("LilyPond's PDF cannot be read", exc_info=error)
        raise Unusable(
            "LilyPond wrote a PDF that is damaged or not in its usual form. Run the command "
            "again; if that does not help, reinstall LilyPond."
        ) from None


def _read(run: Run, count: int) -> list[Snippet]:
    from pypdf import PdfReader  # late: needed only for what the cache lacks

    reports = _reports(run.lines)
    # strict: a damaged file is an error, not a warning on the screen
    pages = PdfReader(io.BytesIO(run.pdf), strict=True).pages
    if not len(reports) == len(pages) == count:
        raise EngravingError(
            f"LilyPond drew {len(pages)} pages for {count} exercises; "
            "one of them is too tall for its page"
        )
    fonts = Fonts()
    return [_snippet(report, page, fonts) for report, page in zip(reports, pages)]


def _reports(lines: Sequence[str]) -> list[list[list[str]]]:
    found: list[list[list[str]]] = []
    for line in lines:
        words = line.split()
        if words and words[0] == "@PAGE":
            found.append([])
        elif words and words[0] in ("@LINE", "@SLOT", "@STAFF") and found:
            found[-1].append(words)
    return found


def _snippet(report: list[list[str]], page: PageObject, fonts: Fonts) -> Snippet:
    left = MARGIN * _MM
    top = float(page.mediabox.height)
    origin = top
    inks: list[Rect] = []
    slots: dict[Slot, Rect] = {}
    lines: list[tuple[float, float]] = []
    staff = left, 0.0
    for words in report:
        numbers = map(float, words[-4:])
        if words[0] == "@LINE":
            origin = top - MARGIN * _MM - float(words[1]) * STAFF_SPACE
        x0, y0, x1, y1 = (n * STAFF_SPACE for n in numbers)
        rect = (left + x0, origin + y0, left + x1, origin + y1)
        if words[0] == "@STAFF":
            if len(lines) == 1 and rect[3] > staff[1]:
                staff = rect[0], rect[3]
            continue
        inks.append(rect)
        if words[0] == "@SLOT":
            slots[Slot.parse(words[1])] = rect
            lines[-1] = (min(lines[-1][0], rect[1]), max(lines[-1][1], rect[3]))
        else:
            lines.append((rect[1], rect[3]))
    pad = 1.0  # strokes are drawn half outside their extent
    x, y = min(r[0] for r in inks) - pad, min(r[1] for r in inks) - pad
    width, height = max(r[2] for r in inks) + pad - x, max(r[3] for r in inks) + pad - y
    contents = page.get_contents()
    if contents is None:  # its truth value is that of its dictionary
        raise EngravingError("LilyPond drew a page without contents")
    resources = cast(dict[str, dict[str, PdfDictionary]], page["/Resources"])
    faces = ink.read(contents.get_data(), resources.get("/Font", {}), fonts)
    return Snippet(
        round(width, 3),
        round(height, 3),
        round(x, 3),
        round(y, 3),
        pack(faces.printed),
        pack(faces.written) if any(map(_paints, faces.written)) else b"",
        {slot: _moved(rect, x, y) for slot, rect in slots.items()},
        tuple(faces.glyphs[name] for name in sorted(faces.glyphs)),
        tuple((round(low - pad - y, 3), round(high + pad - y, 3)) for low, high in lines),
        (round(staff[0] - x, 3), round(staff[1] - y, 3)),
    )


def _moved(rect: Rect, x: float, y: float) -> Rect:
    x0, y0, x1, y1 = rect
    return round(x0 - x, 3), round(y0 - y, 3), round(x1 - x, 3), round(y1 - y, 3)


def pack(lines: Sequence[bytes]) -> bytes:
    """Drawing operators as a snippet keeps them: one a line, compressed."""
    return zlib.compress(b"\n".join(lines), 9)


def _paints(line: bytes) -> bool:
    return line.endswith((b" f", b" f*", b" S", b" Do Q"))
