"""Ink on paper: the SVG, PDF and PNG writers. They draw what they are told and decide nothing.

In comes a ``Drawing``, which ``checking`` looks over first. ``paints`` and ``lettering`` say how a
paint shows and how a label is set, ``plates`` what prints on which plate, alike for all writers.

- ``svg`` writes pages of ``svg_elements``, their paths by ``svg_paths``; ``png`` draws these.
- ``pdf`` writes ``pdf_content`` (``pdf_text`` for words), which refers to what it uses by
  ``pdf_names``; ``pdf_binding`` binds it with ``pdf_fonts``, ``pdf_resources`` and
  ``pdf_metadata``.
"""

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
