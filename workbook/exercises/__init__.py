"""What is asked: the data of an exercise, and what the families of exercises share.

In: a ``Request`` and a seeded random source. Out: an ``Exercise``, pure data.
"""
