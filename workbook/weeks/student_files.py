"""Names of files, one for each student.

In: students, and what distinguishes two files of one student. Out: names that differ on every disk.
"""

from __future__ import annotations

from collections.abc import Iterable

from workbook.studio.folders import safe_name


def student_files(students: Iterable[tuple[str, str]], taken: Iterable[str]) -> list[str]:
    """A PDF name for each student, or for student and level where one is ``taken``."""
    found: list[str] = []
    used = {name.casefold() for name in taken}
    for student, level in students:
        name = f"{safe_name(student)}.pdf"
        if name.casefold() in used:
            name = f"{safe_name(f'{student} {level}', f'-{len(used)}')}.pdf"
        used.add(name.casefold())
        found.append(name)
    return found
