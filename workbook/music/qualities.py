"""Chord qualities: their intervals, and how chord names and numerals show them.

Triads and seventh chords are those of Open Music Theory, "Triads and seventh chords", with
the chord-name signs given there; other spellings that are accepted when marking are common
practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quality:
    """A kind of chord.

    ``tones`` are its intervals above the root; ``suffix`` follows the root in a chord name;
    ``others`` are further chord names that are accepted, with ``{}`` for the root. Its Roman
    numeral is in ``upper`` or lower case and has the sign ``sign``.
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
            ("{} diminished", "{} dim", "{}dim", "{}o", "{}m♭5"),
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
            ("{} diminished seventh", "{} dim7", "{}dim7", "{}o7"),
        ),
    )
}
"""Every quality, by name."""
