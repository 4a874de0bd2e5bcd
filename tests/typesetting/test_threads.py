"""Documents drawn in several threads are those drawn one after the other, byte for byte."""

import io
import subprocess
import sys
import threading
from functools import cache

import pytest
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from workbook.typesetting.fonts import faces
from workbook.typesetting.fonts.embedded import Font
from workbook.typesetting.fonts.faces import FACES
from workbook.typesetting.lines import Lines
from workbook.typesetting.runs import unprintable
from workbook.typesetting.text import width, wrap

WORDS = [
    *("Łukasz", "plays", "F𝄪", "and", "B♭,", "Åse", "(3-4)", "Đặng", "Thị", "“Öğün”…", "½", "é"),
    # Their letters are put together from parts, which reportlab looks up in the font's file.
    *(word for word in ("Йоёй", "Ґёїў", "Άέήίό", "Ὧὦᾦᾏ") if not unprintable(word)),
]
THREADS = 6


def document(number):
    """A document whose characters come in an order of its own."""
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=0)
    lines = Lines(canvas)
    for page in range(6):
        for place in range(30):
            start = (7 * number + 3 * place + page) % len(WORDS)
            text = " ".join(WORDS[start:] + WORDS[:start]) + f" {number} {place}"
            face = FACES[(number + place) % 3]
            (first, *_) = wrap(text, face, 9, 300)
            lines.draw(500, 800 - 20 * place, first, face, 9, "right")
        lines.finish()
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def at_once(call, count):
    """What ``call`` returns for 0, 1, …, each in a thread of its own, started together."""
    together, results = threading.Barrier(count), [None] * count

    def work(number):
        together.wait()
        results[number] = call(number)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


@pytest.fixture
def hasty():
    """Threads take turns a thousand times as often as usual."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(5e-6)
    yield
    sys.setswitchinterval(before)


def test_documents_drawn_at_once_are_those_drawn_in_turn(hasty):
    in_turn = [document(number) for number in range(THREADS)]
    assert len(set(in_turn)) == THREADS
    for _ in range(3):
        assert at_once(document, THREADS) == in_turn


def test_a_font_is_loaded_once(hasty, monkeypatch):
    loaded = []

    class Counted(Font):
        def __init__(self, name, *more):
            loaded.append(name)
            super().__init__(name, *more)

    kept = faces.text_font("italic")
    monkeypatch.setattr(faces, "Font", Counted)
    for name in ("_register", "shipped"):  # as if no font had been loaded yet
        monkeypatch.setattr(faces, name, cache(getattr(faces, name).__wrapped__))
    try:
        fonts = at_once(lambda number: faces.text_font("italic"), THREADS)
    finally:
        pdfmetrics.registerFont(kept)
    assert loaded == ["Workbook-Text-Italic"] and len(set(map(id, fonts))) == 1


def test_a_process_may_begin_with_threads():
    """The first use of all: every font and table is loaded while other threads ask for it."""
    code = (
        "import hashlib, sys; sys.path.insert(0, sys.argv[1]); import test_threads as t;"
        "sys.setswitchinterval(5e-6);"
        "made = t.at_once(t.document, t.THREADS) if sys.argv[2] == 'threads'"
        " else [t.document(number) for number in range(t.THREADS)];"
        "print([hashlib.sha256(data).hexdigest() for data in made])"
    )
    folder = __file__.rpartition("test_threads")[0]
    made = {
        subprocess.run(
            [sys.executable, "-c", code, folder, how], capture_output=True, text=True, check=True
        ).stdout
        for how in ("threads", "turn")
    }
    assert len(made) == 1


NAMES = ["Оля Щукина", "שרה כהן 3-4", "\u0645\u0631\u064a\u0645 \u0644\u0627", "Ελένη", "Ann"]


def test_other_scripts_are_measured_alike_in_threads(hasty):
    names = [name for name in NAMES if not unprintable(name)]
    in_turn = [[width(name, face) for name in names] for face in FACES]
    assert at_once(lambda number: [width(name, FACES[number]) for name in names], 3) == in_turn
