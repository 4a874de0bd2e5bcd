"""What spreadsheet programs take for a formula.

What begins one, "=", "+", "-" and "@", also full-width, is in the OWASP page "CSV Injection",
from memory.
"""

FORMULA = "=+-@\uff1d\uff0b\uff0d\uff20\u2212\ufe66"


def starts(row: list[str]) -> set[str]:
    """What the cells begin with; programs may drop spaces and quotation marks there."""
    return {cell.strip(' "\t')[:1] for cell in row} - {""}
