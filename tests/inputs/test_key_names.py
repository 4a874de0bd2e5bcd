"""Key names in other languages, against the names that music21 has for each pitch."""

import pytest
from music21 import pitch

from workbook.inputs.key_names import english_key
from workbook.music.keys import ALL_KEYS, parse_key

MODES = {  # common practice, no source
    "german": {"major": "Dur", "minor": "Moll"},
    "french": {"major": "majeur", "minor": "mineur"},
    "italian": {"major": "maggiore", "minor": "minore"},
    "spanish": {"major": "mayor", "minor": "menor"},
}


@pytest.mark.parametrize("language", MODES)
@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_every_key_in_every_language(key, language):
    name = getattr(pitch.Pitch(key.tonic.replace("b", "-")), language)
    mode = MODES[language][key.mode]
    for words in (f"{name} {mode}", f"{name}-{mode}".upper(), f"{name.capitalize()} {mode}"):
        assert english_key(words) == key.ascii, words


@pytest.mark.parametrize(
    "words, meant",
    [
        ("B-Dur", "Bb major"),
        ("h-Moll", "B minor"),
        ("si bémol majeur", "Bb major"),
        ("Fis minor", "F# minor"),
        ("H major", "B major"),
        ("mi♭ majeur", "Eb major"),
        ("Gis-Dur", "Ab major"),
    ],
)
def test_the_english_name_is_suggested(words, meant):
    with pytest.raises(ValueError, match=f'did you mean "{meant}"'):
        parse_key(words)


@pytest.mark.parametrize("words", ["", "Dur", "ds dur", "xis-Moll", "do re mi", "hallo", "mi"])
def test_what_is_no_key_in_any_language(words):
    assert english_key(words) == ""
