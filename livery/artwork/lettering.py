"""Lettering set into its place: words found, shaped, fitted and outlined."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from livery.artwork.fonts import font_heights
from livery.artwork.model import Lettering
from livery.artwork.shaping import outline_text
from livery.drawing import Anchor
from livery.geometry import Affine, Path
from livery.scheme.model import TEXT_FIELDS

_SLOT = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True, slots=True, eq=False)
class SetLine:
    """A line of lettering as outlines in the file's mm, with its cap height there."""

    path: Path
    cap_height_mm: float


def fill_template(template: str, fields: Mapping[str, str]) -> str:
    """Put words into a template; a field that has no value leaves nothing.

    Args:
        template: words with ``{player}``, ``{size}``, ``{weight}``, ``{model}``, ``{number}`` or
            ``{hand}`` in them.
        fields: values by field name.

    Raises:
        ValueError: a name in braces that is no field.
    """

    def value(match: re.Match[str]) -> str:
        if match[1] not in TEXT_FIELDS:
            raise ValueError(f"{{{match[1]}}} is not one of {', '.join(TEXT_FIELDS)}")
        return fields.get(match[1], "")

    return " ".join(_SLOT.sub(value, template).split())


def blank_slots(template: str, fields: Mapping[str, str]) -> tuple[str, ...]:
    """Names of the fields in a template that have no value, each once."""
    named = dict.fromkeys(match[1] for match in _SLOT.finditer(template))
    return tuple(name for name in named if not fields.get(name, "").strip())


def set_line(line: Lettering, words: str) -> SetLine | None:
    """Set words at a line's place, shrunk evenly where they exceed its width.

    Args:
        line: the place, ink and font.
        words: what to set.

    Returns:
        The outlines in the file's mm, or None where there is nothing to draw.

    Raises:
        ArtworkError: no such font, or a character it does not hold.
    """
    path, advance = outline_text(words.upper() if line.upper else words, line.font, line.size)
    if not path.verbs:
        return None
    x0, _, x1, _ = path.bounds()
    stretch = _stretch_along(line.affine)
    widest = max(advance, x1, x1 - x0) * stretch
    shrink = 1.0 if line.fit_mm is None else min(1.0, line.fit_mm / widest)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -advance / 2, Anchor.END: -advance}[line.anchor]
    place = line.affine @ Affine.scaling(shrink) @ Affine.translation(start, 0.0)
    cap = font_heights(line.font).cap * line.size * shrink * _stretch_up(line.affine)
    return SetLine(path.transformed(place), cap)


def _stretch_along(affine: Affine) -> float:
    return float((affine.a**2 + affine.b**2) ** 0.5)


def _stretch_up(affine: Affine) -> float:
    """Height of a letter across its baseline, per unit of font size."""
    return abs(affine.determinant) / _stretch_along(affine)
