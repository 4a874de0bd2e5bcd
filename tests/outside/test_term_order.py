"""Words in order: tempi by the groups in Gehrkens and by music21's beats per minute, dynamics by
music21's order.
"""

import glossary
import reading


def check(exercise):
    ranks = {blank.column: int(blank.answer) for blank in reading.answers(exercise, "rank")}
    if exercise.staves:
        words = dict(enumerate(event.sign for event in exercise.staves[0].events))
        for event in exercise.staves[0].events:
            assert [str(reading.theirs(p)) for p in event.pitches] == ["A4"]
    else:
        words = {blank.column: blank.answer for blank in reading.answers(exercise, "term")}
    assert sorted(ranks.values()) == list(range(1, len(words) + 1)) and len(words) >= 3
    measures = (
        [glossary.speed, glossary.beats] if "slowest" in exercise.task else [glossary.loudness]
    )
    for measure in measures:
        found = [measure(words[row]) for row in sorted(ranks, key=ranks.get)]
        assert found == sorted(set(found)), (words, ranks)


def test_words_in_order():
    for order in ("tempo", "dynamics"):
        for exercise in reading.sample(
            "term-order", seeds=20, keys=reading.ALL_KEYS[:1], order=order
        ):
            check(exercise)
