"""Files into place: all or none, whatever happens, and whenever."""

import errno
import os
import shutil
import signal
import stat
import subprocess
import sys
import threading
import time
from pathlib import Path
from subprocess import PIPE

import pytest

from workbook.builds import publish, recovery
from workbook.builds.publish import rewriting, staging, whole_file
from workbook.builds.recovery import reading, recover
from workbook.errors import OutputError, WorkbookError

OLD = {"a/1": "old", "a/2": "old", "b/1": "old", "other": "old"}
NEW = {"a/1": "new", "a/2": "new", "b/1": "new", "c/1": "new"}


def fill(place, files):
    for name, text in files.items():
        path = place / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


def held(place):
    return {
        path.relative_to(place).as_posix(): path.read_text()
        for path in place.rglob("*")
        if path.is_file()
    }


@pytest.fixture
def target(tmp_path):
    fill(tmp_path / "out", OLD)
    return tmp_path / "out"


def moves(monkeypatch, stumble):
    """Calls ``stumble(number, before)`` around every move of a file."""
    real, calls = publish.os.replace, []

    def replace(source, final):
        calls.append(final)
        number = len(calls)
        stumble(number, True)
        real(source, final)
        stumble(number, False)

    monkeypatch.setattr(publish.os, "replace", replace)
    return calls


def test_new_files_come_in_and_others_stay(target):
    with staging(target) as new:
        fill(new, NEW)
        assert held(target)["a/1"] == "old"
    assert held(target) == {**OLD, **NEW}


@pytest.mark.parametrize("before", [True, False])
@pytest.mark.parametrize("at", range(1, 6))
def test_a_move_that_fails_anywhere_is_undone(target, monkeypatch, at, before):
    def stumble(number, early):
        if (number, early) == (at, before):
            raise RuntimeError("stumbled")

    calls = moves(monkeypatch, stumble)
    with pytest.raises(RuntimeError), staging(target) as new:
        fill(new, NEW)
    assert len(calls) >= at
    assert held(target) == OLD


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("at", range(1, 6))
def test_a_signal_waits_until_the_files_are_in_place(target, monkeypatch, at, number):
    def stumble(count, early):
        if (count, early) == (at, False):
            signal.raise_signal(number)
            signal.raise_signal(number)

    before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    moves(monkeypatch, stumble)
    try:
        with pytest.raises((KeyboardInterrupt, SystemExit)), staging(target) as new:
            fill(new, NEW)
    finally:
        signal.signal(signal.SIGTERM, before)
    assert held(target) == {**OLD, **NEW}


KILLED = """
import os, sys
from pathlib import Path
from workbook.builds import publish
real, calls = os.replace, []
def replace(source, final):
    calls.append(final)
    if len(calls) == int(sys.argv[2]):
        os.kill(os.getpid(), 9)
    real(source, final)
publish.os.replace = replace
with publish.staging(Path(sys.argv[1])) as new:
    for name in sys.argv[3:]:
        (new / name).parent.mkdir(parents=True, exist_ok=True)
        (new / name).write_text("new")
"""


@pytest.mark.parametrize("at", [1, 2, 3, 4, 5])
def test_the_next_build_finishes_what_a_killed_one_began(target, at):
    ended = subprocess.run([sys.executable, "-c", KILLED, str(target), str(at), *NEW])
    assert ended.returncode == -signal.SIGKILL
    told = []
    with staging(target, notice=told.append) as new:
        fill(new, {"b/2": "newer"})
    began = {} if at == 1 else NEW  # the first move is that of the journal
    assert held(target) == {**OLD, **began, "b/2": "newer"}
    assert len(told) == 1 and "interrupted" in told[0]


def test_a_killed_process_with_any_number_is_dead(target, monkeypatch):
    """In a container every build may have the number of the one that is looking."""
    subprocess.run([sys.executable, "-c", KILLED, str(target), "3", *NEW])
    (left,) = target.glob(".building-*")
    assert not any(part.isdigit() for part in left.name.split("-"))
    recover(target, print)
    assert held(target) == {**OLD, **NEW}


def test_recovery_on_a_copy_of_the_folder(target, tmp_path):
    subprocess.run([sys.executable, "-c", KILLED, str(target), "3", *NEW])
    shutil.copytree(target, tmp_path / "copy")
    shutil.rmtree(target)
    recover(tmp_path / "copy", print)
    assert held(tmp_path / "copy") == {**OLD, **NEW}


@pytest.mark.parametrize("at", [2, 3, 4, 5])
def test_a_file_changed_after_the_kill_stays(target, at):
    subprocess.run([sys.executable, "-c", KILLED, str(target), str(at), *NEW])
    fill(target, {"a/2": "typed", "other": "typed"})
    told = []
    recover(target, told.append)
    assert held(target)["a/2"] == "typed" and held(target)["other"] == "typed"
    aside = held(target).pop("a/2-from-build", None)
    assert (aside == "new") == (at <= 3) == ("left as it is" in "".join(told))
    assert held(target)["a/1"] == held(target)["b/1"] == held(target)["c/1"] == "new"


def test_damaged_new_files_are_not_put_in_place(target):
    """An incomplete copy: the build is undone with the old files that it kept."""
    subprocess.run([sys.executable, "-c", KILLED, str(target), "4", *NEW])
    (left,) = target.glob(".building-*")
    (left / "new" / "c" / "1").write_text("ne")
    told = []
    recover(target, told.append)
    assert held(target) == OLD and "restored" in told[0]


def test_a_file_changed_after_the_kill_stays_when_the_build_is_undone(target):
    """An incomplete copy again, with something typed into files that were new already."""
    subprocess.run([sys.executable, "-c", KILLED, str(target), "5", *NEW])
    (left,) = target.glob(".building-*")
    (left / "new" / "c" / "1").write_text("ne")
    fill(target, {"a/2": "typed"})
    told = []
    recover(target, told.append)
    assert held(target) == {**OLD, "a/2": "typed"}
    assert (
        "a/2 was changed in the meantime and was left as it is" in told[0] and "restored" in told[1]
    )


JOURNAL_OF = (
    '{{"version": 1, "goal": "new", "entries": [{{"path": "{}", '
    '"new": {{"sha256": "", "size": 0}}, "old": null}}]}}'
)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[]",
        JOURNAL_OF.format("../x"),
        JOURNAL_OF.format("/etc/x"),
        JOURNAL_OF.format("a/../../x"),
        JOURNAL_OF.format(""),
        '{"version": 1, "goal": "new", "entries": 5}',
        '{"version": 1, "goal": "new", "entries": [7]}',
        "[" * 100_000,
    ],
)
def test_a_damaged_journal_is_told(target, text):
    fill(target, {".building-x/journal.json": text})
    with pytest.raises(OutputError, match=r"delete the folder \.building-x there and build again"):
        recover(target)


def test_what_another_process_is_writing_is_left_to_it(target):
    """Whatever its number is here: its lock says that it runs."""
    writing = WRITING.format(target=str(target))
    with subprocess.Popen([sys.executable, "-c", writing], stdout=PIPE, stdin=PIPE) as other:
        assert other.stdout.readline() == b"begun\n"
        (busy,) = target.glob(".building-*")
        recover(target, print)
        with whole_file(target / "b" / "x") as file:
            file.write(b"x")
        assert busy.is_dir()
        other.communicate(b"\n")
    assert other.returncode == 0 and held(target) == {**OLD, "a/1": "theirs", "b/x": "x"}


WRITING = """
from pathlib import Path
from workbook.builds.publish import staging
with staging(Path({target!r})) as new:
    (new / "a").mkdir()
    (new / "a" / "1").write_text("theirs")
    print("begun", flush=True)
    input()
"""


def test_a_second_build_waits_then_says_so(target, monkeypatch):
    monkeypatch.setattr(publish, "WAIT", 0.3)
    with staging(target) as new:
        fill(new, NEW)
        with (
            pytest.raises(OutputError, match="another command is writing into .*wait until"),
            staging(target),
        ):
            raise AssertionError
    assert held(target) == {**OLD, **NEW}


def test_builds_at_once_take_turns(target, monkeypatch):
    """Slow renames: never a moment with files of both, as a reader sees them."""
    real = os.replace

    def slow(source, final):
        time.sleep(0.01)
        real(source, final)

    monkeypatch.setattr(os, "replace", slow)

    def build(text):
        for _ in range(3):
            with staging(target) as new:
                fill(new, dict.fromkeys(NEW, text))

    threads = [threading.Thread(target=build, args=(text,)) for text in ("one", "two", "three")]
    for thread in threads:
        thread.start()
    seen = set()
    while any(thread.is_alive() for thread in threads):
        steady = reading([target / name for name in NEW])
        texts = {(target / name).read_text() for name in NEW if (target / name).exists()}
        try:
            steady.check()
        except WorkbookError:
            continue
        assert len(texts) == 1, texts
        seen |= texts
    assert seen <= {"old", "one", "two", "three"}
    assert held(target) in [{**OLD, **dict.fromkeys(NEW, text)} for text in ("one", "two", "three")]
    assert not list(target.glob(".*"))


def test_readers_need_no_lock_and_no_permission(target, monkeypatch):
    def no(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(recovery, "take", no)
    reading([target]).check()
    fill(target, {".building-x/journal.json": "{}"})
    with pytest.raises(OutputError, match="interrupted half way and cannot be finished"):
        reading([target / "a"])


def test_a_file_replaced_while_it_is_read_is_told(target):
    steady = reading([target / "a" / "1", target / "b" / "1"])
    with staging(target) as new:
        fill(new, NEW)
    with pytest.raises(WorkbookError, match="changed while they were being read"):
        steady.check()


def test_a_move_that_fails_and_cannot_be_undone_is_undone_later(target, monkeypatch):
    real, calls = os.replace, []

    def failing(source, final):
        calls.append(final)
        if len(calls) in (4, 6):  # a new file, then an old one; the fifth is the journal
            raise PermissionError(13, "Permission denied", str(final))
        real(source, final)

    monkeypatch.setattr(os, "replace", failing)
    with (
        pytest.raises(OutputError, match="next command that uses that folder finishes the work"),
        staging(target) as new,
    ):
        fill(new, NEW)
    recover(target, print)
    assert held(target) == OLD


def test_a_folder_with_the_name_of_a_file_is_told_before_anything(target):
    fill(target, {"c/1/mine": "mine"})
    with (
        pytest.raises(OutputError, match="is a folder, but a file with that name"),
        staging(target, ["a/1", "c/1"]),
    ):
        raise AssertionError
    with (
        pytest.raises(OutputError, match="is a folder, but a file with that name"),
        staging(target) as new,
    ):
        fill(new, NEW)
    with (
        pytest.raises(OutputError, match="is a folder, but a file with that name"),
        whole_file(target / "c" / "1"),
    ):
        raise AssertionError
    assert held(target) == {**OLD, "c/1/mine": "mine"}


def test_a_link_out_of_the_folder_is_refused(target, tmp_path):
    (tmp_path / "mine").mkdir()
    (target / "c").symlink_to(tmp_path / "mine")
    with pytest.raises(OutputError, match="is a link to a place outside"), staging(target) as new:
        fill(new, NEW)
    assert held(target) == OLD and not any((tmp_path / "mine").iterdir())
    (target / "c").unlink()
    (target / "c").symlink_to("a")  # inside: as good as a folder
    with staging(target) as new:
        fill(new, {"c/9": "new"})
    assert (target / "a" / "9").read_text() == "new"


def test_a_pending_build_follows_no_link_either(target, tmp_path):
    subprocess.run([sys.executable, "-c", KILLED, str(target), "2", *NEW])
    (tmp_path / "mine").mkdir()
    (target / "c").symlink_to(tmp_path / "mine")
    with pytest.raises(OutputError, match="is a link to a place outside"):
        recover(target)
    assert not any((tmp_path / "mine").iterdir())


def test_what_another_user_left_is_told_and_not_touched(target, monkeypatch):
    """It may be planted: this user's files are not changed by it."""
    entry = JOURNAL_OF.format("a/1")
    fill(target, {".building-x/journal.json": entry, ".building-x/new/a/1": "theirs"})
    monkeypatch.setattr(recovery, "trusted", lambda path: False)
    told = []
    recover(target, told.append)
    assert not told and held(target)["a/1"] == "old"
    fill(target, {"mark-sheet.csv": ""})
    reading([target], told.append).check()
    assert "unfinished files of another user" in told[0] and held(target)["a/1"] == "old"


def test_links_in_a_circle_are_told(target):
    (target / "c").symlink_to("c")
    with pytest.raises(OutputError, match="c is not a folder"), staging(target, ["c/1"]):
        raise AssertionError
    recover(target / "c")


def test_a_disk_without_locks(target, monkeypatch):
    def none(*_, **__):
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr("filelock.lock_descriptor", none)
    fill(target, {".building-theirs/in-use.lock": "", ".building-theirs/new/x": "x"})
    with staging(target) as new:
        fill(new, NEW)
    with whole_file(target / "x") as file:
        file.write(b"x")
    fill(target, {publish.FOLDER_LOCK: ""})
    kept = held(target)
    assert kept.pop(".building-theirs/new/x") == "x", "nobody can tell whether it is in use"
    assert {name: text for name, text in kept.items() if not name.startswith(".")} == {
        **OLD,
        **NEW,
        "x": "x",
    }
    assert len(hidden(target)) == 1


def test_a_disk_without_hard_links(target, monkeypatch):
    def none(*_, **__):
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", none)
    calls = moves(monkeypatch, stumble_at(4))
    with pytest.raises(RuntimeError), staging(target) as new:
        fill(new, NEW)
    assert len(calls) > 4 and held(target) == OLD


def stumble_at(number):
    def stumble(count, early):
        if count == number and early:
            raise RuntimeError("stumbled")

    return stumble


def test_a_file_that_stays_the_same_is_not_touched(target):
    before = (target / "a" / "1").stat()
    with staging(target) as new:
        fill(new, {"a/1": "old", "a/2": "new"})
    after = (target / "a" / "1").stat()
    # the time of the last reading may change
    assert (after.st_ino, after.st_mtime_ns) == (before.st_ino, before.st_mtime_ns)


def test_folders_made_for_nothing_are_removed(tmp_path):
    with pytest.raises(ZeroDivisionError), staging(tmp_path / "a" / "b"):
        raise ZeroDivisionError
    with (
        pytest.raises(OutputError, match="cannot write into"),
        staging(tmp_path / "a" / ("b" * 999)),
    ):
        raise AssertionError
    assert not any(tmp_path.iterdir())


@pytest.fixture
def on_disk(monkeypatch):
    """What is written to the disk and what is renamed, in order."""
    fsync, rename, done = os.fsync, os.replace, []

    def synced(handle):
        done.append(str(Path(f"/proc/self/fd/{handle}").readlink()))
        fsync(handle)

    def renamed(source, final):
        done.append(f"rename {final}")
        rename(source, final)

    if not Path("/proc/self/fd").is_dir():
        pytest.skip("needs the names of open files")
    monkeypatch.setattr(os, "fsync", synced)
    monkeypatch.setattr(os, "replace", renamed)
    return done


def test_a_build_is_on_the_disk_before_its_journal_is(target, on_disk):
    """The files and their folders, then the journal; the places of the files before it goes."""
    done = on_disk
    with staging(target) as new:
        fill(new, NEW)
        place = new.parent
    half = done.index(str(place / "journal.json.half"))
    assert {str(place / "new" / name) for name in NEW} <= set(done[:half])
    assert {str(place / "new" / name) for name in (".", "a", "b", "c")} <= set(done[:half])
    assert done[half : half + 4] == [
        str(place / "journal.json.half"),
        f"rename {place / 'journal.json'}",
        str(place),  # the name of the journal, and the name of the folder that has it
        str(target),
    ]
    assert {str(target / name) for name in (".", "a", "b", "c")} <= set(done[half + 4 :])


def test_a_recovered_build_is_on_the_disk_before_its_journal_goes(target, on_disk):
    subprocess.run([sys.executable, "-c", KILLED, str(target), "3", *NEW])
    recover(target, print)
    last = max(number for number, what in enumerate(on_disk) if what.startswith("rename"))
    assert {str(target / name) for name in (".", "a", "b", "c")} <= set(on_disk[last:])


def test_a_single_file_is_on_the_disk_before_it_is_in_place(target, on_disk):
    with whole_file(target / "single") as file:
        file.write(b"x")
        half = file.name
    assert on_disk == [str(half), f"rename {target / 'single'}", str(target)]


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such modes")
def test_modes(target):
    (target / "a" / "1").chmod(0o640)
    before = os.umask(0o027)
    try:
        with staging(target) as new:
            fill(new, NEW)
        with whole_file(target / "single") as file:
            file.write(b"x")
        (target / "single").chmod(0o604)
        with whole_file(target / "single") as file:
            file.write(b"y")
    finally:
        os.umask(before)
    modes = {name: (target / name).stat().st_mode & 0o777 for name in [*NEW, "single", "c"]}
    assert modes == {
        "a/1": 0o640, "a/2": 0o644, "b/1": 0o644, "c/1": 0o640, "single": 0o604, "c": 0o750,
    }  # fmt: skip


def test_a_planted_name_is_not_written_through(target, tmp_path):
    """The old temporary name could be guessed, and a link there was followed."""
    victim = tmp_path / "victim"
    victim.write_text("precious")
    (target / f".single.{os.getpid()}.part").symlink_to(victim)
    with whole_file(target / "single") as file:
        file.write(b"x")
    (target / "linked").symlink_to(victim)
    with whole_file(target / "linked") as file:
        file.write(b"y")
    assert (target / "linked").read_text() == "y" and not (target / "linked").is_symlink()
    (target / publish.FOLDER_LOCK).symlink_to(victim)
    with pytest.raises(OutputError, match="is not an ordinary file; remove it"), staging(target):
        raise AssertionError
    assert victim.read_text() == "precious" and (target / "single").read_text() == "x"


def test_a_file_that_the_teacher_keeps_is_rewritten_behind_its_link(target, tmp_path):
    kept, link = tmp_path / "kept", target / "roster.csv"
    kept.write_text("old")
    kept.chmod(0o640)
    link.symlink_to(kept)
    with rewriting(link) as file:
        file.write(b"new")
    assert link.is_symlink() and kept.read_text() == "new"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640
    for wrong in ("nowhere", "wrong.csv"):  # to nothing, and to itself
        link = target / "wrong.csv"
        link.symlink_to(wrong)
        with pytest.raises(OutputError, match="file that does not exist"), rewriting(link):
            raise AssertionError
        link.unlink()


def test_a_planted_lock_is_told_where_the_system_opens_links(target, tmp_path, monkeypatch):
    monkeypatch.delattr(os, "O_NOFOLLOW", raising=False)
    (target / publish.FOLDER_LOCK).symlink_to(tmp_path / "victim")
    with pytest.raises(OutputError, match="is not an ordinary file; remove it"), staging(target):
        raise AssertionError
    assert not (tmp_path / "victim").exists()


@pytest.mark.parametrize("where", ["target", "TMPDIR"])
def test_what_killed_runs_left_is_cleared(target, tmp_path, where):
    place = target if where == "target" else tmp_path / "tmp"
    place.mkdir(exist_ok=True)
    environment = {**os.environ, "TMPDIR": str(place)}
    run = [sys.executable, "-c", LEAVING, where, str(target)]
    with subprocess.Popen(run, env=environment, stdout=PIPE) as other:
        assert other.stdout.readline() == b"begun\n"
        there = hidden(place)
        assert len(there) == 1 and there[0].stat().st_mode & 0o777 == 0o700
        subprocess.run([*run, "done"], env=environment, check=True)
        assert hidden(place) == there, "the other one is still running"
        other.kill()
    (place / "workbook-mine").mkdir()
    (place / "workbook-mine" / "text").write_text("mine")
    subprocess.run([*run, "done"], env=environment, check=True)
    assert [path.name for path in hidden(place)] == ["workbook-mine"]


OWN_NUMBERS = ("unshare", "--user", "--map-root-user", "--pid", "--fork", "--mount-proc")


def has_own_numbers():
    if not shutil.which("unshare"):
        return False
    return not subprocess.run([*OWN_NUMBERS, "true"], capture_output=True).returncode


@pytest.mark.skipif(not has_own_numbers(), reason="needs unshare and process namespaces")
@pytest.mark.parametrize("where", ["target", "TMPDIR"])
def test_what_runs_in_another_container_is_left_to_it(target, tmp_path, where):
    """There its number is 1, and no number of ours is a process."""
    place = target if where == "target" else tmp_path / "tmp"
    place.mkdir(exist_ok=True)
    environment = {**os.environ, "TMPDIR": str(place)}
    run = [sys.executable, "-c", LEAVING, where, str(target)]
    inside = [*OWN_NUMBERS, "--kill-child"]
    with subprocess.Popen([*inside, *run], env=environment, stdout=PIPE) as other:
        try:
            assert other.stdout.readline() == b"begun\n"
            there = hidden(place)
            for command in (run, [*OWN_NUMBERS, *run]):
                subprocess.run([*command, "done"], env=environment, check=True)
                assert hidden(place) == there and len(there) == 1
        finally:
            other.kill()
    subprocess.run([*run, "done"], env=environment, check=True)
    assert not hidden(place)


@pytest.mark.skipif(not has_own_numbers(), reason="needs unshare and process namespaces")
def test_what_was_killed_in_another_container_is_finished(target):
    """The one that looks has the number there that the killed one had, and is alive."""
    numbered = [*OWN_NUMBERS, "sh", "-c", '"$@"; exit $?', "sh", sys.executable, "-c"]
    ended = subprocess.run([*numbered, f"{SAID}{KILLED}", str(target), "3", *NEW], stdout=PIPE)
    looks = f"{SAID}from workbook.builds.recovery import recover\nrecover(Path(sys.argv[1]))"
    looked = subprocess.run([*numbered, looks, str(target)], stdout=PIPE, check=True)
    assert ended.returncode == 128 + signal.SIGKILL and ended.stdout == looked.stdout
    assert held(target) == {**OLD, **NEW}


SAID = """
import os, sys
from pathlib import Path
print(os.getpid(), flush=True)
"""


def hidden(place):
    return [p for p in place.iterdir() if p.name.startswith((".building-", "workbook-"))]


LEAVING = """
import sys, time
from pathlib import Path
from workbook.builds.publish import whole_file
from workbook.temporary import temporary
place = Path(sys.argv[2]) / "file"
with whole_file(place) if sys.argv[1] == "target" else temporary() as made:
    if "done" not in sys.argv:
        print("begun", flush=True)
        time.sleep(60)
"""


def test_a_command_whose_terminal_is_closed_leaves_nothing(tmp_path):
    if not hasattr(signal, "SIGHUP"):
        pytest.skip("no such signal here")
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(
        "student,template,keys\n" + "".join(f"S{n},advanced,all\n" for n in range(12)), "utf-8"
    )
    out.mkdir()
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from workbook.cli import main; main()",
            "build",
            str(roster),
            "--out",
            str(out),
        ],
        stdout=subprocess.DEVNULL,
    )
    deadline = time.monotonic() + 120
    while not any(out.iterdir()) and time.monotonic() < deadline:
        time.sleep(0.05)
    process.send_signal(signal.SIGHUP)
    assert process.wait(60) == 129
    assert not any(out.iterdir())
