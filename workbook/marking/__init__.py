"""Judging answers: what is accepted, in words and as data; the mark sheet."""
