"""The fonts of the page text: the shipped files, and their substitutes.

``faces`` knows which font has a character; ``system`` finds the fonts of this machine;
``convert`` made the ``.ttf`` files beside it.
"""
