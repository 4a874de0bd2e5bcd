"""PDF forms: fields at every box, filled in by pdfium, read back and judged."""

from __future__ import annotations

import ctypes
import io

import pikepdf
import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from tests.weeks.test_studio import begun, outcomes, run, sheets, studio  # noqa: F401
from workbook import read_record
from workbook.marking.form_names import field_blank, field_name
from workbook.marking.returned import read_returned
from workbook.weeks.studios import opened


@pytest.fixture
def sheet(studio):  # noqa: F811
    """The folder of a fillable sheet and its record."""
    run("build", "--studio", studio, "--week", "2027-01-19", "--fillable")
    folder = studio / "2027-01-19" / "Pippa-Marrowby"
    return folder, read_record((folder / "key.json").read_text("utf-8"))


def fill(data: bytes, texts: dict[str, str]) -> bytes:
    """The form with ``texts`` typed into its fields by pdfium, by field name."""
    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    form = document.formenv.raw
    for number in range(len(document)):
        page = document[number]
        for index in range(pdfium.FPDFPage_GetAnnotCount(page)):
            annotation = pdfium.FPDFPage_GetAnnot(page, index)
            size = pdfium.FPDFAnnot_GetFormFieldName(form, annotation, None, 0)
            buffer = ctypes.create_string_buffer(size)
            pdfium.FPDFAnnot_GetFormFieldName(
                form, annotation, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), size
            )
            name = buffer.raw.decode("utf-16-le").rstrip("\0")
            if name in texts:
                pdfium.FORM_SetFocusedAnnot(form, annotation)
                typed = ctypes.create_string_buffer((texts[name] + "\0").encode("utf-16-le"))
                pdfium.FORM_ReplaceSelection(form, page, ctypes.cast(typed, pdfium.FPDF_WIDESTRING))
            pdfium.FPDFPage_CloseAnnot(annotation)
        pdfium.FORM_ForceToKillFocus(form)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def right(record):
    return {field_name(record.code, blank): blank.answer for blank in record.blanks}


def test_every_blank_has_a_field_with_a_name_and_a_tooltip(sheet):
    folder, record = sheet
    with pikepdf.open(folder / "workbook-form.pdf") as pdf:
        assert "/NeedAppearances" not in pdf.Root.AcroForm and "/JavaScript" not in pdf.Root
        found = {}
        for number, page in enumerate(pdf.pages, 1):
            for widget in page.Annots:
                code, blank = field_blank(str(widget.T))
                assert code == record.code and str(widget.TU).startswith("Exercise ")
                found[blank] = number, [float(value) for value in widget.Rect]
    assert found == {blank.id: (blank.page, list(blank.rect)) for blank in record.blanks}


def test_the_form_shows_the_pages_of_the_workbook(sheet):
    folder, _ = sheet
    workbook, form = (
        pypdfium2.PdfDocument(folder / name) for name in ("workbook.pdf", "workbook-form.pdf")
    )
    assert len(workbook) == len(form)
    for one, other in zip(workbook, form):
        assert (
            one.render(may_draw_forms=False).to_pil() == other.render(may_draw_forms=False).to_pil()
        )


def test_a_form_filled_in_comes_back_right(sheet, studio):  # noqa: F811
    folder, record = sheet
    file = studio / "back.pdf"
    file.write_bytes(fill((folder / "workbook-form.pdf").read_bytes(), right(record)))
    said = run("mark", file, "--studio", studio)
    assert "Everything is right." in said and "Not read" not in said
    found = outcomes(studio, record.code)
    assert set(found) == {blank.id for blank in record.blanks}
    with opened(studio) as one:
        (marking,) = one.record.history(record.code)
        assert marking.way == "form"
        assert {name: mark.given for name, mark in marking.marks.items()} == {
            blank.id: blank.answer for blank in record.blanks
        }


def test_wrong_and_empty_boxes_are_told_apart(sheet, studio):  # noqa: F811
    folder, record = sheet
    texts = right(record)
    first, second = list(texts)[:2]
    texts[first] = "nonsense"
    del texts[second]
    file = studio / "back.pdf"
    file.write_bytes(fill((folder / "workbook-form.pdf").read_bytes(), texts))
    run("mark", file, "--studio", studio)
    found = outcomes(studio, record.code)
    assert [found["1.1"], found["1.2"]] == ["wrong", "empty"]
    assert list(found.values()).count("right") == len(found) - 2


@pytest.mark.parametrize(
    "typed, told", [("♭", "♭"), ("F#", "F#"), ("B♮ ♯", "B♮ ♯"), ("é°ø–", "é°ø–")]
)
def test_signs_are_kept_and_shown(sheet, typed, told):
    folder, record = sheet
    blank = record.blanks[0]
    data = fill(
        (folder / "workbook-form.pdf").read_bytes(), {field_name(record.code, blank): typed}
    )
    back = read_returned(data, lambda code: record if code == record.code else None)
    assert back.sheets[record.code].given[blank.id] == told
    with pikepdf.open(io.BytesIO(data)) as pdf:  # the appearance uses the form's own font
        widget = next(w for w in pdf.pages[0].Annots if str(w.T).endswith(" 1-1"))
        assert b"WorkbookForm" in widget.AP.N.read_bytes()


def test_a_flattened_form_is_read(sheet):
    folder, record = sheet
    data = fill((folder / "workbook-form.pdf").read_bytes(), right(record))
    document = pypdfium2.PdfDocument(data)
    document.init_forms()
    for page in document:
        pdfium.FPDFPage_Flatten(page, pdfium.FLAT_NORMALDISPLAY)
    out = io.BytesIO()
    document.save(out)
    back = read_returned(out.getvalue(), lambda code: record)
    given = back.sheets[record.code].given
    boxes = [blank for blank in record.blanks if blank.asks not in ("notes", "signature", "keys")]
    assert sum("".join(given[b.id].split()) == "".join(b.answer.split()) for b in boxes) == len(
        boxes
    )


def test_notes_count_by_the_box_that_they_lie_in(sheet):
    folder, record = sheet
    blank = record.blanks[0]
    with pikepdf.open(folder / "workbook.pdf") as pdf:
        left, bottom, right_, top = blank.rect
        for rect, text in (
            ([left, bottom, right_, top], blank.answer),
            ([1, 1, 20, 20], "hello"),
        ):
            note = pikepdf.Dictionary(
                Type=pikepdf.Name.Annot,
                Subtype=pikepdf.Name.FreeText,
                Rect=pikepdf.Array(rect),
                Contents=pikepdf.String(text),
                DA=pikepdf.String("/Helv 10 Tf"),
            )
            page = pdf.pages[blank.page - 1].obj
            page.Annots = pikepdf.Array([*page.get("/Annots", []), pdf.make_indirect(note)])
        out = io.BytesIO()
        pdf.save(out)
    back = read_returned(out.getvalue(), lambda code: record)
    assert back.sheets[record.code].given[blank.id] == blank.answer
    assert any('"hello" is in no box' in line for line in back.unread)


def test_several_sheets_in_one_file(studio):  # noqa: F811
    run("build", "--studio", studio, "--week", "2027-01-19", "--fillable")
    folders = [studio / "2027-01-19" / name for name in ("Pippa-Marrowby", "Otto-Quill")]
    records = [read_record((folder / "key.json").read_text("utf-8")) for folder in folders]
    joined = pypdf.PdfWriter()
    for folder, record in zip(folders, records):
        joined.append(io.BytesIO(fill((folder / "workbook-form.pdf").read_bytes(), right(record))))
    joined.write(studio / "class.pdf")
    run("mark", studio / "class.pdf", "--studio", studio)
    for record in records:
        assert set(outcomes(studio, record.code).values()) == {"right"}


def test_two_files_that_say_different_things_are_told(sheet, studio):  # noqa: F811
    folder, record = sheet
    form, texts = (folder / "workbook-form.pdf").read_bytes(), right(record)
    (studio / "1.pdf").write_bytes(fill(form, texts))
    texts[next(iter(texts))] = "nonsense"
    (studio / "2.pdf").write_bytes(fill(form, texts))
    said = run("mark", studio / "1.pdf", studio / "2.pdf", "--studio", studio)
    told = f"2.pdf, {record.code}: box 1.1 was filled in differently in another file, "
    assert said.count("Not read: ") == 1 and told in said
    assert set(outcomes(studio, record.code).values()) == {"right"}


def test_pages_that_are_missing_stay_unmarked(sheet, studio):  # noqa: F811
    folder, record = sheet
    filled = fill((folder / "workbook-form.pdf").read_bytes(), right(record))
    with pikepdf.open(io.BytesIO(filled)) as pdf:
        del pdf.pages[1:]
        pdf.save(studio / "first.pdf")
    said = run("mark", studio / "first.pdf", "--studio", studio)
    assert "not marked yet" in said
    assert set(outcomes(studio, record.code)) == {b.id for b in record.blanks if b.page == 1}


def test_what_cannot_be_read_is_told(sheet, studio, tmp_path):  # noqa: F811
    folder, _ = sheet
    (tmp_path / "bad.pdf").write_bytes(b"%PDF-1.4 nothing")
    said = run("mark", tmp_path / "bad.pdf", "--studio", studio, code=2)
    assert "is not a readable PDF" in said
    blank_page = pikepdf.new()
    blank_page.add_blank_page()
    blank_page.save(tmp_path / "blank.pdf")
    assert "no page has a key code" in run("mark", tmp_path / "blank.pdf", "--studio", studio)
    other = folder / "workbook-form.pdf"
    back = read_returned(other.read_bytes(), lambda code: None)
    assert "is not in the record" in back.unread[0]


def test_a_form_that_is_read_again_leaves_what_was_marked_since(sheet, studio):  # noqa: F811
    folder, record = sheet
    first, second = record.blanks[:2]
    form = (folder / "workbook-form.pdf").read_bytes()
    texts = right(record) | {field_name(record.code, first): "x"}
    path = studio / "back.pdf"
    path.write_bytes(fill(form, texts))
    run("mark", path, "--studio", studio)
    assert outcomes(studio, record.code)[first.id] == "wrong"
    run("mark", record.code, "--all-right", "--studio", studio)
    said = run("mark", path, "--studio", studio)
    assert f"{record.code} was read before; later changes to the marks of box {first.id}" in said
    assert outcomes(studio, record.code)[first.id] == "right"
    path.write_bytes(fill(form, texts | {field_name(record.code, second): "y"}))
    said = run("mark", path, "--studio", studio)
    assert f"{record.code}: the typed answers change the marks of box {second.id}." in said
    found = outcomes(studio, record.code)
    assert (found[first.id], found[second.id]) == ("right", "wrong")


def test_a_form_that_nobody_filled_in_changes_no_mark(sheet, studio):  # noqa: F811
    folder, record = sheet
    run("mark", record.code, "--all-right", "--studio", studio)
    said = run("mark", folder / "workbook-form.pdf", "--studio", studio)
    assert f"Not read: {record.code}: no box is filled in, so nothing was entered" in said
    assert set(outcomes(studio, record.code).values()) == {"right"}
