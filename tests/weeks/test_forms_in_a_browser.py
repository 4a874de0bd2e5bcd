"""PDF forms filled in by pdf.js, as in a browser, and read back."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path

import pikepdf
import pytest

from workbook import build, read_record
from workbook.marking.form_names import field_name
from workbook.marking.returned import read_returned

MODULE = "node_modules/pdfjs-dist/legacy/build/pdf.mjs"
FOLDER = Path(os.environ.get("PDFJS_FOLDER", "/nowhere"))
HOW = "npm install --prefix FOLDER pdfjs-dist@4, then set PDFJS_FOLDER to that folder"

pytestmark = pytest.mark.skipif(
    not (shutil.which("node") and (FOLDER / MODULE).is_file()), reason=f"without pdf.js: {HOW}"
)


def test_every_answer_typed_in_a_browser_is_read_and_shown(tmp_path):
    row = {"student": "Ada", "template": "level-05", "keys": "Bb minor; Gb major; C# minor"}
    folder = build([row], tmp_path / "out", fillable=True)[0].folder
    record = read_record((folder / "key.json").read_text("utf-8"))
    values = {field_name(record.code, blank): blank.answer for blank in record.blanks}
    (tmp_path / "values.json").write_text(json.dumps(values), "utf-8")
    program = Path(__file__).with_name("fill_with_pdfjs.mjs")
    words = [FOLDER / MODULE, folder / "workbook-form.pdf", tmp_path / "values.json"]
    done = subprocess.run(
        ["node", program, *words, tmp_path / "back.pdf"], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    back = read_returned((tmp_path / "back.pdf").read_bytes(), lambda code: record)
    assert back.sheets[record.code].given == {b.id: b.answer for b in record.blanks}
    assert not back.unread
    with pikepdf.open(tmp_path / "back.pdf") as pdf:  # typed signs are drawn by the form's font
        drawn = [w.AP.N.read_bytes() for page in pdf.pages for w in page.get("/Annots", [])]
    assert all(b"WorkbookForm" in one for one in drawn)
