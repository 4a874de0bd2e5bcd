"""The shipped fonts against their sources.

Source: the OpenType fonts of the LilyPond wheel, from which they were made.
"""

import importlib.metadata
import os
import subprocess
import sys

import pytest

from workbook.typesetting.fonts import convert, faces
from workbook.typesetting.fonts.faces import FACES


def sources():
    pytest.importorskip("fontTools")
    return convert.source() or pytest.skip("no lilypond wheel here")


@pytest.mark.parametrize("face", FACES)
def test_schola_advances_are_those_of_the_opentype_font(face):
    folder = sources()
    from fontTools.ttLib import TTFont

    font = TTFont(folder / convert.FILES[f"workbook-text-{face}.ttf"][0])
    cmap, metrics = font.getBestCmap(), font["hmtx"].metrics
    for char in map(chr, cmap):
        if char.isalnum():
            advance = metrics[cmap[ord(char)]][0]
            assert faces.text_font(face).face.getCharWidth(ord(char)) == advance, char


@pytest.mark.parametrize("file", convert.FILES)
def test_the_files_are_what_convert_makes(file):
    folder = sources()
    here = {name: importlib.metadata.version(name) for name in convert.MADE_WITH}
    if here != convert.MADE_WITH:
        pytest.skip(f"made with {convert.MADE_WITH}, here {here}")
    assert convert.convert(file, folder) == (convert.HERE / file).read_bytes()


@pytest.mark.parametrize("file", convert.FILES)
def test_the_names_are_our_own(file):
    ttlib = pytest.importorskip("fontTools.ttLib")
    names = ttlib.TTFont(convert.HERE / file)["name"]
    for number in (1, 3, 4, 6):
        assert names.getDebugName(number).replace("1.0;", "").startswith("Workbook")
    assert "under the" in names.getDebugName(0)


def test_pages_are_drawn_where_the_home_is_no_folder():
    code = "import workbook.pages.render, workbook.typesetting.fonts.faces"
    subprocess.run([sys.executable, "-c", code], check=True, env=os.environ | {"HOME": os.devnull})
