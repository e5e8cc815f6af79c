"""A drawing's pages as files."""

from __future__ import annotations

from livery.drawing import Drawing
from livery.output import render_svg


def svg_files(drawing: Drawing, stem: str) -> tuple[tuple[str, bytes], ...]:
    """Each page as SVG: ``stem.svg``, then ``stem-2.svg`` and so on."""
    return tuple(
        (f"{stem}.svg" if number == 0 else f"{stem}-{number + 1}.svg", _page(drawing, number))
        for number in range(len(drawing.pages))
    )


def _page(drawing: Drawing, number: int) -> bytes:
    return render_svg(drawing, number).encode("utf-8")
