"""Right-to-left text: order, mirroring, joining.

Sources: Unicode Standard Annex #9, revision 50 (Unicode 16.0), whose examples write Hebrew
and Arabic in capitals, as here; the Unicode charts "Arabic Presentation Forms-A" and "-B".
The levels of every example can be worked out by hand with the rule that is named.
"""

import random
import subprocess
import sys
import unicodedata

import pytest

from workbook.typesetting import direction
from workbook.typesetting.direction import clusters, visual

# Capitals stand for Hebrew letters, in the order of the alphabet.
HEBREW = {chr(65 + place): chr(0x5D0 + place) for place in range(26)}
LATIN = {letter: capital for capital, letter in HEBREW.items()}


def drawn(text):
    ordered = visual(text.translate(str.maketrans(HEBREW)))
    return ordered.translate(str.maketrans(LATIN | dict.fromkeys("\u2066\u2067\u2069")))


@pytest.mark.parametrize(
    "read, expected",
    [
        ("car means CAR.", "car means RAC."),  # L2, first example
        ("CAR MEANS car.", ".car SNAEM RAC"),  # P2, P3: the first letter says which way
        ("AB(CD[&ef]!)gh", "gh(![ef&]DC)BA"),  # N0: brackets follow what is in them, mirrored
        ("ARABIC book(s)", "book(s) CIBARA"),  # N0
        (
            "DID YOU SAY '\u2066he said \"\u2067car MEANS CAR\u2069\"\u2069'?",
            "?'he said \"RAC SNAEM car\"' YAS UOY DID",
        ),  # L2, fourth example
        ("ABC 123,456", "123,456 CBA"),  # W4: a comma between digits is part of the number
        ("ABC 1-2", "1-2 CBA"),  # W4: so is a single hyphen
        ("ABC 1--2", "2--1 CBA"),  # but not two
        ("ABC $5", "$5 CBA"),  # W5
        ("ABC 5%", "5% CBA"),  # W5
        ("ab CD 12 ef", "ab 12 DC ef"),  # N1: a number after Hebrew counts as Hebrew
        ("ab (CD) ef", "ab (DC) ef"),  # N0
        ("ABC <d> «E»", "«E» <d> CBA"),  # L4
    ],
)
def test_the_order_is_that_of_the_standard(read, expected):
    assert drawn(read) == expected


@pytest.mark.parametrize(
    "name, expected",
    [
        ("רחל 3-4", "3-4 לחר"),
        ("לוי-כהן 12", "12 ןהכ-יול"),
        ("שרה (כהן)", "(ןהכ) הרש"),
        ("שרה Lee (B)", "Lee (B) הרש"),
        ("Ann (שרה) Lee", "Ann (הרש) Lee"),
        ("רחל: C♯ 2", "C♯ 2 :לחר"),
        ("\u0645\u0631\u064a\u0645 רחל Ann", "Ann לחר \ufee2\ufef3\ufeae\ufee3"),
        # W2: digits after Arabic letters are Arabic numbers, and a hyphen parts those.
        ("\u0645\u0631 3-4", "4-3 \ufeae\ufee3"),
        ("אב\u00a0גד", "דג\u00a0בא"),
        ("אב\tגד", "דג\tבא"),
        ("אב\nגד", "דג בא"),
    ],
)
def test_names(name, expected):
    assert visual(name) == expected


def test_marks_stay_with_their_letter():
    shin, qamats, dagesh, bet, acute = "\u05e9\u05b8\u05bc\u05d1\u0301"
    assert visual(shin + dagesh + qamats + bet + " e" + acute) == (
        "e" + acute + " " + bet + shin + dagesh + qamats
    )
    assert clusters(shin + dagesh + bet) == [shin + dagesh, bet]


@pytest.mark.parametrize(
    "letters, forms",
    [
        ("\u0628\u0628\u0628", "\ufe90\ufe92\ufe91"),  # beh: final, medial, initial from the left
        ("\u0627\u0628", "\ufe8f\ufe8d"),  # alef joins nothing after it
        ("\u0644\u0627", "\ufefb"),  # lam and alef are one sign
        ("\u0633\u0644\u0627\u0645", "\ufee1\ufefc\ufeb3"),
        ("\u0644\u064e\u0627", "\ufefb\u064e"),  # with a vowel on the lam, too
        ("\u0644\u0622", "\ufef5"),
        ("\u0645\u064e\u062d", "\ufea2\ufee3\u064e"),  # fatha stays with meem
        ("\u06a9\u06cc\u0627\u0646", "\ufee5\ufe8e\ufbff\ufb90"),  # Persian keheh and yeh
        ("\u0645\u06cc\u200c\u0631", "\ufead\ufbfd\ufee3"),  # the non-joiner parts
        ("\u0628\u0640\u0628", "\ufe90\u0640\ufe91"),  # tatweel joins
        ("\u0627\u0644\u0644\u0647", "\ufeea\ufee0\ufedf\ufe8d"),  # no ligature but lam-alef
    ],
)
def test_arabic_letters_are_joined(letters, forms):
    assert visual(letters) == forms


def test_nothing_is_lost_and_no_tag_is_left():
    random_ = random.Random(9)
    pool = "אבגab12 -+.,()[]<>/\u00a0“”'\u05b8\u0301\u0664"
    for _ in range(3000):
        text = "".join(random_.choice(pool) for _ in range(random_.randrange(1, 14)))
        mirrored = str.maketrans(")]>", "([<")
        assert sorted(visual(text).translate(mirrored)) == sorted(text.translate(mirrored)), text


def test_the_tags_do_not_change_the_order():
    from bidi import get_display

    random_ = random.Random(10)
    for _ in range(3000):
        text = "".join(random_.choice("אבab12 -.,()[]<\u05b8\u0301") for _ in range(12))
        tagged = get_display(direction._tagged(text))
        assert tagged.translate(direction._TAGS) == get_display(text), text


def test_every_right_to_left_character_is_noticed():
    for code in range(sys.maxunicode + 1):
        if unicodedata.bidirectional(chr(code)) in ("R", "AL"):
            assert direction._RIGHT_TO_LEFT.match(chr(code)), hex(code)


def test_other_text_is_unchanged_and_loads_no_library():
    text = "Łukasz – “B♭” (3-4) Оля e\u0301 <b> \u4e2d"
    assert visual(text) is text
    code = (
        "import sys; from workbook.typesetting.text import width; width('Ann (3-4) B♭');"
        "sys.exit(any(name in sys.modules for name in ('bidi', 'arabic_reshaper')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
