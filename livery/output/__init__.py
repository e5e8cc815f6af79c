"""Ink on paper: the SVG, PDF and PNG writers. They draw what they are told and decide nothing."""

from livery.output.pdf import render_pdf, write_pdf
from livery.output.png import picture_svg, render_png, write_png
from livery.output.svg import render_svg, write_svg

__all__ = [
    "picture_svg",
    "render_pdf",
    "render_png",
    "render_svg",
    "write_pdf",
    "write_png",
    "write_svg",
]
