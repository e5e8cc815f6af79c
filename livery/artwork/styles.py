"""What an element inherits and says of itself: ink, fill, stroke, lettering.

Source: svg-2 (6.4 presentation attributes; 13 fill and stroke; defaults of 13 and 11).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from livery.artwork.strokes import CAPS, JOINS, Pen
from livery.artwork.values import parse_length, parse_numbers, parse_style
from livery.drawing import Anchor
from livery.geometry import FillRule


@dataclass(frozen=True, slots=True)
class Style:
    """Resolved properties of an element; a field a child does not set comes from its parent.

    Attributes:
        ink, stroke_ink: keys of the fill's and, where it differs, the stroke's ink.
        hidden: not drawn, though children may be; ``gone`` takes the children too.
        font_size: in user units.
        upper: lettering is set in capitals.
    """

    ink: str = ""
    stroke_ink: str = ""
    filled: bool = True
    stroked: bool = False
    rule: FillRule = FillRule.NONZERO
    pen: Pen = field(default_factory=lambda: Pen(1.0))
    hidden: bool = False
    gone: bool = False
    font: str = "text"
    font_size: float = 16.0  # the CSS "medium" (svg-2)
    anchor: Anchor = Anchor.START
    upper: bool = False


_UNPRINTABLE = {
    "clip-path": "Cut the paths themselves with the editor's path operations",
    "mask": "Cut the paths themselves with the editor's path operations",
    "filter": "Draw the effect as solid shapes",
    "stroke-dasharray": "Draw each dash, or turn the stroke into a shape",
    "mix-blend-mode": "Draw what is seen as solid shapes",
}
_INHERIT = ("inherit", "")


def resolve_style(attributes: Mapping[str, str], parent: Style) -> Style:
    """Properties of an element under its parent's; a ``style`` attribute outranks the others.

    Raises:
        ValueError: a property that cannot be read, or cannot be printed as solid ink.
    """
    says = {**attributes, **parse_style(attributes.get("style", ""))}
    _refuse_unprintable(says)
    changes: dict[str, Any] = {}
    for name, (target, read) in _PROPERTIES.items():
        value = says.get(name)
        if value is not None and value not in _INHERIT:
            changes[target] = _read(name, value, read)
    if says.get("display") == "none":
        changes["gone"] = True
    pen = {key[4:]: changes.pop(key) for key in [*changes] if key.startswith("pen_")}
    return replace(parent, pen=replace(parent.pen, **pen), **changes)


def _read(name: str, value: str, read: Any) -> Any:
    try:
        return read(value)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None


def _refuse_unprintable(says: Mapping[str, str]) -> None:
    for name, mend in _UNPRINTABLE.items():
        if says.get(name, "none") not in ("none", "normal", "inherit", ""):
            raise ValueError(f"{name} is not read. {mend}")
    for name in ("opacity", "fill-opacity", "stroke-opacity"):
        if says.get(name) is not None and parse_numbers(says[name].replace("%", "")) not in (
            [1.0],
            [100.0],
        ):
            raise ValueError(
                f"{name}={says[name]!r}: ink is solid. Draw the mixed colour as an ink"
            )
    for name in ("fill", "stroke"):
        if "url(" in says.get(name, ""):
            raise ValueError(f"{name} is a gradient or pattern. Ink is solid: draw solid shapes")


def _painted(value: str) -> bool:
    return value.strip().lower() not in ("none", "transparent")


def _choice(names: Mapping[str, Any]) -> Any:
    def read(value: str) -> Any:
        if value not in names:
            raise ValueError(f"{value[:20]!r} is not one of {', '.join(names)}")
        return names[value]

    return read


def _positive(value: str) -> float:
    length = parse_length(value)
    if length < 0:
        raise ValueError(f"{value!r} is negative")
    return length


def _limit(value: str) -> float:
    numbers = parse_numbers(value)
    if len(numbers) != 1 or numbers[0] < 1:
        raise ValueError(f"{value!r} is not a number of at least 1")
    return numbers[0]


_PROPERTIES: dict[str, tuple[str, Any]] = {
    "data-ink": ("ink", str.strip),
    "data-stroke-ink": ("stroke_ink", str.strip),
    "data-font": ("font", str.strip),
    "fill": ("filled", _painted),
    "stroke": ("stroked", _painted),
    "fill-rule": ("rule", _choice({"nonzero": FillRule.NONZERO, "evenodd": FillRule.EVENODD})),
    "stroke-width": ("pen_width", _positive),
    "stroke-linecap": ("pen_cap", _choice(CAPS)),
    "stroke-linejoin": ("pen_join", _choice(JOINS)),
    "stroke-miterlimit": ("pen_mitre_limit", _limit),
    "visibility": ("hidden", _choice({"visible": False, "hidden": True, "collapse": True})),
    "font-size": ("font_size", _positive),
    "text-anchor": (
        "anchor",
        _choice({"start": Anchor.START, "middle": Anchor.MIDDLE, "end": Anchor.END}),
    ),
    "text-transform": ("upper", _choice({"none": False, "uppercase": True})),
}
