"""The fonts of the page text: the shipped files, and what stands in for them.

``faces`` knows which font has a character; ``system`` finds the fonts of this machine;
``convert`` made the ``.ttf`` files beside it.
"""
