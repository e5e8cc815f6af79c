"""Ink on paper: the SVG, PDF and PNG writers. They draw what they are told and decide nothing."""

from livery.output.pdf import render_pdf, write_part, write_pdf
from livery.output.pdf_binding import Binder
from livery.output.pdf_content import Part
from livery.output.png import render_png, write_png
from livery.output.svg import render_svg, write_svg

__all__ = [
    "Binder",
    "Part",
    "render_pdf",
    "render_png",
    "render_svg",
    "write_part",
    "write_pdf",
    "write_png",
    "write_svg",
]
