"""The faces of the page text: the shipped files, and what stands in for them.

``convert`` makes the ``.ttf`` files beside it; ``system`` finds fonts installed
on this machine; ``direction`` puts right-to-left text in the order it is drawn.
"""
