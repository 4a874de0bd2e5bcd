"""Hundreds of bad inputs through every command: no traceback, no words of Python, an exit code."""

import re
import shutil
from random import Random

import pytest
from click.testing import CliRunner

from workbook import cli
from workbook.engraving.cache import SETTING
from workbook.errors import ExitCode, InputError
from workbook.resources import shipped
from workbook.studio.templates import read_template

PYTHON = re.compile(
    r"unpack|invalid literal|[Ee]rrno|NoneType|codec|Expecting|object has no|has no attribute"
    r"|list index|KeyError|Traceback|Error\b(?!:)|Error\(|<class|argument of type|unhashable"
    r"|\bdict\b|\btuple\b|\bstr\b|\bint\b|\bfloat\b|\bbool\b|\bNone\b|\bTrue\b|\bFalse\b"
    r"|0x[0-9a-f]{6}|datetime|out of range|<=x|x>=|x<=|valid integer|surrogate|ordinal"
    r"|embedded null|null byte|at line|column \d|PosixPath|Exceeds the limit|recursion"
    r"|'[\w.-]+' (?:does not exist|is a directory|is a file)|Invalid (?:value|initial|date)"
    r"(?! for )|Unescaped|Unbalanced|Unclosed|Expected|Illegal|Found invalid|Cannot \w+ "
)
"""What Python and its libraries say; click's ``Error:`` and ``Invalid value for`` are ours."""

HEADER = "student,template,keys,title,seed\n"
ROW = "Ada,first-steps,C major,,\n"
SECTION = '[[section]]\nfamily = "note-names"\nclefs = "treble"\ncount = 2\npoints = 1\n'
TEMPLATE = 'title = "Mine"\n' + SECTION
SCALE = '[[scale]]\nkeys = ["Bb major"]\nright = "212312341231234"\n'

ROSTERS = [
    b"",
    b"\n\n",
    b"\0",
    b"\xff\xfe",
    b"\xff\xfea",
    b"\xef\xbb\xbf",
    b"\xfe\xff\xd8\x00",
    b"PK\x03\x04",
    b"\xd0\xcf\x11\xe0",
    b"%PDF-1.4",
    HEADER.encode(),
    b"sep=",
    b"sep=;\n",
    b"sep=,",
    *(
        text.encode("utf-8", "surrogatepass")
        for text in (
            "Ada\n",
            ",,,\n",
            ";;;;\n",
            '"',
            '"Ada',
            HEADER + '"Ada',
            HEADER + 'A"d"a,"x"y,z\n',
            HEADER + ",,,,\n",
            HEADER + ",,,,,,,,\nx",
            HEADER + "Ada\n",
            HEADER + "Ada,x\n",
            HEADER + "Ada,,\n",
            HEADER + "Ada,first-steps,\n",
            HEADER + "Ada,first-steps,;;;\n",
            HEADER + "Ada,../../etc/passwd,C major\n",
            HEADER + "Ada,.,C major\n",
            HEADER + "Ada,NaN,NaN\n",
            HEADER + "Ada,first-steps,1e999\n",
            HEADER + "Ada,first-steps," + "C" * 5000 + "\n",
            HEADER + "A" * 200_000 + "," * 4,
            HEADER + "Ada,first-steps,C major,D minor,\n",
            HEADER + "Ada,first-steps,,A minor\n",
            HEADER + "\x07,first-steps,C major\n",
            HEADER + "\u200b,first-steps,C major\n",
            HEADER + "A\ud800,first-steps,C major\n",
            HEADER + "\ue000,first-steps,C major\n",
            HEADER + "A\x00,first-steps,C major\n",
            HEADER + "Ada,first-steps,C major,\ue000,\n",
            HEADER + "Ada,first-steps,H-Dur; fes moll; Do mayor; x\n",
            HEADER + "Ada,first-steps,C major" + ",x" * 2000 + "\n",
            "student,student,template,keys\na,b,c,d\n",
            "student,template,keyz\nAda,first-steps,C\n",
            "student,template,keys\ttitle\nAda,x,y\n",
            "{}",
            "[]",
            "null",
            "<html></html>",
            HEADER + ROW.replace("\n", "\r") * 3,
            HEADER + ROW + '"' + ROW * 3,
        )
    ),
]

VALUES = [
    "",
    "[]",
    "{}",
    "[[]]",
    "[{}]",
    '""',
    '" "',
    "nan",
    "inf",
    "-inf",
    "-1",
    "0",
    "1e400",
    "true",
    "9" * 30,
    "9" * 5000,
    "0x",
    "0xFFFFFFFFFFFFFFFFFFFF",
    "1979-05-27",
    "07:32:00",
    "'''",
    '"""',
    "1979-13-45",
    "24:61:00",
    "1_",
    "01",
    "'x",
    '"\\q"',
    '"\\uD800"',
    '"\\U0000E000"',
    '"\ue000"',
    '"\\u0000"',
    '"x" "y"',
    "[1,",
    "[1 2]",
    "{a=1",
    "{a=1,}",
    "{a=1,a=2}",
    '["x", "x"]',
    "x",
    "[" * 3000,
    "{a=" * 500,
    '["treble", 1, nan, {}]',
    '"' + "x" * 5000 + '"',
    "=",
    "# x",
    "1.5",
    "[1979-05-27]",
    "[true, 1, 1.0]",
    '{"" = 1}',
    '"treble" # x\n"',
    '["I", "I V"]',
    '"H major"',
]
TEMPLATE_KEYS = [
    "title",
    "level",
    "instructions",
    "keys",
    "letters",
    "steps",
    "section",
    "unknown",
    '""',
    "a.b",
]
SECTION_KEYS = [
    "title",
    "family",
    "hands",
    "clefs",
    "count",
    "ask",
    "given",
    "points",
    "ledger_lines",
    "octaves",
    "numerals",
    "'x y'",
]
WHOLE_TOML = [
    b"",
    b"\n",
    b"# only a comment\n",
    b"\xff",
    b"\xff\xfea\0",
    b"\xef\xbb\xbf",
    b"\0",
    b"a",
    b"a.",
    b"=",
    b"[",
    b"[[",
    b"[]",
    b"[[]]",
    b"[[section]",
    b"[section]\n",
    b"[[section]]\n",
    b"[[section]]\n" * 3,
    b"section = 1\n",
    b"section = [1]\n",
    b"section = []\n",
    b"[[section.x]]\n",
    b"[a]\n[a]\n",
    b"a = 1\na = 2\n",
    b"a.b = 1\na.b.c = 2\n",
    b"[a.b]\n[[a]]\n",
    b"PK\x03\x04",
    b"%PDF",
    b"\x1f\x8b",
    b"a = " + b"[" * 100_000,
    b"a" * 100_000,
    (b"a." * 5000) + b"a = 1\n",
    b"[" + b"a." * 3000 + b"a]\n",
    b"[[scale]]\n",
    b"scale = 3\n",
    b"[scale]\n",
    b"[[scale]]\nkeys = []\nright = '212312341231234'\n",
    b"[[seventh]]\nroots = []\nkind = 'dominant'\nright = '123123123'\n",
    b"[[chord]]\nright = 1\n",
    b"[[seventh]]\nroots = ['G', 4, nan, 'H', '']\nright = '123412345'\n",
    b"[[seventh]]\nroots = 'G9999999999999999999999'\nkind = 'dominant'\nright = '123412345'\n",
    b"[[scale]]\nkeys = [[], {}, nan, '', 1979-05-27]\nright = '212312341231234'\n",
]
FINGERING_KEYS = ["keys", "forms", "position", "kind", "roots", "shape", "right", "also_right"]


def tomls():
    """Bad templates, each also a bad file of fingerings."""
    yield from WHOLE_TOML
    for value in VALUES:
        for key in TEMPLATE_KEYS:
            yield f"{key} = {value}\n{TEMPLATE}".encode()
        for key in SECTION_KEYS:
            line = f"\n{key} = {value}"
            yield f"{TEMPLATE}{key} = {value}\n".encode()
            yield re.sub(rf"\n{key} = .*", lambda _, line=line: line, TEMPLATE).encode()


def fingerings():
    yield from WHOLE_TOML
    for kind in ("scale", "arpeggio", "seventh", "chord", "chromatic", "five-finger"):
        for key in FINGERING_KEYS:
            for value in VALUES:
                yield f"[[{kind}]]\n{key} = {value}\n".encode()


def damaged(good: bytes, count: int):
    """``good`` with bytes that were changed, left out, doubled or moved."""
    rng = Random(12)
    for _ in range(count):
        data = bytearray(good)
        for _ in range(rng.choice((1, 1, 2, 5))):
            at, to = sorted((rng.randrange(len(data)), rng.randrange(len(data))))
            kind = rng.randrange(5)
            if kind == 0:
                data[at] = rng.randrange(256)
            elif kind == 1:
                del data[at : at + 3]
            elif kind == 2:
                data[at:at] = rng.choice(VALUES)[:50].encode()
            elif kind == 3:
                data[at:at] = data[at:to]
            else:
                data = data[: max(to, 1)]
        yield bytes(data)


OPTIONS = {
    "build {roster}": {
        "--out": [
            "",
            " ",
            "\0",
            "a\0b",
            "{roster}",
            "{roster}/x",
            "x" * 300,
            "http://x",
            "/proc/x",
            "s3://",
        ],
        "--forms": ["", "0", "-1", "27", "1.5", "nan", "inf", "1e3", "9" * 5000, "x", "١", " 1"],
        "--student": ["", " ", "\0", "Nobody", "\ud800", "x" * 5000, "-"],
        "--template-dir": ["", " ", "{roster}", "nowhere", "\0", "x" * 5000],
        "--fingering": ["", " ", "{folder}", "nowhere", "\0", "/dev/null", "{roster}"],
        "--letters": ["", "English", "klingon", "\0"],
        "--steps": ["", "step", "half-step"],
        "--paper": ["", "a6", "1", "nan"],
        "--size": ["", "huge", "12", "Large"],
        "--cluster": [
            "",
            " ",
            "local:",
            "local:x",
            "local:0",
            "local:-1",
            "tcp://",
            "x",
            "tcp://x:y",
        ],
        "--nothing": ["x"],
    },
    "study": {
        "": ["", " ", ";", "H major", "all", "nan", "\0", "C", "x" * 5000, "C major;C"],
    },
    "study {key}": {
        "--level": ["", "0", "11", "-1", "1.5", "nan", "x", "9" * 5000],
        "--template": ["", " ", "nowhere", ".", "..", "\0", "x" * 5000, "{roster}"],
        "--level=1 --faded": ["", "10", "nan", "0,", ",", "0;50", "-25", "9" * 5000, "50%%", "1e2"],
        "--level=1 --out": ["", " ", "\0", "{roster}", "x" * 300, "{roster}/x"],
        "--level=1 --template": ["review"],
        "--level=1 --fingering": ["", "{folder}", "{roster}", "nowhere"],
        "--level=1 --paper": ["", "a9"],
    },
    "preview": {"": ["", "x", "intervals", "\0"]},
    "preview intervals": {
        "--key": ["", " ", "H", "all", "C major; D major", "nan", "\0", "x" * 5000],
        "--key=C_major --hand": ["", "none", "2"],
        "--key=C_major --set": [
            "",
            "=",
            "x",
            "x=",
            "=x",
            "quality",
            "quality=",
            "quality=maybe",
            "\0=\0",
        ],
        "--key=C_major --given": ["", "-1", "31", "nan", "1.5", "9" * 5000],
        "--key=C_major --out": [
            "",
            " ",
            "x.doc",
            ".pdf",
            "x",
            "{folder}",
            "{roster}/x.pdf",
            "\0.pdf",
            "x" * 300 + ".pdf",
        ],
    },
    "preview progression": {
        "--key=C_major --set": [
            "numerals=",
            "numerals=I",
            "numerals=x y",
            "numerals=" + "I " * 500,
            "numerals=1 2",
            "style=keyboard",
            "numerals=IX V",
            "numerals=nan I",
        ],
    },
    "check": {"": ["", " ", "\0", "nowhere", "{roster}", "{folder}", "x" * 5000]},
    "cache": {"": ["x", "--clear=1", "--nothing"]},
    "templates": {"": ["", "x", "list x"]},
    "templates list": {"--template-dir": ["", "nowhere", "{roster}", "\0"]},
    "templates show": {
        "": ["", " ", "x", ".", "..", "/", "\0", "x" * 5000, "folder", "unreadable", "bytes"]
    },
    "templates copy": {"": ["", "review", "folder", "unreadable"]},
    "templates copy review": {
        "": [
            "",
            " ",
            "x",
            ".toml",
            "{folder}",
            "{roster}",
            "{roster}/x.toml",
            "\0.toml",
            "x" * 300 + ".toml",
        ]
    },
    "templates copy folder": {"": ["new.toml"]},
    "print": {"": ["", "{roster}"]},
    "print {roster}": {
        "--out": ["", " ", "x", "x.doc", "\0.pdf", "{roster}", "{folder}", "new.pdf"],
        "--out=new.pdf --copies": ["", "0", "-1", "1000", "nan", "1.5", "9" * 5000],
        "--out=new.pdf --onto": ["", "a5", "a4"],
        "--out=new.pdf --booklet --onto": ["", "a5", "a4"],
        "--out=new.pdf": ["--no-fronts", "--booklet", "", "nowhere", "\0", "{folder}", "/dev/null"],
    },
    "demo": {
        "--out": ["", "\0", "{roster}", "{roster}/x"],
        "--paper": ["", "x"],
        "--size": ["", "x"],
    },
    "": {"": ["", "x", "--nothing", "\0"]},
}
EXTRA = {
    "build {roster}": "--out=new",
    "preview": "--key=C_major",
    "study": "--level=1",
    "print": "--out=new.pdf",
}
"""What a command needs besides the option in hand."""


def commands():
    for start, options in OPTIONS.items():
        for option, values in options.items():
            for value in values:
                extra = EXTRA.get(start, "") if option != "--out" else ""
                before, _, name = option.rpartition(" ")
                if option == "" and value.startswith("list "):
                    name, value = "list", "x"
                yield start.split(), extra.split(), before.split(), name, value


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder to run in, without an engraver: good input ends with "LilyPond is not installed"."""
    monkeypatch.setenv("WORKBOOK_LILYPOND", str(tmp_path / "none"))
    monkeypatch.setenv(SETTING, str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "roster.csv").write_text(HEADER + ROW, "utf-8")
    (tmp_path / "folder").mkdir()
    return tmp_path


def run(*words):
    return CliRunner().invoke(cli.main, list(map(str, words)))


def fault(result, what) -> str:
    """What is wrong with how a command ended, or ""."""
    if result.exception and not isinstance(result.exception, SystemExit):
        return f"{what!r:.300}: {result.exception!r:.300}"
    if result.exit_code not in set(ExitCode):
        return f"{what!r:.300}: exit code {result.exit_code}"
    told = re.sub(r'"[^"\n]*"|\'[^\'\n]*\'', "…", result.output)  # the teacher's own words
    if found := PYTHON.search(result.output) if "'" not in result.output else PYTHON.search(told):
        return f"{what!r:.300}: {found[0]!r} in {result.output:.600}"
    longest = max(map(len, result.output.split("\n")), default=0)
    return f"{what!r:.300}: a line of {longest} characters" if longest > 1500 else ""


def words_of_python(read, path) -> str:
    """What is wrong with how a reader refuses a file, or ""."""
    try:
        read(path)
    except InputError as error:
        told = re.sub(r'"[^"\n]*"', "…", str(error))
        found = PYTHON.search(told)
        return f"{path.read_bytes()!r:.300}: {found[0]!r} in {told:.600}" if found else ""
    except Exception as error:
        return f"{path.read_bytes()!r:.300}: {error!r:.300}"
    return ""


def some(files, good, step):
    """Every whole file, one in ``step`` of the others, and damaged good ones."""
    files = list(files)
    assert files[: len(WHOLE_TOML)] == WHOLE_TOML
    yield from WHOLE_TOML
    yield from files[len(WHOLE_TOML) :: step]
    yield from damaged(good, 150 // step)


SOME_OR_ALL = pytest.mark.parametrize(
    "step",
    [
        pytest.param(3, id="some"),
        pytest.param(1, id="all", marks=pytest.mark.sweep),
    ],
)


def assert_none(faults) -> None:
    """Fail with the faults, each kind once."""
    kinds = {re.sub(r"\d+|.*: (?=')", "", one)[-80:]: one for one in faults if one}
    assert not kinds, "\n".join(kinds.values())


@SOME_OR_ALL
def test_bad_rosters(place, step):
    good = (HEADER + ROW + "Zoë,level-01,G major; A minor,Week 2,\n").encode()
    faults = []
    for data in (*ROSTERS, *damaged(good, 150 // step)):
        (place / "roster.csv").write_bytes(data)
        result = run("build", "roster.csv", "--out", "new")
        faults.append(fault(result, data))
    assert_none(faults)
    assert not (place / "new").exists()


@SOME_OR_ALL
def test_bad_templates(place, step):
    roster, faults = place / "roster.csv", []
    roster.write_text(HEADER + "Ada,mine,C major,,\n", "utf-8")
    good = (shipped() / "workbooks" / "level-03.toml").read_bytes()
    for number, data in enumerate(some(tomls(), good, step)):
        mine = place / "folder" / "mine.toml"
        mine.write_bytes(data)
        if number % 30 == 0:
            words = ("build", "roster.csv", "--template-dir", "folder", "--out", "new")
            faults.append(fault(run(*words), data))
        faults.append(words_of_python(read_template, mine))
    assert_none(faults)


@SOME_OR_ALL
def test_bad_fingerings(place, step):
    from workbook.fingering.conventions import load

    mine, faults = place / "mine.toml", []
    for number, data in enumerate(some(fingerings(), SCALE.encode(), step)):
        mine.write_bytes(data)
        if number % 10 == 0:
            result = run("preview", "five-finger", "--key", "C major", "--fingering", mine)
            faults.append(fault(result, data))
            continue
        faults.append(words_of_python(load, mine))
    assert_none(faults)


def test_bad_words_on_the_command_line(place):
    shutil.copy(shipped() / "workbooks" / "review.toml", place / "folder" / "folder.toml")
    faults = []
    for start, extra, before, name, value in commands():
        words = [*start, *extra, *before, *filter(None, [name]), value]
        words = [
            word.replace("_major", " major")
            .replace("{roster}", "roster.csv")
            .replace("{folder}", "folder")
            .replace("{key}", "C major")
            for word in words
        ]
        faults.append(fault(run(*words), words))
    assert_none(faults)
    left = {path.name for path in place.iterdir()}
    assert left <= {"roster.csv", "folder", "cache", "new.toml"}, left
