"""The cache of snippets, and what is drawn when it lacks some."""

import ast
import os
import threading
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path
from random import Random

import pytest
from asked import Request

import workbook
from workbook.engraving import ink, lilypond, score
from workbook.engraving.cache import Cache, address, engraving_modules
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import natural
from workbook.engraving.glyphs import Fonts
from workbook.engraving.shares import Piece, draw_share
from workbook.errors import EngravingError
from workbook.exercises.families import FAMILIES
from workbook.music.keys import ALL_KEYS, parse_key


def exercise(key="E major", family="arpeggio", seed=1, hand="right", given=0):
    kind = FAMILIES[family]
    return kind.make(Request(parse_key(key), hand, kind.asks, given), Random(seed))


@pytest.fixture
def cache(tmp_path):
    return Cache(tmp_path / "snippets")


@pytest.fixture(scope="module")
def drawn():
    return engrave([exercise()])[0]


def file_of(cache, name):
    return cache.place / name[0] / name[1:]


FRAME = natural(exercise())


def no_run(monkeypatch):
    def fail(*_, **__):
        raise AssertionError("LilyPond was run")

    monkeypatch.setattr(lilypond, "run", fail)


def test_a_kept_snippet_is_the_same_snippet(cache, drawn, monkeypatch):
    engrave([exercise()], cache=cache)
    no_run(monkeypatch)
    (again,) = engrave([exercise()], cache=Cache(cache.place))
    assert again == drawn and again.name == drawn.name


def test_the_address_is_the_music(drawn):
    one = address(exercise(), FRAME, "2.25.12")
    assert one == address(exercise(), FRAME, "2.25.12")
    assert one != address(exercise(), FRAME, "2.24.0")
    assert one != address(exercise("F major"), FRAME, "2.25.12")
    assert one != address(exercise(hand="left"), FRAME, "2.25.12")
    # what is filled in as help does not change the picture
    assert one == address(exercise(given=3), FRAME, "2.25.12")


@pytest.mark.parametrize("step", [8, pytest.param(4, marks=pytest.mark.sweep)])
def test_addresses_differ_where_sources_differ(step):
    from workbook.engraving.score import score_source

    sources = {}
    for family in FAMILIES.values():
        for key in ALL_KEYS[::step]:
            for hand in ("right", "both"):
                for seed in (1, 2):
                    made = family.make(Request(key, hand, family.asks), Random(seed))
                    if not made.figure:
                        source = score_source(made)
                        found = sources.setdefault(address(made, natural(made), ""), source)
                        assert found == source
    assert len(set(sources.values())) == len(sources)


def test_all_code_that_draws_is_in_the_version():
    """Whatever a module of the version imports from the package is in the version too, unless
    it gives data, which the address holds, or nothing that is drawn."""
    data = {"exercises/model.py", "exercises/figures.py", "exercises/families.py"}
    elsewhere = {
        "cancel.py",
        "errors.py",
        "inputs/key_names.py",
        "inputs/suggestions.py",
        "inputs/messages.py",
    }
    elsewhere |= {"temporary.py"}
    package = Path(workbook.__file__).parent
    covered = {path.relative_to(package).as_posix() for path in engraving_modules()}
    assert {"engraving/lilypond.py", "engraving/score.py", "engraving/shares.py"} <= covered
    imported = set()
    for path in engraving_modules():
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module.startswith("workbook"):
                module = node.module.replace(".", "/").removeprefix("workbook").lstrip("/") or "."
                for name in node.names:
                    inner = f"{module}/{name.name}.py".removeprefix("./")
                    imported.add(inner if (package / inner).is_file() else f"{module}.py")
    assert imported - covered == data | elsewhere


def test_a_write_that_fails_leaves_nothing(cache, drawn, monkeypatch):
    def full(*_):
        raise OSError("no space left on device")

    cache.put("0" * 64, drawn)
    monkeypatch.setattr(Path, "replace", full)
    cache.put("1" * 64, drawn)
    assert [file.name for file in cache.place.glob("?/*")] == ["0" * 63]


def test_leftover_temporary_files_are_not_counted_and_go(cache, drawn):
    cache.put("0" * 64, drawn)
    old, new = (cache.place / "0" / f"new-{name}.tmp" for name in ("old", "fresh"))
    for file in (old, new):
        file.write_bytes(b"some")
    os.utime(old, (1, 1))
    assert cache.size().snippets == 1
    cache.trim()
    assert not old.exists() and new.exists()  # another build may be writing it
    assert cache.clear().snippets == 1 and new.exists()


@pytest.mark.parametrize("damage", [b"", b"\0" * 40, None])
def test_a_damaged_entry_is_engraved_anew(cache, drawn, damage):
    engrave([exercise()], cache=cache)
    (file,) = cache.place.glob("?/*")
    data = file.read_bytes()
    file.write_bytes(data[:-1] + bytes([data[-1] ^ 1]) if damage is None else damage)
    (again,) = engrave([exercise()], cache=Cache(cache.place))
    assert again == drawn
    assert file.read_bytes() == data


def test_the_least_recently_used_goes_first(cache, drawn):
    for number in range(20):
        cache.put(f"{number:064d}", drawn)
        os.utime(file_of(cache, f"{number:064d}"), (number, number))
    each = cache.size().bytes // 20
    small = Cache(cache.place, most=10 * each)
    assert small.get(f"{0:064d}") == drawn  # a use, long after the last one, is noted
    small.trim()
    left = {number for number in range(20) if file_of(cache, f"{number:064d}").exists()}
    assert 0 in left and 19 in left and 1 not in left
    assert small.size().bytes <= small.most
    assert small.clear().snippets == len(left) and small.size().snippets == 0


def test_a_folder_that_cannot_be_written_is_no_error(tmp_path, drawn):
    (tmp_path / "file").write_text("")
    assert engrave([exercise()], cache=Cache(tmp_path / "file" / "x"))[0] == drawn


def test_builds_may_share_the_folder(cache, drawn):
    kept = [Cache(cache.place) for _ in range(4)]
    names = [f"{n:064d}" for n in range(30)]
    wrong = []

    def work(mine):
        for name in names * 3:
            mine.put(name, drawn)
            found = Cache(cache.place).get(name)
            if found != drawn:
                wrong.append(name)

    threads = [threading.Thread(target=work, args=(mine,)) for mine in kept]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong and cache.size().snippets == 30


def many():
    """So many that they are dealt into two runs."""
    return [exercise(key.ascii, hand=hand) for key in ALL_KEYS[::2] for hand in ("right", "left")]


@pytest.fixture(scope="module")
def ours(tmp_path_factory):
    """What engraving by itself draws, anew."""
    return engrave(many(), cache=Cache(tmp_path_factory.mktemp("ours")))


@pytest.mark.parametrize("pool", [ThreadPoolExecutor, ProcessPoolExecutor])
def test_an_executor_of_the_caller_gives_the_same(cache, ours, pool):
    told = []
    with pool(2) as executor:
        theirs = engrave(
            many(), lambda done, of: told.append((done, of)), cache=cache, executor=executor
        )
    assert told[-1] == (30, 30)
    assert [s.name for s in theirs] == [s.name for s in ours]


def test_what_lilypond_rejects_is_named_and_the_rest_is_kept(cache, monkeypatch):
    bad = exercise("A major")
    plain = score.score_source

    def source(one, breaks=False, line_ends=()):
        text = plain(one)
        return text.replace("\\score {", "\\score { \\nonsense") if one == bad else text

    monkeypatch.setattr(score, "score_source", source)
    exercises = [exercise(key) for key in ("C major", "G major", "D major", "A major", "E major")]
    with pytest.raises(EngravingError, match=r"arpeggio in A major \(A major, right hand\)") as no:
        engrave(exercises, cache=cache)
    assert "nonsense" in str(no.value) and "G major" not in str(no.value)
    no_run(monkeypatch)
    engrave([e for e in exercises if e is not bad and e != bad], cache=Cache(cache.place))


def test_a_book_that_was_not_written_is_told(monkeypatch):
    """A run that ends well with its last book missing."""
    whole = lilypond.run
    monkeypatch.setattr(lilypond, "run", lambda *args: (run for run in [*whole(*args)][:-1]))
    said = draw_share([Piece(exercise(key), FRAME) for key in ("C major", "G major")])
    assert len(said) == 2 and all("drew 0 of 1" in one for one in said)


def test_the_join_of_lines_is_told_only_where_lines_meet():
    """Cairo may leave it as the score before had it."""

    def printed(join, path):
        return ink.read(b"q %s j %s S Q" % (join, path), {}, Fonts()).printed

    assert printed(b"0", b"1 2 m 3 4 l") == printed(b"1", b"1 2 m 3 4 l")
    assert printed(b"1", b"1 2 m 3 4 l 5 6 l") == [b"q", b"1 j", b"1 2 m 3 4 l 5 6 l S", b"Q"]
