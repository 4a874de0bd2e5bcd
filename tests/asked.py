"""Requests of the tests: answers from the table of fingerings that comes along."""

from functools import partial

from workbook.exercises import model
from workbook.fingering.conventions import traditional

Request = partial(model.Request, fingering=traditional())
