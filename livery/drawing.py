"""The one drawing model. Layout, sheets, cards and proofs describe pages in it; writers draw it.

Pages are in mm, origin bottom-left, y up, as in PDF. Paints name inks, never screen colours:
each writer decides how its format shows an ink.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import SupportsFloat

from livery.geometry import Affine, Path

LabColour = tuple[float, float, float]

A4_MM, A3_MM, A2_MM, A1_MM = (210.0, 297.0), (297.0, 420.0), (420.0, 594.0), (594.0, 841.0)
"""Pages upright, ISO 216. [source: from-memory]."""


def lab_colour(values: Iterable[SupportsFloat]) -> LabColour:
    """L*, a* and b*, numbers of any kind, as a colour."""
    lightness, a, b = map(float, values)
    return lightness, a, b


@dataclass(frozen=True, slots=True)
class Spot:
    """An ink that prints on its own plate.

    Attributes:
        name: the plate's name.
        lab: CIELAB D50/2° of the solid on its stock, for the alternate colour space.
        tint: 0 (none) to 1 (solid).
    """

    name: str
    lab: LabColour
    tint: float = 1.0


@dataclass(frozen=True, slots=True)
class Process:
    """A build of the four process inks, each 0 to 1."""

    c: float
    m: float
    y: float
    k: float


@dataclass(frozen=True, slots=True)
class Registration:
    """The registration colour: every plate at once."""

    tint: float = 1.0


@dataclass(frozen=True, slots=True)
class LabPaint:
    """A device-independent colour, CIELAB D50/2°: for proofs and cards, never for plates."""

    lab: LabColour


Paint = Spot | Process | Registration | LabPaint
BLACK = Process(0.0, 0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A drawn line: width and dash pattern in mm; butt caps, mitre joins unless ``round``."""

    paint: Paint
    width_mm: float
    dash_mm: tuple[float, ...] = ()
    round: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A path, filled, stroked or both; ``overprint`` leaves what lies beneath on its plate."""

    path: Path
    fill: Paint | None = None
    stroke: Stroke | None = None
    overprint: bool = False
    name: str = ""


class Anchor(StrEnum):
    """Which end of a line of text stands at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text on its baseline at (x_mm, y_mm).

    Attributes:
        font: key of a packaged font (``livery.artwork.fonts``).
    """

    text: str
    x_mm: float
    y_mm: float
    size_pt: float
    paint: Paint = BLACK
    anchor: Anchor = Anchor.START
    rotation_deg: float = 0.0
    font: str = "text"


@dataclass(frozen=True, slots=True)
class Use:
    """A symbol drawn once more, under a map from the symbol's frame to the page.

    ``attributes`` become ``data-*`` in SVG (decal, order, copy).
    """

    symbol: str
    affine: Affine
    attributes: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A raster picture placed in a box; ``png`` is encoded bytes, never a path."""

    png: bytes
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    alt: str = ""


Element = Shape | Label | Use | Picture


class LayerKind(StrEnum):
    """What a layer is for. The steps after the inks follow ISO 19593-1's groups.

    Paint the steps after the inks and overprinting, white too: what is painted later without
    overprint knocks out what lies beneath. The order of the drawing is not the order of printing.
    """

    INK = "ink"
    WHITE = "white"
    VARNISH = "varnish"
    KISS_CUT = "kiss-cut"
    THROUGH_CUT = "through-cut"
    MARKS = "marks"
    INFORMATION = "information"


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Elements that belong together, painted in order.

    Attributes:
        plates: true where the paints are plates of one print: PDF paints in order, so a later
            shape without overprint knocks earlier ones out of their plates; SVG gives each plate
            its own group, in which later shapes of other plates are white, no ink, so that each
            group shows what its plate prints. Symbols used in such a layer may mix inks freely.
    """

    name: str
    kind: LayerKind
    elements: tuple[Element, ...]
    plates: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Symbol:
    """Elements stored once and used many times; a form XObject in PDF, a symbol in SVG."""

    key: str
    elements: tuple[Element, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """One page.

    Attributes:
        trim_mm, bleed_mm: boxes (x0, y0, x1, y1) within the page; None means the whole page.
    """

    width_mm: float
    height_mm: float
    layers: tuple[Layer, ...]
    title: str = ""
    trim_mm: tuple[float, float, float, float] | None = None
    bleed_mm: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A document of one or more pages sharing symbols.

    Attributes:
        title: shown as the document's title.
        date: ISO 8601 date the user gave, written into metadata; "" writes a fixed epoch.
        output_condition: the press condition's name, a packaged one's where there is no
            ``output_profile``; "" for none.
        output_profile: the printer's own ICC profile for it; empty for a packaged one.
        language: BCP 47 tag of the words on its pages.
    """

    title: str
    pages: tuple[Page, ...]
    symbols: tuple[Symbol, ...] = ()
    date: str = ""
    output_condition: str = ""
    output_profile: bytes = field(default=b"", repr=False)
    language: str = "en-GB"
