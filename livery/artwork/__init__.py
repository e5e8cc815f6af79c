"""Decals: SVG in, exact paths by ink out; variable text turned into outlines."""

from livery.artwork.decals import DecalMaker
from livery.artwork.fonts import font_bytes, font_heights, measure_text, outline_text
from livery.artwork.outlines import read_outline
from livery.artwork.reader import read_artwork

__all__ = [
    "DecalMaker",
    "font_bytes",
    "font_heights",
    "measure_text",
    "outline_text",
    "read_artwork",
    "read_outline",
]
