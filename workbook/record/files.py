"""Names of the files that a build writes."""

WORKBOOK, ANSWER_KEY, ANSWERS = "workbook.pdf", "answer-key.pdf", "answers.pdf"
FORM = "workbook-form.pdf"
"""The workbook with a field at every box, to fill in on a screen."""
KEY = "key.json"
ALL_WORKBOOKS, ALL_KEYS = "all-workbooks.pdf", "all-answer-keys.pdf"
EXAMINERS_SHEET = "examiners-sheet.pdf"
MARK_TABLE, MARK_SHEET = "mark-sheet.csv", "mark-sheet.pdf"
IN_EACH_FOLDER = (WORKBOOK, ANSWER_KEY, ANSWERS, KEY)
NAMES = frozenset(
    {*IN_EACH_FOLDER, FORM, EXAMINERS_SHEET, ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET}
)

_DOCUMENTS = {ANSWER_KEY: " (answer key)", ANSWERS: " (answers)"}


def document_title(file: str, title: str, student: str) -> str:
    """The title that a workbook's PDF called ``file`` has among its properties."""
    return f"{title}: {student}{_DOCUMENTS.get(file, '')}"
