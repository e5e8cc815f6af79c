"""The verdicts as a picture: ink by pair, split swatches, numbers, words and shapes.

Every verdict is told three times, by a word, a shape and a number, and never by colour alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.artwork.typesetting import wrap_text
from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    Layer,
    LayerKind,
    Page,
    Shape,
)
from livery.geometry import Path
from livery.match.marks import (
    GROUND,
    LINE,
    PAGE_MM,
    PAPER,
    WORDS,
    count_verdicts,
    draw_mark,
    draw_swatch,
    fit_text,
    text_width,
    write_text,
)
from livery.match.model import Comparison
from livery.scheme.model import Palette

# Workshop choice:
_MARGIN, _HEADER, _INK_COLUMN, _ROW, _COLUMN = 6.0, 9.0, 26.0, 25.0, 41.0
_TITLE, _LINE, _LEAST = 13.0, 3.6, 2 * _COLUMN  # the heading, its further lines, its least width
_COLUMNS = 6  # pairs side by side before a new block starts
_SWATCH = 11.0
_KEY = (
    "Each swatch shows the first named on the left, the second on the right. "
    "CIEDE2000 with its 95 % uncertainty, its tolerance, and the chance of being inside it."
)

Pair = tuple[str, str]


def match_drawing(comparisons: Sequence[Comparison], palette: Palette) -> Drawing:
    """Draw every comparison in a table of inks and pairs.

    Args:
        comparisons: as ``compare`` gives them.
        palette: names of the inks.

    Returns:
        Pages in mm as large as what they show, at most A4 landscape; one page that says so when
        there is nothing to show.
    """
    cells = {(one.ink, (one.a, one.b)): one for one in comparisons}
    inks = list(dict.fromkeys(one.ink for one in comparisons))
    pairs = list(dict.fromkeys((one.a, one.b) for one in comparisons))
    names = palette.names
    blocks = [pairs[at : at + _COLUMNS] for at in range(0, len(pairs), _COLUMNS)]
    per_page = int((PAGE_MM[1] - 2 * _MARGIN - _TITLE - 2 * _LINE - _HEADER) // _ROW)
    pages = [
        _page(block, inks[at : at + per_page], cells, names, comparisons)
        for block in blocks
        for at in range(0, len(inks), per_page)
    ]
    return Drawing("Colour match", tuple(pages) or (_empty_page(),))


def _page(
    pairs: Sequence[Pair],
    inks: Sequence[str],
    cells: Mapping[tuple[str, Pair], Comparison],
    names: Mapping[str, str],
    comparisons: Sequence[Comparison],
) -> Page:
    width = max(_LEAST, _INK_COLUMN + len(pairs) * _COLUMN)
    lines = wrap_text(_KEY, 8, width)
    high = _TITLE + len(lines) * _LINE + _HEADER + len(inks) * _ROW
    top = _MARGIN + _HEADER + len(inks) * _ROW
    elements = [*_heading(comparisons, lines, width, _MARGIN + high)]
    for column, (a, b) in enumerate(pairs):
        x = _MARGIN + _INK_COLUMN + column * _COLUMN
        elements += _column_head(a, b, x, top)
    for row, ink in enumerate(inks):
        y = top - _HEADER - (row + 1) * _ROW
        name = fit_text(names.get(ink, ink), _INK_COLUMN, 9)
        elements.append(write_text(name, _MARGIN, y + _ROW / 2 - 1, 9, bold=True))
        for column, pair in enumerate(pairs):
            x = _MARGIN + _INK_COLUMN + column * _COLUMN
            elements += _cell(cells.get((ink, pair)), x, y)
    return _sheet(elements, (width + 2 * _MARGIN, high + 2 * _MARGIN))


def _sheet(elements: Sequence[Element], size_mm: tuple[float, float]) -> Page:
    ground = Shape(Path.rectangle(0, 0, *size_mm), fill=PAPER)
    layer = Layer("verdicts", LayerKind.INFORMATION, (ground, *elements))
    return Page(*size_mm, (layer,), title="Colour match")


def _empty_page() -> Page:
    words = "Nothing to compare: no sample shows an ink of the palette on two items or with an aim."
    size_mm = (text_width(words, 10) + 2 * _MARGIN, 2 * _MARGIN + _LINE)
    return _sheet([write_text(words, _MARGIN, _MARGIN, 10)], size_mm)


def _heading(
    comparisons: Sequence[Comparison], lines: Sequence[str], width: float, top: float
) -> list[Element]:
    """The title, the count of each verdict, and how to read a cell."""
    counts = count_verdicts(comparisons)
    return [
        write_text("Colour match", _MARGIN, top - 5, 15, bold=True),
        write_text(counts, _MARGIN + width, top - 5, 11, anchor=Anchor.END),
        *(write_text(line, _MARGIN, top - 11 - n * _LINE, 8) for n, line in enumerate(lines)),
    ]


def _column_head(a: str, b: str, x: float, top: float) -> list[Element]:
    return [
        write_text(fit_text(a, _COLUMN - 3, 8), x + 2, top - 3, 8, bold=True),
        write_text(fit_text(b, _COLUMN - 3, 8), x + 2, top - 7, 8, bold=True),
    ]


def _cell(one: Comparison | None, x: float, y: float) -> list[Element]:
    box = Shape(Path.rectangle(x, y, x + _COLUMN, y + _ROW), stroke=LINE)
    if one is None:
        return [box, write_text("not seen", x + _COLUMN / 2, y + _ROW / 2, 7, anchor=Anchor.MIDDLE)]
    ground = Shape(Path.rectangle(x, y, x + _COLUMN, y + _ROW), fill=GROUND, stroke=LINE)
    middle = y + _ROW - 7.5
    left = x + 3 + _SWATCH + 3
    return [
        ground,
        *draw_swatch(one, x + 3, y + _ROW - 3 - _SWATCH, _SWATCH),
        *draw_mark(one.verdict, left + 2.2, middle + 1.3),
        write_text(WORDS[one.verdict], left + 6, middle, 9, bold=True),
        write_text(_chance(one.p_inside), left, middle - 6, 7),
        write_text(f"{one.de00:.2f} ± {one.u95:.2f}", x + 3, y + 6.5, 9),
        write_text(f"tolerance {one.tolerance:g}", x + 3, y + 2.5, 7),
    ]


def _chance(p_inside: float) -> str:
    """The probability of being inside tolerance, never rounded to certainty."""
    if p_inside > 0.99:
        return "inside: over 99 %"
    return "inside: under 1 %" if p_inside < 0.01 else f"inside: {p_inside * 100:.0f} %"
