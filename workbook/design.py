"""The design of the page: measures, columns, sizes, distances, boxes, inks. Figures only.

A designer can change a figure here without reading any layout code. Lengths are in points
(1/72 inch) unless a name or a comment says otherwise; greys run from 0 (black) to 1 (white).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

MM = 72 / 25.4
"""Points in a millimetre."""

# The grid

PAPERS = {
    "letter": (612.0, 792.0),
    "a4": (595.276, 841.89),
    "half-letter": (396.0, 612.0),
    "a5": (419.528, 595.276),
}
"""Width and height in points."""
PAPER_NAMES = {
    "letter": "Letter",
    "a4": "A4",
    "half-letter": "half-letter",
    "a5": "A5",
    "tabloid": "tabloid (11 by 17 in)",
    "a3": "A3",
}
"""What papers, and sheets for booklets, are called in a sentence."""
TABLES_ON = {"half-letter": "letter", "a5": "a4"}
"""The paper for a teacher's tables and charts, where workbooks are on small paper."""
SMALL = 500.0
"""A paper narrower than this has the margins of small paper."""
SIZES = {"normal": 1.0, "large": 1.46, "extra-large": 1.8}
"""The scale of each print size: "large" gives text of 16 points and a staff 1.46 times as high."""
SIDE, TOP, FOOT = 45.0, 42.0, 26.0
"""The margins at both sides and at the top, and the footer's baseline above the paper's edge."""
SMALL_SIDE, LARGE_SIDE, SMALL_TOP = 24.0, 36.0, 30.0
"""The margins of small paper, and in large print; both have one top margin."""
BODY_TO_FOOT, TIGHT_TO_FOOT, LARGE_TO_FOOT = 24.0, 20.0, 17.0
"""From the lowest element of the page to the footer's baseline; the second on small paper, the
third in large print, where it is enlarged."""
COLUMN_GAP = 36.0
"""Between two columns."""
NARROW = 400.0
"""A measure shorter than this (large print) has one column, and a shorter opening."""
PUNCH = 18.0
"""By how much pages that are punched move away from the binding."""

# Type

TITLE, HEADING, TEXT, QUIET = 30.0, 14.0, 11.0, 9.0
"""The sizes of a page: its title, the headings, what is read, what is looked up."""
CHARACTERS = 70
"""The most characters of a line of running text."""
TABLE_ROWS, TABLE_LEADING, TABLE_SHARE = 8, (1.45, 1.72), 13.0
"""The table of sections: the most rows in one column of the page, the closest and the widest
leading, and the height that the leading aims at, in sizes of its type."""
LEADING = 1.36
"""From line to line of running text, in font sizes."""

# Hands


@dataclass(frozen=True)
class Hand:
    """How large the page is for the hand that writes on it.

    ``staff`` is the height of a staff in points; ``box`` the height of a box, and ``stack``
    that of one of several, one above the other, in millimetres; ``answer`` the size of what is
    printed in a box, ``heading`` and ``text`` those of type; ``corner`` and ``line`` are the
    radius and the line width of a box; ``gap`` is the least distance between two boxes of a row,
    in staff spaces.
    """

    staff: float
    box: float
    stack: float
    answer: float
    heading: float
    text: float
    corner: float
    line: float
    gap: float = 0.6

    @property
    def space(self) -> float:
        """A staff space in points."""
        return self.staff / 4

    def width(self, millimetres: float) -> float:
        """The width in points of a box that is so wide for a middle hand: of a square box, of the
        hand; of a wider one, of what is printed in it.
        """
        square = millimetres <= MIDDLE.box
        return millimetres * MM * (self.box / MIDDLE.box if square else self.answer / MIDDLE.answer)


YOUNG = Hand(25.9, 9.0, 8.0, 16.0, 16.0, 12.0, 2.4, 0.8)
MIDDLE = Hand(19.93, 8.0, 7.0, 14.0, 14.0, 11.0, 1.6, 0.65)
GROWN = Hand(18.93, 7.0, 6.5, 14.0, 14.0, 11.0, 1.6, 0.65)
HANDS = {
    "young": YOUNG,
    "middle": MIDDLE,
    "grown": GROWN,
    "middle, small": replace(MIDDLE, staff=18.5, box=6.5, stack=6.5, line=0.5, corner=1.2, gap=0.1),
    "grown, small": replace(GROWN, staff=18.5, box=6.5, line=0.5, corner=1.2, gap=0.1),
    "young, large": replace(YOUNG, box=7.2, stack=6.4, answer=13.5, gap=0.4),
    "middle, large": replace(MIDDLE, box=6.2, stack=5.6, answer=12.0, gap=0.35),
    "grown, large": replace(GROWN, box=6.2, stack=5.6, answer=12.0, gap=0.35),
    "young, extra-large": replace(
        YOUNG, box=6.0, stack=5.2, answer=12.0, heading=14.0, text=11.0, gap=0.35
    ),
    "middle, extra-large": replace(MIDDLE, box=5.0, stack=4.6, answer=11.5, gap=0.13),
    "grown, extra-large": replace(GROWN, box=5.0, stack=4.6, answer=11.5, gap=0.13),
}
"""The hands that a template may name, and what they become on small paper and in large print.

Large print enlarges staves and text; its boxes need only be as large on paper as those of a young
hand, 9 mm. A run of two octaves then has one line for each direction, as it has on small paper
with boxes of 6.5 mm, and keeps to its page.
"""
HAND_NAMES = ("young", "middle", "grown")
DEFAULT_HAND = "middle"

# Music, in staff spaces

LEADS = {3: 8.7, 5: 10.8, 7: 13.0, 9: 15.2}
"""From the start of a staff to the first note's share of the line, by the most sharps or flats of
the signatures that stand in a section. Like exercises thus begin at the same place."""
BOX_GAP = 0.6
"""The least distance between two boxes, but for those of one row."""
NOTE_PITCH, ALTERED_PITCH, BETWEEN_PITCH, SIGN_PITCH, WRITING_PITCH = 3.1, 3.3, 3.0, 5.0, 6.5
"""The least width of a column: of notes, of notes some of which have accidentals, of notes with
boxes between them, of notes with signs, of notes to write."""
AFTER_BAR = 1.0
"""The least distance from a bar line within a line to what follows it."""
CLEF_PITCH, CLEF_ROOM = 3.9, Fraction(1, 8)
"""In narrower columns, a change of clef opens their row by so much of a column."""
SIGNATURE_ROOM = 10.0
"""The width in which a key signature is written, whatever its size."""
NOTE_REACH = 4.5
"""How far the room for a written note reaches above and below the middle line."""
STACK_GAP = 0.55
"""Between the boxes of one stack."""

# Distances

LABEL_TO_MUSIC = 8.5
"""From the baseline of an item's label to the music below."""
ABOVE_ITEM, BELOW_ITEM = 8.0, 14.0
CLOSEST, TIGHT_CLOSEST = 13.0, 8.0
"""The least distance between two lines of music of one exercise; the second in large print."""
ABOVE_SECTION = 24.0
BADGE_PAD, BADGE_CORNER = 6.0, 2.0
"""How much the black square of a section's letter is larger than the letter, and its corner."""
POINTS_RULE, SECTION_RULE = 24.0, 30.0
"""The lengths of the rule for the points of an item, and of a section."""

# Inks

TINT = 0.89
"""The grey behind what is given: filled-in boxes, the tag of an example."""
KEY_MUSIC, KEY_BOX, KEY_QUIET = 0.55, 0.45, 0.35
"""Greys of the answer key: the music, the outlines of boxes, notes and given answers."""
ANSWER = (0.58, 0.05, 0.08)
"""Red, green and blue of the answers."""
