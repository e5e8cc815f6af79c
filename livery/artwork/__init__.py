"""Decals: SVG in, exact paths by ink out; variable text turned into outlines."""

from livery.artwork.fonts import font_bytes, font_heights, measure_text, outline_text

__all__ = ["font_bytes", "font_heights", "measure_text", "outline_text"]
