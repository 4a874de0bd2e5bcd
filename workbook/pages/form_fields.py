"""Text fields laid over the boxes of a finished PDF, so that it can be filled in on a screen.

In: a PDF and the fields. Out: the same pages with a form (ISO 32000-1, 12.7), each field a part of
its exercise (ISO 32000-2, 14.8.4.8: a ``Form``, from memory). No scripts, no
NeedAppearances: each field has an (empty) appearance of its own, and the font of what is typed is
in the file.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pikepdf
from pikepdf import Array, Dictionary, Name

from workbook.typesetting.fonts.form_font import NAME, SIGNS, FormFont, character, form_font

_NON_SYMBOLIC = 32
_PRINT = 4
_CENTRED = 1


@dataclass(frozen=True)
class FormField:
    """A field: its name, unique in any file that it is joined into, and its tooltip.

    ``page`` counts from 1; ``rect`` is in points. ``size`` is that of the text, in points.
    ``item`` is the title of the part of the structure to which the field belongs.
    """

    name: str
    tooltip: str
    page: int
    rect: tuple[float, float, float, float]
    size: float
    item: str = ""


def with_fields(data: bytes, fields: Sequence[FormField]) -> bytes:
    """The PDF ``data`` with ``fields``, in the order in which the tab key goes through them."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        font = pdf.make_indirect(_font(pdf, form_font()))
        resources = Dictionary(Font=Dictionary({f"/{NAME}": font}))
        made = [pdf.make_indirect(_widget(pdf, one, resources)) for one in fields]
        pages: dict[int, list[pikepdf.Object]] = {}
        for one, widget in zip(fields, made):
            widget.P = pdf.pages[one.page - 1].obj
            pages.setdefault(one.page, []).append(widget)
        for number, widgets in pages.items():
            page = pdf.pages[number - 1].obj
            page.Annots = Array([*page.get("/Annots", []), *widgets])
        _join_structure(pdf, fields, made)
        pdf.Root.AcroForm = Dictionary(
            Fields=Array(made), DR=resources, DA=pikepdf.String(_appearance(0))
        )
        out = io.BytesIO()
        pdf.save(
            out,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
        )
    return out.getvalue()


def _join_structure(
    pdf: pikepdf.Pdf, fields: Sequence[FormField], widgets: Sequence[pikepdf.Object]
) -> None:
    """Make each field a part of its exercise, after the existing parts."""
    root = pdf.Root.StructTreeRoot
    items = dict(_titled(root.K))
    key = int(root.ParentTreeNextKey)
    nums: list[object] = list(root.ParentTree.Nums)
    for number, (one, widget) in enumerate(zip(fields, widgets), key):
        within = items.get(one.item, root.K)
        place = Dictionary(Type=Name.OBJR, Obj=widget, Pg=widget.P)
        part = pdf.make_indirect(Dictionary(S=Name.Form, P=within, K=place))
        within.K = Array([*_kids(within), part])
        widget.StructParent = number
        nums += [number, part]
    root.ParentTree.Nums = Array(nums)
    root.ParentTreeNextKey = key + len(fields)


def _titled(part: pikepdf.Object) -> Iterator[tuple[str, pikepdf.Object]]:
    """The parts that have a title, with it."""
    if "/T" in part:
        yield str(part.T), part
    for kid in _kids(part):
        if isinstance(kid, Dictionary) and "/S" in kid:
            yield from _titled(kid)


def _kids(part: pikepdf.Object) -> list[object]:
    kids = part.get("/K", Array())
    return list(kids) if isinstance(kids, Array) else [kids]


def _widget(pdf: pikepdf.Pdf, field: FormField, resources: Dictionary) -> Dictionary:
    left, bottom, right, top = field.rect
    width, height = right - left, top - bottom
    normal = pdf.make_stream(b"/Tx BMC\nEMC\n")
    normal.Type, normal.Subtype = Name.XObject, Name.Form
    normal.BBox = Array([0, 0, round(width, 2), round(height, 2)])
    normal.Resources = resources
    return Dictionary(
        Type=Name.Annot,
        Subtype=Name.Widget,
        FT=Name.Tx,
        T=pikepdf.String(field.name),
        TU=pikepdf.String(field.tooltip),
        Rect=Array([round(value, 2) for value in field.rect]),
        F=_PRINT,
        Q=_CENTRED,
        DA=pikepdf.String(_appearance(field.size)),
        MK=Dictionary(),
        AP=Dictionary(N=normal),
    )


def _appearance(size: float) -> str:
    return f"/{NAME} {size:g} Tf 0 0 0.55 rg"


def _font(pdf: pikepdf.Pdf, font: FormFont) -> Dictionary:
    file = pdf.make_stream(font.data)
    file.Length1 = len(font.data)
    differences: list[object] = []
    for code, sign in SIGNS.items():
        differences += [code, Name(f"/uni{ord(sign):04X}")]
    return Dictionary(
        Type=Name.Font,
        Subtype=Name.TrueType,
        BaseFont=Name(f"/{NAME}"),
        FirstChar=32,
        LastChar=255,
        Widths=Array(list(font.widths)),
        Encoding=Dictionary(
            Type=Name.Encoding,
            BaseEncoding=Name.WinAnsiEncoding,
            Differences=Array(differences),
        ),
        ToUnicode=pdf.make_stream(_to_unicode()),
        FontDescriptor=pdf.make_indirect(
            Dictionary(
                Type=Name.FontDescriptor,
                FontName=Name(f"/{NAME}"),
                Flags=_NON_SYMBOLIC,
                FontBBox=Array(list(font.box)),
                ItalicAngle=0,
                Ascent=font.ascent,
                Descent=font.descent,
                CapHeight=font.capitals,
                StemV=80,
                FontFile2=file,
            )
        ),
    )


def _to_unicode() -> bytes:
    pairs = [(code, character(code)) for code in range(32, 256) if character(code)]
    lines = []
    for start in range(0, len(pairs), 100):
        some = pairs[start : start + 100]
        lines.append(f"{len(some)} beginbfchar")
        lines += [f"<{code:02X}> <{ord(char):04X}>" for code, char in some]
        lines.append("endbfchar")
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CMapName /WorkbookForm def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<00> <FF>\nendcodespacerange\n"
        + "\n".join(lines)
        + "\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode()
