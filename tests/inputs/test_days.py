"""Days in words, the same under every locale."""

from datetime import date

from workbook.inputs.days import day_and_month, in_words


def test_words():
    assert day_and_month(date(2027, 1, 9)) == "9 January"
    assert in_words(date(2027, 12, 31)) == "31 December 2027"
