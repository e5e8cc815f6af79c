"""What the match room's drawings share: paints, type, and the shapes that tell a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.artwork.shaping import measure_text
from livery.drawing import A4_MM, Anchor, Element, Label, LabPaint, Shape, Stroke
from livery.errors import ArtworkError
from livery.geometry import Path
from livery.match.model import Comparison, Verdict, tally_verdicts
from livery.units import pt_to_mm

INKED = LabPaint((15.0, 0.0, 0.0))
GREY = LabPaint((70.0, 0.0, 0.0))
GROUND = LabPaint((97.0, 0.0, 0.0))
PAPER = LabPaint((100.0, 0.0, 0.0))
LINE = Stroke(GREY, 0.2)
PAGE_MM = A4_MM[::-1]
WORDS = {Verdict.PASS: "pass", Verdict.FAIL: "FAIL", Verdict.RESHOOT: "re-shoot"}

_LETTER_WIDTH = 0.6  # workshop choice: of the size, a wide letter's advance


@dataclass(frozen=True, slots=True)
class Box:
    """A place on the page by its lower left corner, mm."""

    x: float
    y: float
    width: float
    height: float


def count_verdicts(comparisons: Sequence[Comparison]) -> str:
    """``4 pass, 1 fail``: how many of each verdict there are."""
    counts = tally_verdicts(comparisons)
    return ", ".join(f"{number} {verdict}" for verdict, number in counts.items() if number)


def draw_mark(verdict: Verdict, x: float, y: float, scale: float = 1.0) -> list[Element]:
    """A filled disc passes, a cross fails, an open triangle asks again; mm."""
    if verdict is Verdict.PASS:
        return [Shape(Path.circle(x, y, 2.0 * scale), fill=INKED)]
    line = Stroke(INKED, 0.8 * scale)
    if verdict is Verdict.FAIL:
        arms = ((-2.0, -2.0, 2.0, 2.0), (-2.0, 2.0, 2.0, -2.0))
        ends = [[value * scale for value in arm] for arm in arms]
        return [
            Shape(Path.polyline([(x + p, y + q), (x + r, y + s)], closed=False), stroke=line)
            for p, q, r, s in ends
        ]
    corners = [(-2.1, -1.7), (2.1, -1.7), (0.0, 2.0)]
    outline = Path.polyline([(x + p * scale, y + q * scale) for p, q in corners])
    return [Shape(outline, fill=PAPER, stroke=Stroke(INKED, 0.6 * scale))]


def draw_swatch(one: Comparison, x: float, y: float, side: float) -> list[Element]:
    """Two colours touching in a square, mm, without a line between; nothing where one is unsaid."""
    if one.lab_a is None or one.lab_b is None:
        return []
    half, right, top = x + side / 2, x + side, y + side
    return [
        Shape(Path.rectangle(x, y, half, top), fill=LabPaint(one.lab_a)),
        Shape(Path.rectangle(half, y, right, top), fill=LabPaint(one.lab_b)),
        Shape(Path.rectangle(x, y, right, top), stroke=LINE),
    ]


def fit_text(text: str, width_mm: float, size_pt: float) -> str:
    """Shorten a name that its place cannot hold."""
    most = max(3, int(width_mm / (_LETTER_WIDTH * pt_to_mm(size_pt))))
    return text if len(text) <= most else f"{text[: most - 1]}…"


def text_width(text: str, size_pt: float) -> float:
    """Advance of a line of type, mm; estimated where the font lacks one of its characters."""
    size_mm = pt_to_mm(size_pt)
    try:
        return measure_text(text, "text", size_mm)
    except ArtworkError:
        return _LETTER_WIDTH * size_mm * len(text)


def write_text(
    text: str,
    x: float,
    y: float,
    size_pt: float,
    *,
    bold: bool = False,
    anchor: Anchor = Anchor.START,
    rotation_deg: float = 0.0,
) -> Label:
    """One line of dark type."""
    font = "text-bold" if bold else "text"
    return Label(text, x, y, size_pt, INKED, anchor, rotation_deg, font)
