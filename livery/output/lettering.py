"""Labels as both writers set them: one outline, or characters each at its place."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from livery.artwork.fonts import missing_characters
from livery.artwork.shaping import outline_text, place_characters
from livery.drawing import Anchor, Label
from livery.geometry import Affine, Path
from livery.units import pt_to_mm

_FALLBACKS = ("text-bold", "text")
_OUTLINE_ONLY = ("display",)  # CFF outlines: PDF carries only our TrueType fonts as fonts
_STAND_IN = "?"
_JOINERS = "\u200c\u200d"  # shape letters; other unseen characters could disguise a name


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A label ready to be set; kept, so that labels with the same words share it.

    Attributes:
        text: the words as they can be drawn, composed, with stand-ins for what no font holds.
        places_mm: x of each character from the anchor; None where it must be outlined.
        start_mm: x of the line's start from the anchor, 0 or negative.
    """

    text: str
    font: str
    size_mm: float
    places_mm: tuple[float, ...] | None
    start_mm: float


def set_line(label: Label) -> Line:
    """Choose the font, the characters and their places for a label."""
    return _set_words(label.text, label.font, label.size_pt, label.anchor)


@lru_cache(maxsize=4096)
def _set_words(words: str, preferred: str, size_pt: float, anchor: Anchor) -> Line:
    text = _cleaned(words)
    font = _font_for(text, preferred)
    absent = set(missing_characters(text, font))
    text = "".join(_STAND_IN if c in absent else c for c in text)
    size_mm = pt_to_mm(size_pt)
    placed = place_characters(text, font, size_mm)
    advance = placed[1] if placed else outline_text(text, font, size_mm)[1]
    shift = {Anchor.START: 0.0, Anchor.MIDDLE: -0.5, Anchor.END: -1.0}[anchor] * advance
    if placed is None:
        return Line(text, font, size_mm, None, shift)
    return Line(text, font, size_mm, tuple(x + shift for x in placed[0]), shift)


def label_frame(label: Label) -> Affine:
    """From a label's own frame (anchor at the origin, baseline along x) to its page."""
    place = Affine.translation(label.x_mm, label.y_mm)
    return place @ Affine.rotation(label.rotation_deg) if label.rotation_deg else place


def line_outline(line: Line) -> Path:
    """The line's outlines in the label's own frame."""
    if line.places_mm is None:
        path = outline_text(line.text, line.font, line.size_mm)[0]
        return path.transformed(Affine.translation(line.start_mm, 0.0))
    verbs, points = [], [np.empty((0, 2))]
    for character, x in zip(line.text, line.places_mm, strict=True):
        glyph = _glyph(character, line.font)
        verbs.append(glyph.verbs)
        points.append(glyph.points * line.size_mm + (x, 0.0))
    return Path("".join(verbs), np.concatenate(points))


def label_outline(label: Label) -> Path:
    """A label's outlines on its page."""
    return line_outline(set_line(label)).transformed(label_frame(label))


def glyph_outline(character: str, font: str) -> Path:
    """A character's outline at a size of 1 mm, baseline along x."""
    return _glyph(character, font)


def must_outline(line: Line) -> bool:
    """Whether a PDF cannot carry the line as text in an embedded font."""
    return line.places_mm is None or line.font in _OUTLINE_ONLY


@lru_cache(maxsize=4096)
def without_controls(text: str) -> str:
    """Text that XML and PDF strings can both hold: no control or unpaired characters."""
    return "".join(
        c for c in text if unicodedata.category(c) not in ("Cc", "Cs") and c not in "\ufffe\uffff"
    )


@lru_cache(maxsize=2048)
def _glyph(character: str, font: str) -> Path:
    return outline_text(character, font, 1.0)[0]


def _cleaned(text: str) -> str:
    spaced = "".join(" " if c.isspace() else c for c in text)
    composed = unicodedata.normalize("NFC", without_controls(spaced))
    return "".join(c for c in composed if c in _JOINERS or unicodedata.category(c) != "Cf")


def _font_for(text: str, font: str) -> str:
    """The asked font, or the first other that holds every character."""
    if missing_characters(text, font):
        for other in _FALLBACKS:
            if not missing_characters(text, other):
                return other
    return font
