"""The structure of a tagged PDF, walked with pikepdf: every rule that is broken, in a sentence.

The rules are those of ISO 14289-1 (PDF/UA-1) and ISO 32000-2, 14.7 and 14.8; clauses and rules are
from memory.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field

import pikepdf

STANDARD = frozenset(
    {
        *("Document", "Part", "Sect", "Div", "H1", "H2", "H3", "H4", "H5", "H6", "P", "Caption"),
        *("L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "THead", "TBody", "TFoot"),
        *("Span", "Link", "Figure", "Formula", "Form", "Note", "Reference", "Art", "BlockQuote"),
    }
)
"""Structure types of PDF 1.7 (ISO 32000-1, 14.8.4), from memory."""
_PAINT = frozenset(
    {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "Tj", "TJ", "'", '"'}
) | {"INLINE IMAGE"}


Place = tuple[int, int]
"""The object number of a page, or of a form that has a structure of its own."""


@dataclass
class Tagged:
    """What was found: faults, and the parts in reading order as (depth, role, alt, text)."""

    faults: list[str] = field(default_factory=list)
    parts: list[tuple[int, str, str]] = field(default_factory=list)

    def roles(self) -> list[str]:
        return [role for _, role, _ in self.parts]

    def alts(self, role: str = "Figure") -> list[str]:
        return [alt for _, found, alt in self.parts if found == role]


def tagged(data: bytes) -> Tagged:
    found = Tagged()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        _Walk(pdf, found).all()
    return found


class _Walk:
    def __init__(self, pdf: pikepdf.Pdf, found: Tagged):
        self.pdf, self.found = pdf, found
        self.pages = {page.objgen: number for number, page in enumerate(pdf.pages)}
        self.drawn: dict[Place, set[int]] = {}
        self.tree: dict[Place, pikepdf.Object] = {}
        """The pages and forms with content, which have keys in the parent tree."""
        self.used: set[tuple[Place, int]] = set()
        self.owners: dict[tuple[Place, int], Place] = {}
        self.objects: set[tuple[int, int]] = set()

    def tell(self, what: str) -> None:
        self.found.faults.append(what)

    def all(self) -> None:
        root, catalog = self.pdf.Root.get("/StructTreeRoot"), self.pdf.Root
        if root is None:
            self.tell("no structure tree (ISO 14289-1, 7.1)")
            return
        if not catalog.get("/MarkInfo", {}).get("/Marked"):
            self.tell("not marked as tagged (7.1)")
        if not str(catalog.get("/Lang", "")):
            self.tell("no language (7.2)")
        if not catalog.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
            self.tell("the title is not displayed (7.1)")
        if "/Metadata" not in catalog:
            self.tell("no metadata (7.1)")
        for number, page in enumerate(self.pdf.pages):
            self.content(number, page.obj)
            if "/Annots" in page and page.get("/Tabs") != pikepdf.Name.S:
                self.tell(f"page {number + 1}: tab order is not that of the structure (7.18.3)")
        self.element(root.K, 0, "")
        for place, drawn in self.drawn.items():
            for mcid in drawn - {m for p, m in self.used if p == place}:
                self.tell(f"object {place[0]}: content {mcid} is in no part (7.1)")
        self.parents(root)
        self.headings()

    def content(self, number: int, page: pikepdf.Object) -> None:
        """Find the numbers of the pieces of content of a page, or of a form that it draws."""
        if page.objgen in self.drawn:
            self.tell(f"page {number + 1}: a form with content is drawn twice (7.20)")
            return
        forms = page.get("/Resources", {}).get("/XObject", {})
        numbers: list[int] = []
        stack: list[str] = []
        for operands, operator in pikepdf.parse_content_stream(page):
            name = str(operator)
            if name in ("BDC", "BMC"):
                mcid = operands[1].get("/MCID") if name == "BDC" else None
                if mcid is not None:
                    numbers.append(int(mcid))
                    if "marked" in stack or "aside" in stack:
                        self.tell(f"page {number + 1}: content within content")
                aside = operands[0] == pikepdf.Name.Artifact
                stack.append("aside" if aside else "marked" if mcid is not None else "other")
            elif name == "EMC":
                if not stack:
                    self.tell(f"page {number + 1}: EMC without BDC")
                else:
                    stack.pop()
            elif name == "Do" and "/StructParents" in forms[str(operands[0])]:
                self.content(number, forms[str(operands[0])])
            elif name in _PAINT and not {"marked", "aside"} & set(stack):
                self.tell(f"page {number + 1}: {name} is neither content nor artifact (7.1)")
        if stack:
            self.tell(f"page {number + 1}: marked content is not ended (14.6)")
        if len(numbers) != len(set(numbers)):
            self.tell(f"page {number + 1}: a number of content twice (14.7.5)")
        if numbers and "/StructParents" not in page:
            self.tell(f"page {number + 1}: no StructParents (14.7.5.4)")
        self.drawn[page.objgen], self.tree[page.objgen] = set(numbers), page

    def element(self, element: pikepdf.Object, depth: int, above: str) -> None:
        role = str(element.S)[1:]
        alt = str(element.get("/Alt", ""))
        self.found.parts.append((depth, role, alt))
        if role not in STANDARD:
            self.tell(f"{role} is not a standard type (7.1)")
        if role == "Figure" and not alt:
            self.tell("a figure without Alt (7.3)")
        self.place(role, above)
        own = element.get("/Pg")
        kids = element.get("/K", pikepdf.Array())
        kids = list(kids) if isinstance(kids, pikepdf.Array) else [kids]
        if not kids and role not in ("TD", "TH"):
            self.tell(f"an empty {role}")
        if role == "Table":
            self.table(kids)
        for kid in kids:
            if isinstance(kid, int):
                self.use(own, kid, element)
            elif kid.get("/Type") == pikepdf.Name.MCR:
                if kid.get("/Pg", own).objgen not in self.pages:
                    self.tell("content of no page")
                self.use(kid.get("/Stm", kid.get("/Pg", own)), int(kid.MCID), element)
            elif kid.get("/Type") == pikepdf.Name.OBJR:
                self.objects.add(kid.Obj.objgen)
                if "/StructParent" not in kid.Obj:
                    self.tell("an annotation without StructParent (7.18.1)")
            else:
                if kid.P.objgen != element.objgen:
                    self.tell(f"a {str(kid.S)[1:]} with another parent (14.7.2)")
                self.element(kid, depth + 1, role)

    def place(self, role: str, above: str) -> None:
        """ISO 32000-2, annex L (from memory)."""
        wanted = {"TR": ("Table",), "TH": ("TR",), "TD": ("TR",), "LI": ("L",),
                  "Lbl": ("LI",), "LBody": ("LI",), "L": ("Sect", "LBody", "Document"),
                  "Document": ("", "Document", "Part")}.get(role)  # fmt: skip
        if wanted and above not in wanted:
            self.tell(f"a {role} within a {above or 'nothing'} (14.8.4)")
        if role in ("Document", "Part", "Sect", "Table", "L") and above in (
            "P",
            "Figure",
            "H1",
            "H2",
        ):
            self.tell(f"a {role} within a {above} (14.8.4)")

    def table(self, rows: list) -> None:
        """Rows have the same number of columns, and headings have a scope (7.5)."""
        widths, open_cells = [], []
        for row in rows:
            cells = row.get("/K", pikepdf.Array())
            cells = list(cells) if isinstance(cells, pikepdf.Array) else [cells]
            width = len(cells) + sum(1 for left in open_cells if left > 0)
            open_cells = [left - 1 for left in open_cells if left > 1]
            for cell in cells:
                attributes = cell.get("/A", {})
                if attributes and pikepdf.Name.Table != attributes.O:
                    self.tell("attributes of no table")
                if cell.S == pikepdf.Name.TH and not attributes.get("/Scope"):
                    self.tell("a heading cell without scope (7.5)")
                span = int(attributes.get("/RowSpan", 1)) if attributes else 1
                if span > 1:
                    open_cells.append(span - 1)
            widths.append(width)
        if len(set(widths)) > 1:
            self.tell(f"a table with rows of {sorted(set(widths))} columns (7.5)")

    def use(self, page: pikepdf.Object | None, mcid: int, element: pikepdf.Object) -> None:
        if page is None or page.objgen not in self.drawn:
            self.tell(f"content {mcid} of no page")
            return
        place = page.objgen, mcid
        if place in self.used:
            self.tell(f"object {page.objgen[0]}: content {mcid} is in two parts")
        if mcid not in self.drawn[page.objgen]:
            self.tell(f"object {page.objgen[0]}: content {mcid} is not there")
        self.used.add(place)
        self.owners[place] = element.objgen

    def parents(self, root: pikepdf.Object) -> None:
        """The parent tree has the part of each piece of content (14.7.5.4)."""
        tree = pikepdf.NumberTree(root.ParentTree)
        keys = set()
        for place, page in self.tree.items():
            if "/StructParents" in page:
                key = int(page.StructParents)
                if key in keys or key not in tree:
                    self.tell(f"object {place[0]}: its key is not in the parent tree, or twice")
                    continue
                keys.add(key)
                listed = tree[key]
                owners = {m: o for (p, m), o in self.owners.items() if p == place}
                for mcid in self.drawn[place]:
                    if mcid >= len(listed) or listed[mcid].objgen != owners.get(mcid):
                        self.tell(f"object {place[0]}: content {mcid} has another parent")
        for number, page in enumerate(self.pdf.pages):
            for annotation in page.get("/Annots", ()):
                key = int(annotation.get("/StructParent", -1))
                if key in keys or key not in tree:
                    self.tell(f"page {number + 1}: an annotation is in no part (7.18.1)")
                    continue
                keys.add(key)
                if annotation.objgen not in self.objects:
                    self.tell(f"page {number + 1}: an annotation is in no part")
        if set(dict(tree.items())) - keys:
            self.tell("the parent tree has keys of no page")
        if keys and int(root.get("/ParentTreeNextKey", 0)) <= max(keys):
            self.tell("the next key of the parent tree is taken")

    def headings(self) -> None:
        last = 0
        for role in self.found.roles():
            if role in ("H1", "H2", "H3", "H4"):
                level = int(role[1])
                if level > last + 1:
                    self.tell(f"{role} after H{last} (7.4.2)")
                last = level
