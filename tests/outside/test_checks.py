"""The checks of answers can fail: each notices any one answer that is changed."""

from dataclasses import replace
from random import Random

import pytest
import reading
import test_key_signatures
import test_note_names
import test_scale_degrees
import test_scale_steps
import test_scale_writing

from workbook.music.keys import parse_key

CHECKS = {"scale-writing": test_scale_writing, "scale-degrees": test_scale_degrees,
          "scale-steps": test_scale_steps, "scale-repair": test_scale_steps,
          "note-names": test_note_names, "key-signatures": test_key_signatures,
          "circle-of-fifths": test_key_signatures, "scale-matching": test_key_signatures}
KEYS = tuple(map(parse_key, ("Ab minor", "F# major", "D minor")))


@pytest.mark.parametrize("family", CHECKS)
def test_a_wrong_answer_is_noticed(family):
    rng = Random(family)
    for exercise in reading.sample(family, keys=KEYS):
        asked = [blank for blank in exercise.blanks if blank.asks != "word"]
        blank = rng.choice(asked)
        others = sorted({b.answer for b in asked if b.asks == blank.asks} - {
            blank.answer, *blank.also})
        wrong = rng.choice(others) if others else "C" if blank.asks == "count" else "G♯ major"
        spoiled = tuple(replace(b, answer=wrong) if b is blank else b for b in exercise.blanks)
        with pytest.raises((AssertionError, KeyError, ValueError)):
            CHECKS[family].check(replace(exercise, blanks=spoiled))
