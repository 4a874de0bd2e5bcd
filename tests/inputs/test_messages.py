"""Words of messages."""

import errno
from pathlib import Path

import pytest

from workbook.errors import MOST_LISTED, CheckFailed, ExitCode, Finding, InputError, Problem
from workbook.inputs.messages import any_of, fold, has_ink, plural, quoted, reason, shortened


def test_counts():
    assert [plural(n, "page") for n in (0, 1, 2)] == ["0 pages", "1 page", "2 pages"]
    assert plural(2, "copy", "copies") == "2 copies"


@pytest.mark.parametrize(
    "value, written",
    [
        (True, "true"),
        ("left", '"left"'),
        ([1, 2], "[1, 2]"),
        (2.0, "2.0"),
        ("a\nb", '"a b"'),
        ({"a": "é"}, '{"a": "é"}'),
    ],
)
def test_values_are_quoted_as_a_template_has_them(value, written):
    assert quoted(value) == written


def test_a_number_too_long_to_print():
    assert quoted(10**5000) == "a value that is far too large"
    assert len(quoted("x" * 500)) == 62 and shortened("x" * 60) == "x" * 60


def test_white_space_and_ink():
    assert fold(" e\u0301 \u00a0 a\n") == "é a"
    assert has_ink("\u0301") and not has_ink("\u200b \t\u00a0")


def test_lists():
    assert [any_of(list("abc")[:n]) for n in range(4)] == ["", "a", "a or b", "a, b or c"]


def test_long_lists_end_with_how_many_more():
    problems = [Problem("r.csv", f"row {n}", "is wrong") for n in range(MOST_LISTED + 7)]
    error = InputError(problems)
    lines = str(error).split("\n")
    assert len(error.problems) == MOST_LISTED + 7 and len(lines) == MOST_LISTED + 1
    assert lines[-1] == "and 7 more" and lines[-2].startswith(f"r.csv, row {MOST_LISTED - 1}:")
    assert "more" not in str(InputError(problems[:MOST_LISTED]))
    findings = [Finding("Ada", "workbook.pdf", n, "x") for n in range(MOST_LISTED + 1)]
    told = str(CheckFailed(findings, "Nothing was written.")).split("\n")
    assert (told[0], told[-1], len(told)) == ("Nothing was written.", "and 1 more", 52)


def test_what_the_system_says_is_told_in_our_words_and_told_again_as_it_is():
    for code in (errno.ENOENT, errno.EISDIR, errno.EACCES, errno.ENOSPC):
        told = reason(OSError(code, "system's words"))
        assert "system" not in told and reason(OSError(code, told)) == told
    assert reason(OSError(errno.EFBIG, "it is larger than 1 MB")) == "it is larger than 1 MB"
    assert reason(OSError(errno.EPROTO, "Protocol error")) == "protocol error"
    assert reason(OSError("Unusual")) == "unusual" and reason(OSError()).startswith("the system")


def test_the_readme_has_every_exit_code():
    text = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    table = text.split("## Exit codes\n")[1].split("\n## ")[0]
    for code in ExitCode:
        assert f"\n| {int(code)} | " in table
    assert table.count("\n| ") == len(ExitCode)
