"""Makes the tables of families in the README: python -m tests.family_tables"""

import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.family import Family
from workbook.exercises.settings import Setting
from workbook.studio.templates import available, read_template

README = Path(__file__).parents[1] / "README.md"
_BY = {"hand": "`hands`", "clef": "`clefs`", "": ""}


def with_tables(text: str) -> str:
    """The README's text with new tables between their marks."""
    made = {"families": families(), "settings": settings(), "asks": asks()}
    for name, table in made.items():
        marks = re.compile(rf"(<!-- {name} -->\n).*?(\n<!-- end -->)", re.DOTALL)
        text, count = marks.subn(lambda m, table=table: m[1] + table + m[2], text)
        if count != 1:
            raise ValueError(f"the README has no <!-- {name} --> … <!-- end -->")
    return text


def families() -> str:
    rows = [
        (f"`{family.name}`", _BY[family.by], _listed(family.asks), _settings(family))
        for family in FAMILIES.values()
    ]
    return _table(("family", "has", "asks", "settings"), rows)


def settings() -> str:
    """The settings that several families have."""
    rows = [(f"`{name}`", values, about) for name, values, about in sorted(_shared())]
    return _table(("setting", "values", "what it is"), rows)


def asks() -> str:
    asked = dict.fromkeys(name for family in FAMILIES.values() for name in family.asks)
    return _table(("asks", "what"), [(f"`{name}`", KINDS[name].about) for name in sorted(asked)])


def keys_of_levels() -> dict[str, int]:
    """How many keys each template of a level has."""
    return {
        name: len(read_template(path).keys)
        for name, path in available().items()
        if name.startswith("level-")
    }


def _told(name: str, setting: Setting) -> tuple[str, str, str]:
    """A setting's name, values and meaning, whatever its default."""
    return name, ", ".join(map(_said, setting.values)), setting.about


def _shared() -> set[tuple[str, str, str]]:
    count = Counter(
        _told(*item) for family in FAMILIES.values() for item in family.settings.items()
    )
    return {told for told, families in count.items() if told[2] and families > 1}


def _settings(family: Family) -> str:
    shared, told = _shared(), []
    for name, setting in family.settings.items():
        if _told(name, setting) in shared:
            told.append(f"`{name}` **{_said(setting.default)}** …")
            continue
        values = [
            f"**{_said(value)}**" if value == setting.default else _said(value)
            for value in setting.values
        ]
        told.append(f"`{name}` {', '.join(values)}" + f" ({setting.about})" * bool(setting.about))
    return ". ".join(filter(None, ["; ".join(told), family.about]))


def _said(value: object) -> str:
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return f'"{text}"' if " " in text else text


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _table(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join(re.sub(" +", " ", f"| {' | '.join(line)} |") for line in lines)


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text("utf-8")), "utf-8")
