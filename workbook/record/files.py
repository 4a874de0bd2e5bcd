"""Names of the files that a build writes."""

WORKBOOK, ANSWER_KEY, ANSWERS = "workbook.pdf", "answer-key.pdf", "answers.pdf"
KEY = "key.json"
ALL_WORKBOOKS, ALL_KEYS = "all-workbooks.pdf", "all-answer-keys.pdf"
MARK_TABLE, MARK_SHEET = "mark-sheet.csv", "mark-sheet.pdf"
IN_EACH_FOLDER = (WORKBOOK, ANSWER_KEY, ANSWERS, KEY)
NAMES = frozenset({*IN_EACH_FOLDER, ALL_WORKBOOKS, ALL_KEYS, MARK_TABLE, MARK_SHEET})
