"""Requests of the tests: answers from the built-in table of fingerings."""

from functools import partial

from workbook.exercises import model
from workbook.fingering.conventions import traditional

Request = partial(model.Request, fingering=traditional())
