"""Key codes as they are typed.

In: ``qwz6ur``. Out: ``QWZ-6UR``, if the record has it.
"""

from __future__ import annotations

import re

from workbook.errors import WorkbookError
from workbook.inputs.messages import quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.studio_record.record import StudioRecord

_LOOKALIKES = str.maketrans({"0": "O", "1": "I"})


class UnknownCode(WorkbookError):
    """No sheet in the record has the key code."""


def known_code(record: StudioRecord, typed: str, suggest: bool = True) -> str:
    """The key code that is meant; case, spaces and the dash do not matter.

    Raises UnknownCode, with a suggestion if wanted, which takes a while.
    """
    letters = re.sub(r"[\W_]", "", typed).upper().translate(_LOOKALIKES)
    code = f"{letters[:3]}-{letters[3:]}"
    if record.knows(code):
        return code
    codes = [sheet.code for sheet in record.sheets()] if suggest else []
    hint = did_you_mean(code, codes) or "the key code is at the foot of every page"
    raise UnknownCode(f"no sheet in the record has the key code {quoted(typed)}; {hint}")
