"""Voice leading: the smoothest way through a progression, found by search.

In: chords and a style. Out: a voicing of each, as shapes. Dynamic programming over all
voicings: hard rules forbid a step, costs add up, and the cheapest whole path wins. Costs
are in tenths of a semitone of motion.

In one hand, a progression that begins and ends on the same chord ends as it began. Figures say
which note is lowest, and so where the hand must be; there the search may begin in another
position, so that the hand can stay (common practice, no source).

Rules marked OMT follow Open Music Theory, chapters "Composing in basso-continuo style" and
"Tendency tones and functional harmonic dissonances"; the weights are our own.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import combinations, pairwise
from typing import NamedTuple

from workbook.music import voicings
from workbook.music.chords import Harmony
from workbook.music.shapes import Tone, chroma, tones
from workbook.music.voicings import Voicing, leading_tone

REACH = 12
"""Semitones by which the lowest note of a hand may move away from where it began."""
NEAR = 5
"""Semitones by which the outer voices of one hand move without a leap of the hand."""
SEMITONE, MOVING, LEAP, COMMON, SIMILAR, BASS = 10, 3, 15, 30, 20, 1
PARALLEL, FRUSTRATED, SEVENTH, CROSS = 400, 300, 400, 400
"""Costs of parallel fifths or octaves in close style, where three voices cannot always avoid
them; in keyboard style of a leading tone in an inner voice that falls to the fifth, of a
bass that leaps a seventh or more than an octave, and of a cross relation."""

Voices = tuple[Tone, ...]
Pairs = tuple[tuple[Tone, Tone], ...]
"""Which note of a chord goes to which of the next; where they differ in number, two notes go
to one or one goes to two."""
Moves = tuple[tuple[Tone, frozenset[Tone]], ...]
"""Chord tones that have to move, each in one of some ways (steps, semitones): the seventh, if
there is one, before the leading tone."""


class Change(NamedTuple):
    """What one chord and the next ask of the voices between them."""

    moves: Moves
    common: frozenset[Tone]
    """The notes, as chromas, that both chords have."""
    doubled: Tone | None = None
    """In a deceptive cadence, the note that the second chord doubles: the tonic of the key."""


@lru_cache(maxsize=4096)
def lead(
    chords: tuple[Harmony, ...], style: str = "close", start: int = 0, fifth: bool = False
) -> tuple[Voices, ...]:
    """The voices of each chord, low to high; in keyboard style the bass comes first.

    ``style`` is "close" or "keyboard". ``start`` 0, 1 or 2 puts the root, third or fifth of
    the first chord lowest in the right hand. In close style, figures take precedence over it:
    those of the first chord, and those of others where ``start`` would make the hand leap.
    ``fifth`` tells whether dominant sevenths have their fifth. Raises ValueError, with a
    message for the teacher, when the rules leave no way.
    """
    if style == "keyboard":
        return _cheapest(chords, True, start, fifth)[1]
    bound = any(chord.inversion for chord in chords[1:]) and not chords[0].inversion
    others = [other for other in (0, 1, 2) if other != start] if bound else []
    ways, wrong = [], []
    for first in (start, *others):
        try:
            cost, path = _cheapest(chords, False, first, fifth)
        except ValueError as error:
            wrong.append(error)
        else:
            ways.append((sum(map(_moves_off, path, path[1:])), first != start, cost, path))
    if not ways:
        raise wrong[0]
    return min(ways)[3]


def others(
    chords: tuple[Harmony, ...], path: tuple[Voices, ...], number: int
) -> tuple[Voices, ...]:
    """What else may stand for chord ``number`` of a ``path`` in keyboard style, between the
    chords beside it, by the hard rules alone.
    """
    here, home = path[number], path[number][1][1]
    found = []
    for voicing in voicings.keyboard(chords[number], False, home - REACH, home + REACH):
        line = (*path[:number], voicing.voices, *path[number + 1 :])
        beside = [n for n in (number - 1, number) if 0 <= n < len(path) - 1]
        if voicing.voices != here and all(
            _keyboard_step(line[n], line[n + 1], _change(chords[n], chords[n + 1])) is not None
            for n in beside
        ):
            found.append(voicing.voices)
    return tuple(found)


def _moves_off(a: Voices, b: Voices) -> bool:
    """Whether the hand leaps between two chords, or leaves a note that both have."""
    leap = max(abs(b[0][1] - a[0][1]), abs(b[-1][1] - a[-1][1]))
    common = {chroma(tone) for tone in a} & {chroma(tone) for tone in b}
    return leap > NEAR or len(set(a) & set(b)) < len(common)


def _cheapest(
    chords: tuple[Harmony, ...], keyboard: bool, start: int, fifth: bool
) -> tuple[int, tuple[Voices, ...]]:
    """The cost of the best way from a position, and the voices. Raises ValueError as ``lead``."""
    make = voicings.keyboard if keyboard else voicings.close
    first = _first(chords[0], keyboard, start, fifth)
    home = first[0].voices[keyboard][1]
    best: dict[Voicing, tuple[int, tuple[Voices, ...]]] = {
        v: (10 * v.cost, (v.voices,)) for v in first
    }
    step = _keyboard_step if keyboard else _close_step
    for number, (here, there) in enumerate(pairwise(chords), 2):
        change = _change(here, there)
        ends = not keyboard and number == len(chords) and there == chords[0]
        after = {}
        for voicing in make(there, fifth, home - REACH, home + REACH):
            own = 10 * voicing.cost + (_low_or_high(voicing.voices[0], home) if keyboard else 0)
            ways = []
            for before, (cost, path) in best.items():
                price = step(before.voices, voicing.voices, change)
                if price is not None and (not ends or path[0] == voicing.voices):
                    ways.append((cost + price + own, (*path, voicing.voices)))
            if ways:
                after[voicing] = min(ways)
        if not after:
            raise ValueError(_no_way(here, there, keyboard, ends))
        best = after
    return min(best.values())


def _first(chord: Harmony, keyboard: bool, start: int, fifth: bool) -> list[Voicing]:
    """The voicings to begin with: the right hand, or the one hand, in position ``start``, the
    bass a tenth or less below, and no note missing if that is possible.
    """
    make = voicings.keyboard if keyboard else voicings.close
    notes = tones(chord)
    lowest = notes[start if keyboard else chord.inversion or start]
    home = lowest[1] + (12 if lowest[0] < notes[0][0] else 0)
    found = [
        v
        for v in make(chord, fifth, home, home)
        if chroma(v.voices[keyboard]) == lowest
        and (not keyboard or v.voices[1][1] - v.voices[0][1] <= 16)
    ]
    if not found:
        raise ValueError(
            f"{chord.numeral} cannot begin with "
            f"{('its root', 'its third', 'its fifth')[start]} lowest; "
            "choose another start"
        )
    full = [v for v in found if set(map(chroma, v.voices)) == set(notes)]
    return full or found


def _low_or_high(bass: Tone, home: int) -> int:
    """The cost of a bass that is far from an octave below where the right hand began."""
    return BASS * 2 * max(0, abs(bass[1] - (home - 10)) - 9)


def _no_way(here: Harmony, there: Harmony, keyboard: bool, ends: bool) -> str:
    pair = f'"{here.numeral} {there.numeral}"'
    if here.kind.seventh and here.inversion == 3:
        return (
            f"{pair} leaves the seventh in the bass unresolved; it falls by a step, as in V4/2 I6"
        )
    if keyboard:
        return (
            f"{pair} cannot be led without parallel fifths or octaves or an unresolved "
            "leading tone or seventh; put another chord or inversion between them, or "
            "choose another start"
        )
    if deceptive(here, there) and not here.kind.seventh:
        return f"{pair} moves all notes up in close position; write V7 for V"
    if ends:
        return (
            f"{pair} cannot be played in close position so that the last chord is the first "
            "one again; write another chord before it or choose another start"
        )
    return (
        f"{pair} cannot be played in close position so that the leading tone and the "
        "seventh resolve; leave out the figures"
    )


@cache
def _change(here: Harmony, there: Harmony) -> Change:
    common = frozenset(tones(here)) & frozenset(tones(there))
    return Change(_moves(here, there), common, tones(there)[1] if deceptive(here, there) else None)


def deceptive(here: Harmony, there: Harmony) -> bool:
    """Whether V or V7 goes to the triad on 6, both in root position."""
    return (
        here.degree == 5
        and leading_tone(here) is not None
        and there.degree == 6
        and there.quality in ("major", "minor")
        and not (here.target or there.target or here.inversion or there.inversion)
    )


# Hard rules


@cache
def _moves(here: Harmony, there: Harmony) -> Moves:
    """The notes of ``here`` that must move in certain ways when ``there`` follows.

    The seventh falls by a step, or stays where it cannot fall. The leading tone rises to the
    tonic, or falls a chromatic half step to the seventh of a dominant that follows; where
    ``there`` has neither, it is free. While one dominant follows another of the same tonic,
    both may pass to another voice. (OMT; the chromatic fall: common practice, no source.)
    """
    coming, found = tones(there), []
    goal = leading_tone(here)
    prolonged = goal and goal == leading_tone(there)
    if here.kind.seventh and tones(here)[0] != coming[0]:
        seventh = tones(here)[3]
        ways = {
            (-1, fall) for fall in (-1, -2) if chroma((seventh[0] - 1, seventh[1] + fall)) in coming
        }
        if not ways and seventh in coming and not prolonged:
            ways.add((0, 0))
        if ways:
            found.append((seventh, frozenset(ways)))
    if goal and not prolonged:
        ways = {(1, 1)} if goal[1] in coming else set()
        if there.quality == "dominant seventh" and coming[3] == (goal[0][0], goal[0][1] - 1):
            ways.add((0, -1))
        if ways:
            found.append((goal[0], frozenset(ways)))
    return tuple(found)


def resolved(pairs: Pairs, moves: Moves) -> bool:
    """Whether the leading tone and the seventh go where they must."""
    for note, ways in moves:
        for a, b in pairs:
            if chroma(a) == note and (b[0] - a[0], b[1] - a[1]) not in ways:
                return False
    return True


def frustrated(pairs: Pairs, moves: Moves) -> tuple[Tone, Tone] | None:
    """The leading tone of an inner voice that falls a third to the fifth of the tonic
    (OMT: where it helps the other voices).
    """
    leading = {note for note, ways in moves if (1, 1) in ways}
    return next(
        (
            (a, b)
            for a, b in pairs
            if chroma(a) in leading and (b[0] - a[0], b[1] - a[1]) == (-2, -4)
        ),
        None,
    )


def parallels(pairs: Pairs) -> bool:
    """Whether two voices move from one perfect fifth or octave to another (OMT), contrary
    motion included.
    """
    for (a, c), (b, d) in combinations(pairs, 2):
        if a != c and b != d:
            apart = (b[0] - a[0]) % 7, (b[1] - a[1]) % 12
            if apart in ((0, 0), (4, 7)) and apart == ((d[0] - c[0]) % 7, (d[1] - c[1]) % 12):
                return True
    return False


def breaks_off(a: Voices, b: Voices, doubled: Tone) -> bool:
    """Whether a deceptive cadence is led as it should be: the bass rises a step, the leading
    tone too, the other upper voices fall, and the third of the last chord is ``doubled``.

    Prout, "Harmony: Its Theory and Practice", from memory; music21's resolution of V7 to the
    chord on 6 moves the voices in the same way.
    """
    rising = [y for x, y in zip(a[1:], b[1:]) if y[1] >= x[1]]
    return (
        b[0][0] - a[0][0] == 1
        and [chroma(tone) for tone in rising] == [doubled]
        and [chroma(tone) for tone in b].count(doubled) == 2
    )


def direct_octave(a: Voices, b: Voices) -> bool:
    """Whether the outer voices move in the same direction to an octave, the melody by a leap
    (OMT).
    """
    low, high = b[0][1] - a[0][1], b[-1][1] - a[-1][1]
    return low * high > 0 and (b[-1][1] - b[0][1]) % 12 == 0 and abs(b[-1][0] - a[-1][0]) > 1


def crosses(pairs: Pairs) -> bool:
    """Whether a note is altered in a voice other than the one that had it (a cross relation):
    common practice, no source.
    """
    had = {chroma(a) for a, _ in pairs}
    for a, b in pairs:
        step, height = chroma(b)
        if chroma(a)[0] != step and any(
            other == step and before != height for other, before in had
        ):
            return True
    return False


def augmented(pairs: Pairs) -> bool:
    """Whether a voice moves by an augmented second, fourth or fifth: common practice,
    no source.
    """
    return any((abs(b[0] - a[0]), abs(b[1] - a[1])) in ((1, 3), (3, 6), (4, 8)) for a, b in pairs)


# Steps: the cost of going from one voicing to the next, None if a rule forbids it


def _keyboard_step(a: Voices, b: Voices, change: Change) -> int | None:
    pairs, moves = tuple(zip(a, b)), change.moves
    upper, inner = pairs[1:], frustrated(pairs[1:3], moves)
    if change.doubled and not breaks_off(a, b, change.doubled):
        return None
    if not resolved(tuple(pair for pair in upper if pair != inner), moves):
        return None
    if not _bass_resolves(pairs[0], moves):
        return None
    if parallels(pairs) or augmented(upper) or direct_octave(a, b):
        return None
    bass = b[0][1] - a[0][1]
    cost = (
        _motion(upper, change.common)
        + BASS * abs(bass)
        + FRUSTRATED * bool(inner)
        + SEVENTH * (abs(bass) > 9 and abs(bass) != 12)
        + CROSS * crosses(pairs)
    )
    # OMT: the right hand moves against the bass or holds.
    if bass and all((y[1] - x[1]) * bass > 0 for x, y in upper):
        cost += SIMILAR
    # A voice that passes where its neighbour was: common practice, no source.
    return cost + SIMILAR * sum(b[n][1] > a[n + 1][1] or b[n + 1][1] < a[n][1] for n in range(3))


def _bass_resolves(pair: tuple[Tone, Tone], moves: Moves) -> bool:
    """Whether a seventh in the bass falls; a leading tone there goes where the figures say."""
    return resolved((pair,), tuple(move for move in moves if (1, 1) not in move[1]))


def _all_rise(pairs: Pairs) -> bool:
    return all(there[1] > here[1] for here, there in pairs)


def _close_step(a: Voices, b: Voices, change: Change) -> int | None:
    return min(
        (
            _motion(pairs, change.common) + PARALLEL * (parallels(pairs) + augmented(pairs))
            for pairs in _matchings(a, b)
            if resolved(pairs, change.moves) and not (change.doubled and _all_rise(pairs))
        ),
        default=None,
    )


def _motion(pairs: Pairs, common: frozenset[Tone]) -> int:
    """The cost of motion (OMT, "the law of the shortest way"): stay rather than step, step
    rather than leap, one leap rather than several; to leave a common tone costs extra.
    """
    away = [abs(b[1] - a[1]) for a, b in pairs]
    kept = {chroma(a) for a, b in pairs if a == b}
    return (
        SEMITONE * sum(away)
        + MOVING * sum(step > 0 for step in away)
        + max(away)
        + LEAP * sum(step > 4 for step in away)
        + COMMON * len(common - kept)
    )


@cache
def _splits(more: int, fewer: int) -> tuple[tuple[int, ...], ...]:
    """How ``more`` voices go to ``fewer`` without crossing: for each, the voice it goes to."""
    return tuple(
        tuple(sum(joint <= n for joint in joints) for n in range(more))
        for joints in combinations(range(1, more), fewer - 1)
    )


def _matchings(a: Voices, b: Voices) -> Iterator[Pairs]:
    """The ways in which the voices of one chord go to those of the next without crossing."""
    if len(a) >= len(b):
        for split in _splits(len(a), len(b)):
            yield tuple((a[n], b[voice]) for n, voice in enumerate(split))
    else:
        for split in _splits(len(b), len(a)):
            yield tuple((a[voice], b[n]) for n, voice in enumerate(split))
