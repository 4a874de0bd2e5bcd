"""Settings of a build: what is right is kept, what is wrong is told in a sentence."""

from pathlib import Path

import pytest

from workbook import design
from workbook.music import naming
from workbook.studio import settings
from workbook.studio.settings import BuildSettings


def test_the_names_are_those_that_pages_and_naming_know():
    assert set(settings.PAPERS) == set(design.PAPERS) and set(settings.SIZES) == set(design.SIZES)
    assert settings.LETTERS == naming.LETTERS and settings.STEPS == naming.STEPS


def test_plain_values():
    made = BuildSettings(paper="A4", size="Large", letters="German", forms=2, fingering="mine.toml")
    assert (made.paper, made.size, made.letters, made.forms) == ("a4", "large", "german", 2)
    assert BuildSettings() == BuildSettings(paper="letter", template_dir=None)
    assert BuildSettings(template_dir=Path("x")).template_dir == Path("x")


@pytest.mark.parametrize(
    "name, value, words",
    [
        ("paper", "a6", 'paper cannot be "a6"; write "letter", "a4", "half-letter" or "a5"'),
        ("paper", None, 'paper cannot be null; write "letter"'),
        ("size", 2, 'size cannot be 2; write "normal", "large" or "extra-large"'),
        ("letters", "klingon", 'letters cannot be "klingon"; write "english", '),
        ("steps", "", 'steps cannot be ""; write "half step" or "semitone"'),
        ("marking", "half", 'marking cannot be "half"; write "share", "one off" or "all or'),
        ("forms", 0, "forms cannot be 0; write a whole number from 1 to 26"),
        ("forms", 27, "forms cannot be 27"),
        ("forms", True, "forms cannot be true"),
        ("pages", 0, "pages cannot be 0; write a whole number from 1 to 20"),
        ("pages", True, "pages cannot be true"),
        ("grey", "yes", 'grey cannot be "yes"; write True or False'),
        ("punch", 1, "punch cannot be 1"),
        ("fingering", 3, "fingering cannot be 3; write a path"),
        ("template_dir", ["x"], "template_dir cannot be"),
    ],
)
def test_what_cannot_be(name, value, words):
    with pytest.raises(ValueError, match=".") as caught:
        BuildSettings(**{name: value})
    assert words in str(caught.value)
