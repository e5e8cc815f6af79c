"""Decals: SVG in, exact paths by ink out; variable text turned into outlines."""

from livery.artwork.decals import DecalMaker
from livery.artwork.outlines import read_outline
from livery.artwork.reader import read_artwork

__all__ = [
    "DecalMaker",
    "read_artwork",
    "read_outline",
]
