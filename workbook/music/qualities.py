"""Chord qualities: the intervals of each, how names and numerals show it.

Triads and sevenths as Open Music Theory, "Triads and seventh chords", lists
them, with the letter-name signs given there; further spellings that a marker
accepts are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quality:
    """A kind of chord.

    ``tones`` are intervals above the root; ``suffix`` follows the root's letter
    in a chord name; ``others`` are whole names that are accepted, ``{}`` the
    root. A Roman numeral is ``upper`` case or lower and bears ``sign``.
    """

    name: str
    tones: tuple[str, ...]
    suffix: str
    upper: bool
    sign: str
    others: tuple[str, ...]

    @property
    def seventh(self) -> bool:
        return len(self.tones) == 4


QUALITIES = {
    quality.name: quality
    for quality in (
        Quality("major", ("P1", "M3", "P5"), "", True, "", ("{} major", "{} maj", "{}M")),
        Quality(
            "minor", ("P1", "m3", "P5"), "m", False, "", ("{} minor", "{} min", "{}min", "{}-")
        ),
        Quality(
            "diminished",
            ("P1", "m3", "d5"),
            "°",
            False,
            "°",
            ("{} diminished", "{} dim", "{}dim", "{}m♭5"),
        ),
        Quality(
            "augmented", ("P1", "M3", "A5"), "+", True, "+", ("{} augmented", "{} aug", "{}aug")
        ),
        Quality(
            "dominant seventh",
            ("P1", "M3", "P5", "m7"),
            "7",
            True,
            "",
            ("{} dominant seventh", "{}dom7", "{} 7"),
        ),
        Quality(
            "major seventh",
            ("P1", "M3", "P5", "M7"),
            "maj7",
            True,
            "",
            ("{} major seventh", "{} maj7", "{}M7", "{}Δ7"),
        ),
        Quality(
            "minor seventh",
            ("P1", "m3", "P5", "m7"),
            "m7",
            False,
            "",
            ("{} minor seventh", "{} m7", "{}min7", "{}-7"),
        ),
        Quality(
            "half-diminished seventh",
            ("P1", "m3", "d5", "m7"),
            "ø7",
            False,
            "ø",
            ("{} half-diminished seventh", "{} half-diminished", "{}ø", "{}m7♭5", "{}m7(♭5)"),
        ),
        Quality(
            "diminished seventh",
            ("P1", "m3", "d5", "d7"),
            "°7",
            False,
            "°",
            ("{} diminished seventh", "{} dim7", "{}dim7"),
        ),
    )
}
"""Every quality by its name."""
