"""Decals: SVG in, exact paths by ink out; variable text turned into outlines.

``decals`` makes a season's decals, ``reader`` the ``Artwork`` they come from (``model``):

1. ``document`` opens the file and lets nothing else in; ``frame`` takes its units to mm;
2. ``styles`` tells what each element inherits, in ``values`` as SVG writes them;
3. ``pathdata`` and ``shapes`` make exact paths, ``strokes`` the areas of strokes; ``tangles``
   refuses what would take for ever, and ``cutting`` leaves off what the cut takes away;
4. ``lettering`` sets an order's words into their place: ``directions`` orders a line's stretches,
   ``shaping`` outlines them from the packaged ``fonts``.

``outlines`` reads outlines of kit with the same care; ``typesetting`` sets type on our own pages.
"""

from livery.artwork.decals import DecalMaker
from livery.artwork.outlines import read_outline
from livery.artwork.reader import read_artwork

__all__ = [
    "DecalMaker",
    "read_artwork",
    "read_outline",
]
