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
SMALL_SIDE, LARGE_SIDE, SMALL_TOP, SMALL_FOOT = 20.0, 36.0, 30.0, 20.0
"""The side margins of small paper and of large print, and the top margin of both; the footer's
baseline in large print on small paper."""
WIDEST_SIDE = 22.0
"""The side margins of extra-large print: a run of 15 notes with accidentals, or with a clef at its
end, has one line on A4, too."""
BODY_TO_FOOT, TIGHT_TO_FOOT, LARGE_TO_FOOT = 24.0, 20.0, 17.0
"""From the lowest element of the page to the footer's baseline; the second on small paper, the
third in large print, where it is enlarged."""
COLUMN_GAP = 36.0
"""Between two columns."""
NARROW = 400.0
"""A measure shorter than this (large print) has one column, and a shorter opening."""
PUNCH = 18.0
"""By how much pages that are punched move away from the binding."""
TIGHT_PUNCHED, TIGHT_PUNCH = 28.8, 17.4
"""The side margins of pages that are punched, and by how much they move, on small paper and in
extra-large print: beside the holes, which reach 16.25 mm into the page (ISO 838), and 4 mm from
the other edge, where printers begin (from memory)."""

# Type

TITLE, HEADING, TEXT, QUIET = 30.0, 14.0, 11.0, 9.0
"""The sizes of a page: its title, the headings, what is read, what is looked up."""
CHARACTERS = 70
"""The most characters of a line of running text."""
TABLE_ROWS, TABLE_LEADING, TABLE_SHARE = 8, (1.45, 1.72), 13.0
"""The table of sections: the most rows in one column of the page, the closest and the widest
leading, and the height that the leading aims at, in sizes of its type."""
TABLE_TIGHT, TABLE_ALONE = 1.36, (0.86, 2.4)
"""The leading where the table shares a narrow page with what else opens a book; where it is alone
on its page, the share of the page that it aims at, and the widest leading."""
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
    and ``pair`` that between the middles of two staves for both hands, in staff spaces. With
    ``few``, runs for both hands that need more than a line for each way have as few lines as they
    can, for their lines are high.
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
    pair: float = 9.0
    few: bool = False

    @property
    def space(self) -> float:
        """A staff space in points."""
        return self.staff / 4

    def height(self, lines: int = 1) -> float:
        """The height in points of a box in which so many lines are written."""
        return self.box * MM + (lines - 1) * SECOND_LINE * self.answer

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
    "middle, small": replace(
        MIDDLE, staff=18.5, box=6.5, stack=6.5, line=0.5, corner=1.2, gap=0.23, few=True
    ),
    "grown, small": replace(GROWN, staff=18.5, box=6.5, line=0.5, corner=1.2, gap=0.23, few=True),
    "young, large": replace(YOUNG, box=7.2, stack=6.4, answer=13.5, gap=0.4),
    "middle, large": replace(MIDDLE, box=6.2, stack=5.6, answer=12.0, gap=0.35),
    "grown, large": replace(GROWN, box=6.2, stack=5.6, answer=12.0, gap=0.35),
    "young, large on small": replace(
        YOUNG,
        staff=22.0,
        box=6.2,
        stack=5.5,
        answer=12.0,
        heading=12.5,
        text=11.0,
        gap=0.35,
        pair=7.3,
    ),
    "middle, large on small": replace(
        MIDDLE, staff=17.6, box=5.5, stack=5.5, answer=9.7, heading=12.5, gap=0.23, pair=7.3
    ),
    "grown, large on small": replace(
        GROWN, staff=17.6, box=5.5, stack=5.5, answer=9.7, heading=12.5, gap=0.23, pair=7.3
    ),
    "young, extra-large": replace(
        YOUNG, box=6.0, stack=5.2, answer=12.0, heading=14.0, text=11.0, gap=0.35
    ),
    "middle, extra-large": replace(MIDDLE, box=5.0, stack=4.6, answer=11.5, gap=0.17),
    "grown, extra-large": replace(GROWN, box=5.0, stack=4.6, answer=11.5, gap=0.17),
}
"""The hands that a template may name, and what they become on small paper and in large print.

Large print enlarges staves and text; its boxes need only be as large on paper as those of a young
hand, 9 mm. A run of two octaves then has one line for each direction, as it has on small paper
with boxes of 6.5 mm, and keeps to its page.
"""
HAND_NAMES = ("young", "middle", "grown")
DEFAULT_HAND = "middle"

SECOND_LINE = 0.85
"""By how much a box for two lines is higher than one for one line, in sizes of the answer."""

# Music, in staff spaces

LEADS = {3: 8.7, 4: 9.75, 5: 10.8, 7: 13.0, 9: 15.2}
"""From the start of a staff to the first note's share of the line, by the most sharps or flats of
the signatures that stand in a section. Like exercises thus begin at the same place."""
RUN_LEAD = 1.0
"""By how much runs begin earlier on small paper and in large print: no note of theirs has more than
one accidental."""
BOX_GAP = 0.6
"""The least distance between two boxes that are not in one row."""
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

# The page: what stands where

SECTION_SHRINK, SECTION_STRETCH = 8.0, 72.0
ITEM_SHRINK, ITEM_STRETCH = 8.0, 54.0
LINE_SHRINK, LINE_STRETCH = 20.0, 24.0
OPENING_STRETCH = 54.0
"""The most that the space above a section, an item, a line of music within one, or a part of a
narrow opening may shrink and stretch."""
SPARE_FROM, ABOVE_SPARE, SPARE_APART, SPARE_LINE = 90.0, 20.0, 60.0, 0.5
"""The free space at the foot of a page from which it gets spare staves; from what stands above to
the baseline of their words, from one of them to the next, and the width of their lines."""
FIRST_PAGE = 0.6
"""A page that is filled less than this share is avoided. If it is the first one, a shorter exercise
of the section comes before one that has no room on it (``pages.arranging``)."""
FEW_NOTES, TASK_LINES = 2, 2
"""The most columns of notes of an item that may stand three in a row, and the most lines of a task
of its own for an item in a column."""
FIGURE_SHRUNK, KEYBOARD_ENLARGED = 1.08, 1.45
"""A figure that is wider than a column by no more than this is drawn smaller; the most by which a
keyboard without boxes is enlarged, where it has room."""
BADGE_GAP, BELOW_BADGE = 9.0, 3.5
"""From the black square to the title of a section, and to the rule below."""
SECTION_SCORE, ITEM_SCORE = 76.0, 62.0
"""The room for the points of a section at the right of its title, and of an item beside its
label."""
BELOW_TASK, FIRST_SHRINK, EXAMPLE_SHRINK = 2.0, 8.0, 4.0
"""Below the last line of a task; by how much, where a page holds little, the first exercise, or
the example, may move up to it."""
LEVELLED = 30.0
"""The most by which one of two exercises side by side is lowered to align their staves."""
TAG_PAD, NUMBER_GAP = 8.0, 9.0
"""From the ends of the tag of an example to its word, and from an item's number to its label."""
CHOICE_LEADING, CHOICE_GAP = 1.9, 8.0
"""The height of a line in a list of choices, in sizes of its type; before each entry."""
BESIDE_ANSWER, BETWEEN_WORDS, ANSWER_LEADING = 1.1, 6.0, 1.0
"""Clear space on either side of an answer in its box; between two texts of a row without boxes, as
engraved; from the first line of an answer to the second, in sizes of its type."""
NOTE_LEADING, CONTINUED = 10.5, 18.0
"""From line to line of notes to the marker; the height of the heading repeated where an exercise
continues on the next page."""
SLIP_MARGIN = 30.0
"""Above and below one exercise that is shown on its own."""

# The opening and the foot of a page

TITLE_SHRUNK = 0.6
"""The least share of the title's size at which it stays on one line."""
NAME_ROW, NAME_INSET, BELOW_NAME = 27.0, 10.0, 14.0
"""The height of a line of the box for name, date and total, the space at its left and right, and
the space below it."""
NAME_ROW_TALL = 36.0
"""The height of a line of that box where the table of sections is on the next page."""
TABLE_RULE = 0.42
"""From the baseline of a row of the table to the rule below it, in sizes of its type."""
FOOT_RULE, FOOT_KIND, FOOT_MIDDLE = 13.0, 60.0, 50.0
"""From the footer's baseline to the rule above; from the right margin to the kind of document, and
the room that the number of the page takes at either side of its middle."""
NAME_LINE, NAME_BELOW, NAME_HEIGHT = 150.0, 22.0, 30.0
"""The least width of the line for the name beside the title of a study page; from the title to its
baseline, and to what follows, where it stands below."""
KIND_ABOVE, RUNNING_HEAD = 5.0, 7.0
"""From the top of the body to the kind of document on a narrow page, and to the running head."""

ROW_LABEL, ROW_LABEL_LEADING = 4.0, 1.1
"""From the label of a row of boxes to the boxes beside it, where it stands between two rows; from
line to line of the labels of two rows, in sizes of their type."""

# Keyboards, circles, grids

WHITE_WIDTH, WHITE_LENGTH = 16.1, 72.0
BLACK_WIDTH, BLACK_LENGTH = 9.7, 45.5
BLACK_SHIFT = {1: -1.2, 3: 1.2, 6: -1.7, 8: 0.0, 10: 1.7}
"""From the line between two white keys to the middle of a black key, by pitch class."""
HATCH = 3.2
"""From line to line on the black keys of a keyboard to be shaded: a pencil's grey differs from
them."""
LEADER, FIGURE_GAP, GRID_GAP = 16.0, 9.0, 18.0
"""From a keyboard to its boxes, between two boxes of a figure, and between two rows of a grid that
stand beside one another."""
BOX_PAIR, BOX_ROWS = 1.0, 4.0
"""The least distance between two boxes under a keyboard, and between two rows of them, which it has
where one row is too narrow."""
RING, RING_GAP, RING_BOXES = 99.0, 7.0, 2.0
"""The least radius of the circle of fifths for a middle hand (70 mm across), from the ring to each
box, and the least distance between two boxes inside it: it is larger where names are long."""

# The list of answers

LIST_SUBTITLE, LIST_TITLE_BASELINE, LIST_TITLE_HEIGHT = 16.0, 23.5, 33.0
"""The size of the workbook's title beside that of the list; from the top of the first page to the
title's baseline, and to the space above the first section."""
LIST_ABOVE_SECTION, LIST_SECTION_BASELINE, LIST_SECTION_RULE = 13.5, 11.0, 19.5
LIST_SECTION_HEIGHT, LIST_LETTER = 23.2, 20.0
"""The space above a section; from its top to its heading's baseline, its rule and its first
exercise; from its letter to its title."""
LIST_TORN = 39.0
"""By how much two columns may be longer if no section is then divided between them."""
LIST_LABEL, LIST_ANSWERS, LIST_AFTER_LABEL = 20.0, 66.0, 6.0
"""From a column's left edge to the labels of its rows and to the answers, and the least space
between a label and these."""
LIST_LEADING, LIST_BASELINE = 19.5, 14.0
"""The height of a line of answers, and its baseline below the top of the line."""
LIST_NOTE_LEADING, LIST_NOTE_BASELINE, LIST_BELOW_NOTE = 11.0, 9.0, 5.5
"""From one line of alternatives to the next, from the last answers to the first of them, and below
the last."""
LIST_DIGIT, LIST_LEAST_DIGIT, LIST_GROUP = 9.5, 8.7, 6.8
"""The grid of the fingers, the narrowest that keeps a system on one line, and the space between
two groups."""
LIST_COLUMN, LIST_COLUMN_GAP, LIST_LEAST_GAP, LIST_WORD_SPACE = 36.4, 8.0, 4.8, 4.0
"""The width of a column of chords and numerals where there is room for it, the usual and the least
space between two columns, and that between two words."""
ACCEPT_TEXT = 10.5
"""The type of the table of what to accept."""
ACCEPT_PRINTED, ACCEPT_OTHERS, ACCEPT_GAP = (0.23, 118.0), (0.37, 190.0), 10.0
"""Where its second and third column begin: a share of the width, at most so many points. What
stands in the one before may move them; the least space between two columns."""
ABOVE_ACCEPT, ACCEPT_HEADING, ACCEPT_NAMES = 30.0, 16.5, 18.5
"""The space above it, the height of its heading and of its columns' names."""
ACCEPT_LEADING, ACCEPT_MORE, ACCEPT_BASELINE = 18.0, 13.0, 12.2
"""The height of a line, that of each further line of the same one, and the baseline below its
top."""
ACCEPT_HEAVY, ACCEPT_LIGHT = 0.8, 0.4
"""Widths of its rules."""

# The teacher's tables, charts and sheets

TABLE_MARGIN = 40.0
MARKS_LEADING, MARKS_HEAD, MARKS_COLUMNS = 24.0, 46.0, 14
"""The mark sheet: the height of a row and of the head; the most sections side by side."""
MARKS_NAME, MARKS_TITLE, MARKS_CODE, MARKS_TOTAL = 128.0, 112.0, 54.0, 46.0
"""The widths of its columns."""
TERM_LABEL, TERM_FOOT, TERM_HEIGHT, TERM_WIDTH = 92.0, 30.0, 26.0, 44.0
"""The chart of a term: the room for labels and below it, the most height and width of a square."""
PROGRESS_HEAD = 120.0
"""The longest name at the head of a column of the progress chart."""
EXAMINER_TITLE, EXAMINER_HEAD, EXAMINER_SECTION = 18.0, 66.0, 30.0
EXAMINER_LABEL, EXAMINER_LEADING, EXAMINER_REMARK, EXAMINER_GAP = 21.0, 14.0, 24.0, 14.0
"""The examiner's sheet: its title's size; the heights of its head, a section's title, a label, each
further line of one, the line for a remark, and the space between two tasks."""
EXAMINER_INDENT, EXAMINER_BESIDE = 22.0, 8.0
"""From the margin to labels and music, and from a label to the boxes."""
EXAMINER_MUSIC, EXAMINER_SHARE, EXAMINER_PITCH = 0.5, 0.52, 62.0
"""The scale of the worked answers, their share of the page's width, and from one box to mark to
the next."""
