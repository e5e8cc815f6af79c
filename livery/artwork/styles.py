"""What an element inherits and says of itself: ink, fill, stroke, lettering.

Source: svg-2 (6.4 presentation attributes; 13 fill and stroke; defaults of 13 and 11).
"""

from __future__ import annotations

import re
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
        stroke_first: the fill covers the stroke.
        untold: (property, value) of lettering that would be set in a way that is not read.
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
    stroke_first: bool = False
    untold: tuple[tuple[str, str], ...] = ()


_SHAPES = "Draw what is seen as solid shapes"
_CUT = "Cut the paths themselves with the editor's path operations"
_ATTRIBUTE = "Give it as an attribute of the element"
_PATHS = "Turn the text into paths, or set it plainly"
_UNREAD = {
    "clip-path": _CUT,
    "mask": _CUT,
    "filter": "Draw the effect as solid shapes",
    "stroke-dasharray": "Draw each dash, or turn the stroke into a shape",
    "mix-blend-mode": _SHAPES,
    "marker": _SHAPES,
    "marker-start": _SHAPES,
    "marker-mid": _SHAPES,
    "marker-end": _SHAPES,
    "vector-effect": "Take it out; a stroke grows with its drawing",
    "transform-origin": "Write the centre into the transform itself",
}
_UNREAD_ON_TEXT = {
    "letter-spacing",
    "word-spacing",
    "text-decoration",
    "text-decoration-line",
    "dominant-baseline",
    "alignment-baseline",
    "baseline-shift",
    "writing-mode",
    "direction",
    "font-variant",
    "textLength",
    "rotate",
    "dx",
    "dy",
}
_HARMLESS = {"", "none", "normal", "inherit", "auto", "baseline", "alphabetic", "ltr", "lr"}
_HARMLESS |= {"lr-tb", "horizontal-tb"}
_NOTHING = re.compile(r"(?:[-+]?0*\.?0+(?:px|mm|pt|em|%)?[\s,]*)+", re.ASCII)
_PLACING = {"transform", "translate", "rotate", "scale", "d", "x", "y", "width", "height"}
_PLACING |= {"cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2", "points"}
_CLEAR = re.compile(
    r"(?:rgb|hsl)a?\(\s*[^,/\s]+[,\s]+[^,/\s]+[,\s]+[^,/\s]+\s*[,/]\s*([\d.]+%?)\s*\)"
)
_CLEAR_HEX = re.compile(r"#(?:[0-9a-f]{3}([0-9a-f])|[0-9a-f]{6}([0-9a-f]{2}))")
_INHERIT = ("inherit", "")


def resolve_style(attributes: Mapping[str, str], parent: Style) -> Style:
    """Properties of an element under its parent's; a ``style`` attribute outranks the others.

    Raises:
        ValueError: a property that cannot be read, or cannot be printed as solid ink.
    """
    own = parse_style(attributes.get("style", ""))
    refuse_placing(own)
    says = {**attributes, **own}
    _refuse_unprintable(says)
    untold = {name: says[name] for name in sorted(_UNREAD_ON_TEXT & says.keys())}
    changes: dict[str, Any] = {"untold": tuple((dict(parent.untold) | untold).items())}
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


def refuse_placing(properties: Mapping[str, str]) -> None:
    """Refuse what would place or size an element from a style: only attributes are read so.

    Raises:
        ValueError: there is such a property.
    """
    for name in sorted(_PLACING & properties.keys()):
        raise ValueError(f"{name} in a style is not read. {_ATTRIBUTE}")


def refuse_untold(style: Style) -> None:
    """Refuse lettering that would be set in a way that is not read.

    Raises:
        ValueError: it is spaced, raised, decorated, stroked or the like.
    """
    for name, value in style.untold:
        if not _is_harmless(value):
            raise ValueError(f"{name}={value[:20]!r} of text is not read. {_PATHS}")
    if style.stroked and style.pen.width > 0:
        raise ValueError(f"a stroke on text is not read. {_PATHS}")


def _is_harmless(value: str) -> bool:
    return value.strip() in _HARMLESS or _NOTHING.fullmatch(value.strip()) is not None


def _refuse_unprintable(says: Mapping[str, str]) -> None:
    for name, mend in _UNREAD.items():
        if not _is_harmless(says.get(name, "none")):
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
    value = value.strip().lower()
    match = _CLEAR.fullmatch(value) or _CLEAR_HEX.fullmatch(value)
    alpha = next(filter(None, match.groups()), "1") if match else "1"
    if alpha in ("0", "00", "0%", "0.0", ".0"):
        return False
    if alpha not in ("1", "f", "ff", "100%", "1.0"):
        raise ValueError(f"{value[:30]!r}: ink is solid. Draw the mixed colour as an ink")
    return value not in ("none", "transparent")


def _stroke_first(value: str) -> bool:
    """Whether ``paint-order`` puts the stroke under the fill."""
    order = [name for name in value.lower().split() if name in ("fill", "stroke")]
    return order[:1] == ["stroke"]


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
    "paint-order": ("stroke_first", _stroke_first),
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
