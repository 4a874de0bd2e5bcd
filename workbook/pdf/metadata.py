"""What a PDF says of itself in XMP: title, author, what it is about, language, program.

In: values. Out: an XML packet (ISO 16684-1; ISO 32000-1, 14.3.2). It has no date, so that the same
input gives the same bytes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_NOT_XML = "[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"
"""Compiled only when it is needed, which is seldom: that takes 5 ms."""
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
PROGRAM = "workbook"
LANGUAGE = "en"


@dataclass(frozen=True)
class About:
    """Title and more of a file. ``subject`` may be ""; ``language`` is a language tag or ""."""

    title: str
    author: str
    subject: str = ""
    language: str = LANGUAGE
    producer: str = PROGRAM


def xmp(about: About) -> bytes:
    """The metadata stream, not compressed, so that programs that cannot read PDF find it."""
    parts = [
        f"<dc:title>{_choice(about.title)}</dc:title>",
        f"<dc:creator><rdf:Seq>{_item(about.author)}</rdf:Seq></dc:creator>",
    ]
    if about.subject:
        parts.append(f"<dc:description>{_choice(about.subject)}</dc:description>")
    if about.language:
        parts.append(f"<dc:language><rdf:Bag>{_item(about.language)}</rdf:Bag></dc:language>")
    parts += [
        f"<pdf:Producer>{_text(about.producer)}</pdf:Producer>",
        f"<xmp:CreatorTool>{PROGRAM}</xmp:CreatorTool>",
    ]
    data = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        'xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">'
        f"{''.join(parts)}</rdf:Description></rdf:RDF></x:xmpmeta>\n"
        '<?xpacket end="r"?>'
    ).encode()
    return b"<</Type /Metadata /Subtype /XML /Length %d>>\nstream\n%b\nendstream" % (
        len(data),
        data,
    )


def _choice(text: str) -> str:
    return f'<rdf:Alt><rdf:li xml:lang="x-default">{_text(text)}</rdf:li></rdf:Alt>'


def _item(text: str) -> str:
    return f"<rdf:li>{_text(text)}</rdf:li>"


def _text(text: str) -> str:
    """Text for XML: escaped, and without characters that XML does not allow (XML 1.0, 2.2)."""
    plain = text if text.isprintable() else re.sub(_NOT_XML, "", text)
    return plain.translate(_ESCAPED)
