"""Pages as pictures."""

from __future__ import annotations

import pytest

from workbook.desk.pictures import NoPicture, Pictures


def test_a_page_that_cannot_be_shown_is_told_in_words(tmp_path):
    damaged = tmp_path / "workbook.pdf"
    damaged.write_bytes(b"%PDF-1.4 and nothing more")
    with pytest.raises(NoPicture, match=r"workbook\.pdf is damaged; make the sheet again"):
        Pictures().page(damaged, 1)
    with pytest.raises(NoPicture, match=r"gone\.pdf cannot be read: it does not exist"):
        Pictures().page(tmp_path / "gone.pdf", 1)
