"""SVG twins of pages: millimetres, one group per layer, plates as groups, words on everything.

No renderer honours press colours in a fill, so shapes are painted sRGB and the ink's name, Lab
and CMYK stand in ``data-*`` attributes. Plates and overprinting shapes multiply, as inks do.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path as FilePath
from xml.etree import ElementTree

from livery.drawing import Drawing, Layer, Page, Symbol
from livery.output.checking import check_drawing
from livery.output.lettering import without_controls
from livery.output.plates import Contents, Separator
from livery.output.svg_elements import Composer, View, number
from livery.writing import write_whole


def render_svg(drawing: Drawing, page: int = 0) -> str:
    """One page as an SVG document that refers to nothing outside itself.

    Args:
        drawing: the document.
        page: index of the page, from 0.

    Raises:
        ValueError: the drawing cannot be drawn truthfully (see ``check_drawing``).
        IndexError: no such page.
    """
    symbols = check_drawing(drawing)
    return _render(drawing, drawing.pages[page], Separator(symbols))


def svg_in_pixels(
    drawing: Drawing, page: int, symbols: tuple[Symbol, ...], size_px: tuple[int, int]
) -> str:
    """As ``render_svg``, of a drawing already checked, so many pixels large instead of mm."""
    return _render(drawing, drawing.pages[page], Separator(symbols), size_px)


def write_svg(drawing: Drawing, path: FilePath) -> tuple[FilePath, ...]:
    """Write a drawing's pages.

    Args:
        drawing: the document.
        path: a file name ending in ``.svg`` (later pages add ``-2``, ``-3``...), or a folder
            that receives ``page-1.svg``, ``page-2.svg``...

    Returns:
        The files written, one a page.

    Raises:
        ValueError: the drawing cannot be drawn truthfully.
        OutputError: the place cannot be written.
    """
    symbols = check_drawing(drawing)
    names = page_files(path, len(drawing.pages), ".svg")
    separator = Separator(symbols)
    for name, page in zip(names, drawing.pages, strict=True):
        write_whole(name, _render(drawing, page, separator))
    return names


def page_files(path: FilePath, pages: int, suffix: str) -> tuple[FilePath, ...]:
    """A file for each page: beside a file name, or inside a folder."""
    if path.suffix.lower() != suffix:
        return tuple(path / f"page-{n}{suffix}" for n in range(1, pages + 1))
    later = (path.with_name(f"{path.stem}-{n}{path.suffix}") for n in range(2, pages + 1))
    return (path, *later)[:pages]


def _render(
    drawing: Drawing,
    page: Page,
    separator: Separator,
    size_px: tuple[int, int] | None = None,
) -> str:
    import svgwrite  # type: ignore[import-untyped]

    width, height = number(page.width_mm), number(page.height_mm)
    size = (f"{width}mm", f"{height}mm") if size_px is None else size_px
    document = svgwrite.Drawing(size=size, viewBox=f"0 0 {width} {height}", debug=False)
    if size_px is not None:
        document["preserveAspectRatio"] = "none"
    document["xml:lang"] = drawing.language
    title = " – ".join(without_controls(t) for t in (drawing.title, page.title) if t)
    document.set_desc(title=title)
    for key, box in (("data-trim", page.trim_mm), ("data-bleed", page.bleed_mm)):
        if box is not None:
            document[key] = " ".join(number(value) for value in box)
    composer = Composer(separator)
    flipped = document.g(transform=f"matrix(1 0 0 -1 0 {height})", **{"stroke-miterlimit": "10"})
    for layer in page.layers:
        flipped.add(_layer(composer, layer))
    for element in composer.definitions:
        document.defs.add(element)
    document.add(flipped)
    return ElementTree.tostring(document.get_xml(), encoding="unicode") + "\n"


def _layer(composer: Composer, layer: Layer) -> object:
    contents = composer.separator.take_apart(layer.elements)
    group = composer.group(layer.name)
    group["data-kind"] = layer.kind.value
    group["data-layer"] = without_controls(layer.name)
    if layer.plates:
        for plate in contents.plates:
            group.add(_plate(composer, layer.name, contents, plate))
        return group
    overprints = bool(contents.parts) and not contents.knocks
    if overprints:
        group["style"] = "mix-blend-mode:multiply"
    view = View(blends=not overprints)
    _add_all(group, [composer.compose(element, view) for element in layer.elements])
    return group


def _plate(composer: Composer, layer: str, contents: Contents, plate: str) -> object:
    group = composer.group(f"{layer}-{plate or 'pictures'}")
    group["data-plate"] = without_controls(plate)
    group["style"] = "mix-blend-mode:multiply"
    _add_all(group, composer.compose_plate(contents, plate))
    return group


def _add_all(group: object, elements: Sequence[object]) -> None:
    for element in elements:
        group.add(element)  # type: ignore[attr-defined]
