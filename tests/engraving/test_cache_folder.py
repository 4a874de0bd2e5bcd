"""The cache's own folder: only our files go, and no fault of it reaches a build."""

import hashlib
import json
import os
import stat
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest
from asked import Request

from workbook.engraving import cache as caches
from workbook.engraving import lilypond
from workbook.engraving.cache import Cache, address
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import natural
from workbook.exercises.families import FAMILIES
from workbook.music.keys import parse_key

POSIX = pytest.mark.skipif(os.name != "posix", reason="POSIX only")
ROOT = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="changing owners takes root"
)


def exercise(key="E major"):
    kind = FAMILIES["arpeggio"]
    return kind.make(Request(parse_key(key), "right", kind.asks), Random(1))


@pytest.fixture(scope="module")
def drawn():
    return engrave([exercise()])[0]


@pytest.fixture
def named(tmp_path, monkeypatch):
    """A folder of the teacher's, named as the cache by mistake."""
    monkeypatch.setenv(caches.SETTING, str(tmp_path / "teacher"))
    return tmp_path / "teacher"


@pytest.fixture
def things(named):
    """What is in it: some files look like ours."""
    files = ["letter.txt", f"a/{'0' * 63}", f"b/{'f' * 63}", "a/half.tmp", "a/new-abc.tmp", "b/c/d"]
    for file in files:
        (named / file).parent.mkdir(parents=True, exist_ok=True)
        (named / file).write_text("a teacher's own")
        os.utime(named / file, (1, 1))
    return [named / file for file in files]


def command(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "workbook", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def test_other_things_in_the_folder_stay(named, things, drawn):
    kept = Cache(caches.folder(), most=1)
    kept.put("0" * 64, drawn)
    kept.put("1" * 64, drawn)
    assert kept.size().snippets == 2
    kept.trim()
    assert kept.size().snippets < 2
    done = command("cache", "--clear")
    assert done.returncode == 0, done.stderr
    assert all(file.read_text() == "a teacher's own" for file in things)
    assert Cache(caches.folder()).size().snippets == 0


def test_a_folder_that_is_not_ours_is_refused(named, things, drawn):
    named.rename(named.with_name("moved"))
    named.mkdir()
    own = named / "workbook-snippets"
    named.with_name("moved").rename(own)
    before = sorted(own.rglob("*"))
    done = command("cache", "--clear")
    assert done.returncode == 1
    assert "Nothing was removed" in done.stderr and "CACHEDIR.TAG" in done.stderr
    assert "Traceback" not in done.stderr
    kept = Cache(caches.folder(), most=1)
    kept.put("2" * 64, drawn)
    kept.trim()
    assert sorted(own.rglob("*")) == before and kept.get("2" * 64) == drawn
    assert "is not used" in command("cache").stdout


def test_other_things_in_the_cache_itself_stay(named, drawn):
    """Whatever was put there is no entry unless it has the name of one."""
    kept = Cache(caches.folder(), most=1)
    kept.put("0" * 64, drawn)
    others = ["letter.txt", "0/letter.txt", f"0/{'0' * 63}.bak", f"0/{'g' * 63}", f"x/{'0' * 63}"]
    for other in others:
        (kept.place / other).parent.mkdir(exist_ok=True)
        (kept.place / other).write_text("a teacher's own")
        os.utime(kept.place / other, (1, 1))
    assert kept.size().snippets == 1
    kept.trim()
    kept.put("0" * 64, drawn)
    assert kept.clear().snippets == 1
    assert all((kept.place / other).read_text() == "a teacher's own" for other in others)


def test_a_link_inside_is_not_followed(named, drawn, tmp_path):
    kept = Cache(caches.folder())
    kept.put("0" * 64, drawn)
    other = tmp_path / "other"
    other.mkdir()
    (other / ("1" * 63)).write_text("a teacher's own")
    (kept.place / "1").symlink_to(other)
    assert kept.clear().snippets == 1
    assert (other / ("1" * 63)).exists()


@POSIX
def test_the_folder_is_private(named, drawn):
    previous = os.umask(0)
    try:
        kept = Cache(caches.folder())
        kept.put("0" * 64, drawn)
    finally:
        os.umask(previous)
    assert stat.S_IMODE(kept.place.stat().st_mode) == 0o700
    kept.place.chmod(0o777)
    assert Cache(kept.place).get("0" * 64) == drawn
    assert stat.S_IMODE(kept.place.stat().st_mode) == 0o700


def test_swapped_entries_are_engraved_anew(named):
    """Each holds a good snippet, but of the other's music."""
    exercises = [exercise("E major"), exercise("F minor")]
    first = engrave(exercises)
    one, two = sorted(caches.folder().glob("?/*"))
    data = one.read_bytes(), two.read_bytes()
    one.write_bytes(data[1])
    two.write_bytes(data[0])
    assert engrave(exercises) == first
    assert (one.read_bytes(), two.read_bytes()) == data


def form(**changed):
    """What an entry says of a snippet in which nothing is drawn."""
    usual = {"width": 1.0, "height": 1.0, "x": 0.0, "y": 0.0, "slots": {}, "lines": []}
    usual |= {"staff": [0, 0], "glyphs": [], "lengths": [0, 0]}
    assert changed.keys() <= usual.keys()
    return list((usual | changed).values())


def test_an_entry_of_the_usual_form_is_used(named, drawn):
    """So that those of the next test differ from it in one thing."""
    kept = Cache(caches.folder())
    glyph = ["G0000000000", [0, 0, 1, 1]]
    for name, head in ("0" * 64, form()), ("1" * 64, form(glyphs=[glyph], lengths=[0, 0, 0])):
        kept.put(name, drawn)
        (kept.place / name[:1] / name[1:]).write_bytes(_entry(name, head))
        assert Cache(kept.place).get(name).width == 1


def _entry(name, head, blobs=b""):
    """An entry with a checksum as it should be, whatever is in it."""
    text = head if isinstance(head, bytes) else json.dumps(head).encode()
    body = len(text).to_bytes(4, "big") + text + blobs
    return hashlib.sha256(name.encode() + body).digest() + body


@pytest.mark.parametrize(
    "head",
    [
        b"",
        b"\xff\xfe",
        b"{",
        b"[" * 100_000,
        [],
        {},
        None,
        [1.0, 1.0, 0.0, 0.0, {}, [], [0, 0], []],
        form(lengths=["x", 2]),
        form(lengths=[-1, 1]),
        form(lengths=[9, 9]),
        form(lengths=[0]),
        form(glyphs=[["G0000000000", [0, 0, 1, 1]]]),
        form(glyphs=[["G /X", [0, 0, 1, 1]]], lengths=[0, 0, 0]),
        form(glyphs=[["G0000000000", [0, 0, 1]]], lengths=[0, 0, 0]),
        form(slots={"a": [0, 0, 1, 1]}),
        form(lines=[[1]]),
        form(staff=[0, "low"]),
        form(width="wide"),
        form(width=float("nan")),
        form(width=10**400),
    ],
    ids=lambda head: repr(head)[:60],
)
def test_an_entry_of_another_form_is_not_used(named, drawn, head):
    kept = Cache(caches.folder())
    name = "0" * 64
    kept.put(name, drawn)
    (file,) = kept.place.glob("?/*")
    data = file.read_bytes()
    for made in (_entry(name, head), _entry("", head)):
        file.write_bytes(made)
        again = Cache(kept.place)
        assert again.get(name) is None
        again.put(name, drawn)
        assert file.read_bytes() == data


@POSIX
@pytest.mark.parametrize("kind", ["folder", "pipe", "large", "unreadable", "dangling link"])
def test_something_else_where_an_entry_should_be(named, drawn, kind, monkeypatch):
    kept = Cache(caches.folder())
    read, opened = os.read, os.open

    def refused(path, *more, **others):
        if path == file:
            raise PermissionError(13, "Permission denied", path)
        return opened(path, *more, **others)

    def bounded(handle, count):
        assert count < 1 << 26, "so much is read into memory"
        return read(handle, count)

    version = lilypond.version(lilypond.find())
    kept.put(address(exercise(), natural(exercise()), version), drawn)
    (file,) = kept.place.glob("?/*")
    file.unlink()
    if kind == "folder":
        (file / "inside").mkdir(parents=True)
    elif kind == "pipe":
        os.mkfifo(file)
    elif kind == "large":
        with file.open("wb") as out:
            out.truncate(1 << 33)
        monkeypatch.setattr(os, "read", bounded)
    elif kind == "unreadable":
        file.write_bytes(b"")
        monkeypatch.setattr(os, "open", refused)  # root may read whatever its mode
    else:
        file.symlink_to(file.with_name("nowhere"))
    assert engrave([exercise()]) == [drawn]
    small = Cache(kept.place, most=0)
    small.trim()
    small.clear()


@POSIX
@pytest.mark.parametrize("kind", ["a file", "too long", "below a file", "read-only", "pipe"])
def test_a_folder_that_cannot_be_used_is_no_error(named, drawn, kind, monkeypatch):
    if kind == "too long":
        monkeypatch.setenv(caches.SETTING, str(named / ("x" * 300) / "y"))
    else:
        named.mkdir()
    own = named / "workbook-snippets"
    if kind == "a file":
        own.write_text("")
    elif kind == "below a file":
        (named / "file").write_text("")
        monkeypatch.setenv(caches.SETTING, str(named / "file"))
    elif kind == "pipe":
        os.mkfifo(own)
    elif kind == "read-only":
        own.mkdir()
        (own / "CACHEDIR.TAG").mkdir()
    kept = Cache(caches.folder())
    assert engrave([exercise()], cache=kept) == [drawn]
    assert kept.size().snippets == 0
    for arguments in (("cache",), ("cache", "--clear")):
        done = command(*arguments)
        assert "Traceback" not in done.stderr and done.stdout + done.stderr


def test_a_full_disk_keeps_nothing_and_stops_nothing(named, drawn, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    kept = Cache(caches.folder())
    kept.put("0" * 64, drawn)
    monkeypatch.setattr("tempfile.mkstemp", full)
    kept.put("1" * 64, drawn)
    monkeypatch.setattr(Path, "unlink", full)
    Cache(kept.place, most=0).trim()
    assert Cache(kept.place).clear().snippets == 0
    assert [file.name for file in kept.place.glob("?/*")] == ["0" * 63]


@ROOT
def test_a_folder_of_another_user_is_not_used(named, drawn):
    kept = Cache(caches.folder())
    kept.put("0" * 64, drawn)
    os.chown(kept.place, 12345, 12345)
    other = Cache(kept.place)
    assert other.get("0" * 64) is None and "another user" in other.problem
    other.put("1" * 64, drawn)
    assert other.get("1" * 64) == drawn
    assert [file.name for file in kept.place.glob("?/*")] == ["0" * 63]
    assert command("cache", "--clear").returncode == 1


def test_a_user_without_a_home_keeps_nothing(monkeypatch, drawn):
    monkeypatch.delenv(caches.SETTING, raising=False)
    monkeypatch.setattr("platformdirs.user_cache_dir", lambda *_, **__: "~/.cache/workbook")
    assert caches.folder() is None
    kept = Cache(None)
    kept.put("0" * 64, drawn)
    kept.trim()
    assert kept.get("0" * 64) == drawn and kept.size().snippets == 0
    with pytest.raises(Exception, match="no home folder"):
        kept.clear()


@POSIX
def test_a_cache_fault_does_not_blame_the_output(named, tmp_path):
    """A whole command, with a folder where every entry should be."""
    arguments = ("preview", "intervals", "--key", "C major", "--out", tmp_path / "a.pdf")
    assert command(*arguments).returncode == 0
    (file,) = (named / "workbook-snippets").glob("?/*")
    file.unlink()
    (file / "x").mkdir(parents=True)
    (tmp_path / "a.pdf").unlink()
    done = command(*arguments)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "a.pdf").exists()


def test_a_warm_build_runs_nothing(named, monkeypatch):
    engrave([exercise()])
    monkeypatch.setattr(lilypond, "run", lambda *_, **__: pytest.fail("LilyPond was run"))
    engrave([exercise()])
