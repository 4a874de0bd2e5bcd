"""One run fingered anew: other runs of a shared entry keep theirs."""

from __future__ import annotations

from itertools import accumulate

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.weeks.test_studio import begun, studio  # noqa: F401
from workbook.errors import InputError
from workbook.fingering.conventions import load
from workbook.music.keys import parse_key
from workbook.studio.folder import FINGERING, read_studio
from workbook.weeks.own_fingerings import HANDS, _changed, digits, set_digits

C, G, A = map(parse_key, ("C major", "G major", "A minor"))
SHARED = (
    "# mine\n[[scale]]\n"
    'keys = ["C major", "G major", "A minor"]   # the easy ones\n'
    'right = "123123412312345"\nalso_right = ["123412312341234"]\nleft = "543213214321321"\n'
)
RUN = "123412312341234"


def test_an_entry_for_several_runs_is_divided(studio):  # noqa: F811
    (studio / FINGERING).write_text(SHARED, "utf-8")
    before = load(studio / FINGERING).entries
    set_digits(read_studio(studio), "scale", A, "harmonic", "right", RUN)
    after = load(studio / FINGERING).entries
    changed = {run for run in after if after[run] != before[run]}
    assert changed == {(("scale", A, "harmonic"), "right")} and set(before) == set(after)
    assert after[("scale", A, "harmonic"), "right"] == (RUN,)
    text = (studio / FINGERING).read_text("utf-8")
    assert text.startswith("# mine\n") and "# the easy ones" in text
    assert digits(read_studio(studio), "scale", A, "harmonic", "right") == (RUN, True)


def test_back_to_the_fingering_of_the_program(studio):  # noqa: F811
    shipped = digits(read_studio(studio), "arpeggio", G, "root", "left")[0]
    assert not (studio / FINGERING).exists()
    set_digits(read_studio(studio), "arpeggio", G, "root", "left", "5321321")
    assert digits(read_studio(studio), "arpeggio", G, "root", "left") == ("5321321", True)
    set_digits(read_studio(studio), "arpeggio", G, "root", "left", None)
    assert digits(read_studio(studio), "arpeggio", G, "root", "left") == (shipped, False)


@pytest.mark.parametrize("wrong", ["", "12345", "113412312341234", "123412312341239"])
def test_what_cannot_be_right_is_not_written(studio, wrong):  # noqa: F811
    (studio / FINGERING).write_text(SHARED, "utf-8")
    with pytest.raises(InputError, match=r"fingering\.toml, line"):
        set_digits(read_studio(studio), "scale", C, "major", "right", wrong)
    assert (studio / FINGERING).read_text("utf-8") == SHARED


STEPS = st.lists(st.integers(1, 4), min_size=15, max_size=15)
RUNS = st.tuples(
    st.sampled_from([(C, "major"), (G, "major"), (A, "natural"), (A, "melodic")]),
    st.sampled_from(HANDS),
    STEPS.map(lambda steps: "".join(str(total % 5 + 1) for total in accumulate(steps))),
)


@settings(max_examples=25, deadline=None)
@given(st.lists(RUNS, min_size=1, max_size=4))
def test_after_any_changes_each_run_has_its_last_fingering(tmp_path_factory, runs):
    file = tmp_path_factory.mktemp("f") / FINGERING
    text, wanted = SHARED, {}
    for (key, form), hand, run in runs:
        text = _changed(text, "scale", (key, form), hand, run)
        wanted[("scale", key, form), hand] = run
    file.write_text(text, "utf-8")
    found = load(file).entries
    assert {run: found[run][0] for run in wanted} == wanted
    file.write_text(SHARED, "utf-8")
    assert all(found[run] == old for run, old in load(file).entries.items() if run not in wanted)
