"""The structure of every kind of document, walked with pikepdf (``tests/tagged.py``)."""

import io
import re
from dataclasses import replace

import pikepdf
import pytest
from pypdf import PdfReader
from tagged import tagged

from workbook import build, design
from workbook.builds.print_jobs import booklets, print_job
from workbook.builds.studio_files import mark_sheet_pdf
from workbook.marking.mark_sheet import Marked
from workbook.pages.paper import Paper
from workbook.pages.progress import Grid, Shade, StudentPage, StudioPage, progress_pdf
from workbook.pages.term import Chart, ChartWeek, chart_pdf

FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf")
ROSTER = [
    {"student": "Ada <&> Ünal", "template": "level-01", "keys": "C major; G major"},
    {"student": "Bo", "template": "all-skills", "keys": "D major; G minor"},
]


@pytest.fixture(scope="module")
def out(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tagged")
    build(ROSTER, folder, fillable=True)
    return folder


@pytest.fixture(scope="module")
def books(out):
    """The files of each student, by folder and name."""
    return {
        (path.parent.name, path.name): path.read_bytes()
        for path in out.rglob("*.pdf")
        if path.name in FILES
    }


def test_every_rule_is_kept(books):
    assert len(books) >= 6
    for name, data in books.items():
        assert tagged(data).faults == [], name


def test_the_order_is_that_in_which_a_person_works(books):
    for (_, file), data in books.items():
        roles = tagged(data).roles()
        assert roles[:2] == ["Document", "H1"] and roles.count("H1") == 1
        if file != "answers.pdf":
            sections = roles.count("H2")
            first = roles.index("H2")
            assert roles.index("Table") < first and roles.count("TR") == sections + 1
            assert roles[first - 1 : first + 5] == ["Sect", "H2", "P", "P", "Sect", "P"]
        else:
            assert roles.count("LI") == roles.count("Lbl") == roles.count("LBody") > 9


def test_figures_tell_the_answers_on_the_answer_key_only(books):
    (student,) = {name for name, _ in books if name.startswith("Ada")}
    blank, answered = (tagged(books[student, file]).alts() for file in FILES[:2])
    assert len(blank) == len(answered) > 9
    assert blank[0] != answered[0] and "to fill" in " ".join(blank)
    assert "to fill" not in " ".join(answered)
    for one, other in zip(blank, answered):
        label = one.split(".")[0]
        assert other.startswith(label)


def test_text_is_extracted_in_reading_order(books):
    for (_, file), data in books.items():
        text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)
        words = ["Name", "Date", "Total", "In this book"] if file != "answers.pdf" else ["Answers"]
        places = [text.index(word) for word in words]
        assert places == sorted(places)
        if file == "answer-key.pdf":
            # the answers stand between the label of their exercise and the next one
            label, answers = re.search(r"\n1 (.*?)\n((?:[1-5] )+)", text).groups()
            assert text.index(label) < text.index(answers)


def test_fields_are_parts_of_their_exercises(out):
    for path in out.rglob("workbook-form.pdf"):
        found = tagged(path.read_bytes())
        assert found.faults == []
        roles = found.roles()
        with pikepdf.open(path) as pdf:
            assert roles.count("Form") == len(pdf.Root.AcroForm.Fields) > 50
        first = roles.index("Form")
        assert roles[first - 1] == "Figure"


def test_print_jobs_keep_the_structure_of_each_book(out, books):
    for file, job in zip(FILES, ("all-workbooks.pdf", "all-answer-keys.pdf")):
        found = tagged((out / job).read_bytes())
        assert found.faults == []
        parts = [tagged(data).parts[1:] for (_, name), data in books.items() if name == file]
        joined = iter(found.parts)
        assert [role for depth, role, _ in found.parts if depth == 1] == ["Part"] * len(parts)
        deeper = [(depth - 1, role, alt) for depth, role, alt in joined if depth > 1]
        assert deeper in ([*parts[0], *parts[1]], [*parts[1], *parts[0]])


def _of(found):
    """What a job's parts hold, each without its own title."""
    deeper = [(depth - 1, role, alt) for depth, role, alt in found.parts if depth > 1]
    return deeper, [role for depth, role, _ in found.parts if depth == 1]


@pytest.mark.parametrize("copies", [1, 2])
@pytest.mark.parametrize("file", ["workbook.pdf", "workbook-form.pdf"])
def test_print_jobs_of_any_files_keep_their_structure(out, tmp_path, file, copies):
    files = sorted(out.rglob(file))
    print_job(files, tmp_path / "job.pdf", copies=copies)
    found = tagged((tmp_path / "job.pdf").read_bytes())
    assert found.faults == []
    deeper, parts = _of(found)
    assert parts == ["Part"] * len(files) * copies
    own = [part for path in files for part in tagged(path.read_bytes()).parts[1:]]
    assert deeper == [part for part in own if part[1] != "Form"] * copies


def test_print_jobs_of_print_jobs_keep_it_too(out, tmp_path):
    print_job([out / "all-workbooks.pdf"] * 2, tmp_path / "job.pdf", fronts=False)
    found = tagged((tmp_path / "job.pdf").read_bytes())
    assert found.faults == []
    once = tagged((out / "all-workbooks.pdf").read_bytes()).parts[1:]
    assert _of(found) == (once * 2, ["Part"] * 2)


def test_booklets_keep_the_structure_where_each_page_is_drawn_once(out, tmp_path):
    files = sorted(out.rglob("workbook.pdf"))
    booklets([files[0], *files], tmp_path / "booklets.pdf")
    found = tagged((tmp_path / "booklets.pdf").read_bytes())
    assert found.faults == []
    own = [part for path in (files[0], *files) for part in tagged(path.read_bytes()).parts[1:]]
    assert _of(found) == (own, ["Part"] * (len(files) + 1))
    booklets(files, tmp_path / "two.pdf", copies=2)
    with pikepdf.open(tmp_path / "two.pdf") as pdf:
        assert "/StructTreeRoot" not in pdf.Root and "/MarkInfo" not in pdf.Root


@pytest.mark.parametrize("damage", ["circle", "twice", "unknown", "no page", "form", "claim"])
def test_a_structure_that_is_not_sound_stays_behind(out, tmp_path, damage):
    path = next(out.rglob("workbook.pdf"))
    with pikepdf.open(path) as pdf:
        root = pdf.Root.StructTreeRoot
        first = root.K.K[0]
        if damage == "circle":
            first.K = pikepdf.Array([root.K])
        elif damage == "twice":
            root.K.K = pikepdf.Array([first, *root.K.K])
        elif damage == "unknown":
            first.S = pikepdf.Name.Gadget
        elif damage == "no page":
            del first.Pg
        elif damage == "form":
            stream = pdf.make_stream(b"")
            first.K = pikepdf.Dictionary(Type=pikepdf.Name.MCR, Stm=stream, MCID=0)
        else:
            pdf.Root.MarkInfo.Marked = False
        pdf.save(tmp_path / "damaged.pdf")
    files = [tmp_path / "damaged.pdf"]
    print_job(files, tmp_path / "job.pdf")
    booklets(files, tmp_path / "booklets.pdf")
    for name in ("job.pdf", "booklets.pdf"):
        with pikepdf.open(tmp_path / name) as pdf:
            assert "/StructTreeRoot" not in pdf.Root and "/MarkInfo" not in pdf.Root
            for one in pdf.objects:
                entries = one.stream_dict if isinstance(one, pikepdf.Stream) else one
                if isinstance(entries, pikepdf.Dictionary):
                    assert "/StructParents" not in entries and "/StructParent" not in entries
    print_job([*files, path], tmp_path / "mixed.pdf")
    with pikepdf.open(tmp_path / "mixed.pdf") as pdf:  # tagged in part, which it does not deny
        assert "/StructTreeRoot" in pdf.Root and "/MarkInfo" not in pdf.Root


def test_roles_and_table_attributes_of_other_programs_are_kept(out, tmp_path):
    path = next(out.rglob("workbook.pdf"))
    with pikepdf.open(path) as pdf:
        root = pdf.Root.StructTreeRoot
        root.RoleMap = pikepdf.Dictionary(Title=pikepdf.Name("/H1"))
        title = root.K.K[0]
        title.S, title.Lang = pikepdf.Name.Title, "de"
        title.A = pikepdf.Dictionary(O=pikepdf.Name.Layout, JS="app.alert(1)")
        pdf.Root.Lang = "de"
        pdf.save(tmp_path / "other.pdf")
    print_job([tmp_path / "other.pdf", path], tmp_path / "job.pdf")
    data = (tmp_path / "job.pdf").read_bytes()
    found = tagged(data)
    assert found.faults == ["no language (7.2)"]  # the parts say theirs
    own = tagged(path.read_bytes()).parts[1:]
    assert _of(found) == (own * 2, ["Part"] * 2)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        one, other = pdf.Root.StructTreeRoot.K.K
        assert (str(one.Lang), str(other.Lang)) == ("de", "en")
        assert str(one.K[0].Lang) == "de" and "/A" not in one.K[0]


def test_the_mark_sheet_is_a_table():
    sections = tuple((letter, "Scales", 10) for letter in "ABCDE")
    books = [
        Marked(
            f"Student {n}",
            "Spring",
            "ABC-DEF",
            sections,
        )
        for n in range(60)
    ]
    books.append(replace(books[0], sections=sections[:2]))
    found = tagged(mark_sheet_pdf(books, Paper("letter")))
    assert found.faults == []
    roles = found.roles()
    assert roles.count("H1") == 1 and roles.count("Table") == 4
    assert roles.count("TR") == 61 + roles.count("Table")


def test_progress_pages_have_words_for_what_is_drawn():
    shades = {(0, 0): Shade(0.82, 0.1, True), (1, 1): Shade(0.4, 0.6)}
    grid = Grid(["Scale fingering", "Triads"], ["C", "B♭"], shades)
    circle = {(0, "major"): Shade(0.5), (4, "minor"): Shade(0.5)}
    points = [("2027-01-04", 0.5), ("2027-01-11", None)]
    page = StudentPage(
        "Ada", "January", grid, circle, points, ["Triads in B♭"], ["Scales"], ["So."]
    )
    studio = StudioPage(
        "Studio", "January", Grid([f"S{n}" for n in range(90)], ["C"], {}), ["One."]
    )
    found = tagged(progress_pdf([page, page], studio, Paper("letter"), "Progress"))
    assert found.faults == []
    alts = found.alts()
    assert "Scale fingering: C 82 per cent, safe." in alts[-6]
    assert "Triads: B flat 40 per cent, few marks." in alts[-6]
    assert "C major 50 per cent" in alts[-5] and "C sharp minor 50 per cent" in alts[-5]
    assert "4 Jan 50 per cent" in alts[-4]


def test_term_charts_are_tables():
    weeks = [ChartWeek("2 Nov", "", True, {0: 3}), ChartWeek("9 Nov", "no lesson", False, {})]
    chart = Chart("Ada", "until the exam", ["C major", "G major"], weeks, ["So far so good."])
    found = tagged(chart_pdf([chart, chart], "letter", "Term"))
    assert found.faults == []
    assert found.alts("TD")[:2] == ["3 met", ""] and found.roles().count("TR") == 6


def test_each_file_says_what_it_is_about(out, books):
    """In the information of the document and in its metadata (ISO 32000-2, 14.3)."""
    found = {}
    others = {("", path.name): path.read_bytes() for path in out.glob("*.pdf")}
    for (_, name), data in {**books, **others}.items():
        with pikepdf.open(io.BytesIO(data)) as pdf, pdf.open_metadata() as metadata:
            found[name] = str(pdf.docinfo.Subject)
            assert metadata["dc:description"] == found[name]
    assert found["workbook.pdf"] == found["all-workbooks.pdf"]
    assert found["answers.pdf"] == found["answer-key.pdf"] == found["all-answer-keys.pdf"]
    assert len(set(found.values())) == 3 and "points" in found["mark-sheet.pdf"]


def test_greys_are_greys_and_colour_is_in_answers_alone(books):
    """DeviceGray everywhere but in the answers of the answer key (ISO 32000-1, 8.6.4.2)."""
    grid = Grid(["Scales"], ["C"], {(0, 0): Shade(0.5, 0.6, True)})
    page = StudentPage("Ada", "January", grid, {}, [("2027-01-04", 0.5)], [], [], [])
    chart = Chart("Ada", "", ["C"], [ChartWeek("2 Nov", "", True, {0: 1})], [])
    drawn = [
        progress_pdf([page], None, Paper("letter"), "Progress"),
        chart_pdf([chart], "letter", "Term"),
        *(data for (_, file), data in books.items() if file != "answer-key.pdf"),
    ]
    for data in drawn:
        assert not colours(data)
    (red,) = {colours(data) for (_, file), data in books.items() if file == "answer-key.pdf"}
    assert {values for _, values in red} == {design.ANSWER}


COLOURED = {"rg", "RG", "k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh", "INLINE IMAGE"}


def colours(data):
    """The operators that choose another colour than a grey, with their operands: those of pages,
    of forms and of what forms draw.
    """
    with pikepdf.open(io.BytesIO(data)) as pdf:
        kinds = [
            (one, one.get("/Subtype")) for one in pdf.objects if isinstance(one, pikepdf.Stream)
        ]
        assert "/Image" not in [kind for _, kind in kinds]
        forms = [one for one, kind in kinds if kind == "/Form"]
        return frozenset(
            (str(operator), tuple(map(float, operands)))
            for content in (*pdf.pages, *forms)
            for operands, operator in pikepdf.parse_content_stream(content)
            if str(operator) in COLOURED
        )
