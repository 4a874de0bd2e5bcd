"""Numbers and strings as they are written in a PDF file (ISO 32000-1, 7.3)."""

from __future__ import annotations

from functools import lru_cache

ESCAPED = tuple(
    chr(code) if 32 <= code < 127 and code not in b"()\\" else f"\\{code:03o}"
    for code in range(256)
)
"""How each byte is written in a literal string (ISO 32000-1, 7.3.4.2)."""


@lru_cache(maxsize=2048)  # the numbers of a page, which both faces have
def number(value: float) -> str:
    """A number to a thousandth, without an exponent.

    >>> number(12.5), number(3.0)
    ('12.5', '3')
    """
    return f"{value:.3f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=4096)
def text_string(words: str) -> str:
    """A text string in hexadecimal digits (ISO 32000-1, 7.9.2.2).

    >>> text_string("V°")
    '<FEFF005600B0>'
    """
    return f"<FEFF{words.encode('utf-16-be').hex().upper()}>"
