"""What of a file's objects does not go into a print job: actions, scripts, notes, files.

In: objects of any PDF. Out: their text without these. They are known by what they are, not
only by the name of their entry: a font may be called ``/JS``. See ISO 32000-1, 12.5
(annotations), 12.6 (actions), 7.11 (file specifications), 7.7.2 (catalog).
"""

from __future__ import annotations

import re

import pikepdf

_ACTIONS = frozenset(
    f"/{name}"
    for name in (
        "GoTo",
        "GoToR",
        "GoToE",
        "GoToDp",
        "GoTo3DView",
        "Launch",
        "Thread",
        "URI",
        "Sound",
        "Movie",
        "Hide",
        "Named",
        "SubmitForm",
        "ResetForm",
        "ImportData",
        "JavaScript",
        "SetOCGState",
        "Rendition",
        "Trans",
        "RichMediaExecute",
    )
)
"""Types of actions: table 198, and those of ISO 32000-2."""
_TYPES = frozenset(
    (
        "/Action",
        "/Annot",
        "/Catalog",
        "/EmbeddedFile",
        "/Filespec",
        "/F",
        "/MediaClip",
        "/Outlines",
        "/Page",
        "/Pages",
        "/Rendition",
        "/Sig",
    )
)
"""Types of objects that pages do not draw."""
_ENTRIES = frozenset(
    (
        "/AA",
        "/AF",
        "/AcroForm",
        "/Annots",
        "/EF",
        "/EmbeddedFiles",
        "/JS",
        "/JavaScript",
        "/Launch",
        "/Names",
        "/OpenAction",
        "/Renditions",
        "/RichMediaContent",
        "/URI",
        "/XFA",
    )
)
"""Entries for actions, notes and files, unless what they hold is a resource of that name."""
_SCRIPTS = frozenset(("/JS", "/XFA"))
"""Entries whose value may be a stream; that of a resource has a subtype."""
_TREES = frozenset(("/Names", "/Kids", "/Fields"))
_SUSPICIOUS = re.compile(
    b"|".join(re.escape(name.encode()) + rb"\b" for name in sorted(_ACTIONS | _TYPES | _ENTRIES))
)


def is_left_behind(value: object) -> bool:
    """Whether an object is an action, a note, a file or a part of the document's structure."""
    if isinstance(value, pikepdf.Stream):
        value = value.stream_dict
    if not isinstance(value, pikepdf.Dictionary):
        return False
    return (
        str(value.get("/Type")) in _TYPES
        or str(value.get("/S")) in _ACTIONS
        or isinstance(value.get("/JS"), pikepdf.String)
    )


def printed_text(value: pikepdf.Object) -> bytes:
    """The text of an object without what is left behind."""
    text = value.unparse(resolved=True)
    # few objects have any of these, and looking for them takes long
    return _printed(value).unparse(resolved=True) if _SUSPICIOUS.search(text) else text


def _printed(value: pikepdf.Object) -> pikepdf.Object:
    """A copy of a dictionary or an array without what is left behind; null in its place."""
    if isinstance(value, pikepdf.Dictionary):
        return pikepdf.Dictionary(
            {key: _inner(one) for key, one in value.items() if not _left_entry(key, one)}
        )
    if isinstance(value, pikepdf.Array):
        return pikepdf.Array([None if is_left_behind(one) else _inner(one) for one in value])
    return value


def _inner(value: object) -> object:
    """A value within another; one with a number of its own is looked at when it is copied."""
    if isinstance(value, pikepdf.Dictionary | pikepdf.Array) and not value.is_indirect:
        return _printed(value)
    return value


def _left_entry(key: str, value: object) -> bool:
    if is_left_behind(value):
        return True
    if key not in _ENTRIES:
        return False
    if isinstance(value, pikepdf.Stream):
        return key in _SCRIPTS and "/Subtype" not in value
    if isinstance(value, pikepdf.Dictionary):
        return not _TREES.isdisjoint(value.keys()) or any(map(is_left_behind, value.values()))
    if isinstance(value, pikepdf.Array):  # that of a colour space begins with a name
        return not (len(value) and isinstance(value[0], pikepdf.Name))
    return isinstance(value, pikepdf.String)
