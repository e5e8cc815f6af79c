"""SVG attribute values: lengths, numbers, transforms, styles.

Source: svg-2 (8.5 transform, 6 styling); css lengths at 96 px an inch (svg-2).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from livery.geometry import Affine
from livery.units import MM_PER_INCH, MM_PER_PT

MM_PER_PX = MM_PER_INCH / 96.0  # the CSS pixel (svg-2)

NUMBER = r"[-+]?(?:\d++\.?\d*+|\.\d++)(?:[eE][-+]?\d++)?"
"""A number as SVG writes it."""

_NUMBER = re.compile(NUMBER, re.ASCII)
_LENGTH = re.compile(rf"\s*+({NUMBER})\s*+([a-zA-Z%]*+)\s*+", re.ASCII)
_CALL = re.compile(r"\s*+,?\s*+([a-zA-Z]++)\s*+\(([^()]*+)\)\s*+")
_MM_PER_UNIT = {
    "": MM_PER_PX,
    "px": MM_PER_PX,
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": MM_PER_INCH,
    "pt": MM_PER_PT,
    "pc": 12 * MM_PER_PT,
}
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)|<!--|-->", re.DOTALL)
_CLASS = re.compile(r"\.[A-Za-z_][\w-]*")
_LARGEST = 1e6


def parse_size_mm(text: str) -> float:
    """An absolute CSS length in mm; a bare number is CSS pixels.

    Raises:
        ValueError: not an absolute length, or not a usable one.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError(f"{text[:30]!r} is not a length")
    unit = match[2].lower()
    if unit not in _MM_PER_UNIT:
        raise ValueError(f"{text[:30]!r} is relative to something a printed decal does not have")
    return _usable(float(match[1]), text) * _MM_PER_UNIT[unit]


def parse_length(text: str) -> float:
    """A length inside the drawing in user units (CSS pixels where a unit stands).

    Raises:
        ValueError: not such a length; percentages and em are not read.
    """
    return _usable(parse_size_mm(text) / MM_PER_PX, text)


def parse_numbers(text: str) -> list[float]:
    """Numbers between spaces and commas.

    Raises:
        ValueError: something else stands among them.
    """
    rest = _NUMBER.sub(" ", text).replace(",", " ").strip()
    if rest:
        raise ValueError(f"{rest.split()[0][:20]!r} stands where a number should be")
    return [_usable(float(number), text) for number in _NUMBER.findall(text)]


def _usable(value: float, text: str) -> float:
    if not abs(value) < _LARGEST:
        raise ValueError(f"{text[:30]!r} is too large to be a place on a decal")
    return value


def parse_style(text: str) -> dict[str, str]:
    """A ``style`` attribute as properties.

    Raises:
        ValueError: a declaration without a colon, or an at-rule.
    """
    properties = {}
    for declaration in filter(None, (part.strip() for part in text.split(";"))):
        name, colon, value = declaration.partition(":")
        if not colon or declaration.startswith("@"):
            raise ValueError(f"style holds {declaration[:30]!r}, which is no property: value")
        properties[name.strip().lower()] = value.replace("!important", "").strip()
    return properties


def parse_style_sheet(text: str) -> list[tuple[str, dict[str, str]]]:
    """A ``style`` element as (class, properties) pairs in its order; classes alone are read.

    Raises:
        ValueError: any other selector, an at-rule, or a declaration that is none.
    """
    classes: list[tuple[str, dict[str, str]]] = []
    *rules, rest = _COMMENT.sub(" ", text).split("}")
    if rest.strip():
        rules.append(rest)
    for rule in rules:
        selectors, brace, body = rule.partition("{")
        names = [selector.strip() for selector in selectors.split(",")]
        if not (brace and rule is not rest and all(_CLASS.fullmatch(name) for name in names)):
            raise ValueError(
                f"style sheet rule {selectors.strip()[:30]!r} is not for a class. "
                "Give it a class, or put the properties on the element"
            )
        classes += [(name[1:], parse_style(body)) for name in names]
    return classes


def parse_transform(text: str) -> Affine:
    """A ``transform`` attribute as one map, the last listed applied first.

    Raises:
        ValueError: an unknown function, a wrong count of numbers, or a map that flattens.
    """
    total, position = Affine(), 0
    text = text.strip()
    while position < len(text):
        match = _CALL.match(text, position)
        if match is None:
            raise ValueError(f"transform cannot be read at {text[position:][:30].strip()!r}")
        total = total @ _call(match[1], parse_numbers(match[2]))
        position = match.end()
    if not all(map(math.isfinite, total.coefficients)) or abs(total.determinant) < 1e-12:
        raise ValueError(f"transform {text[:40]!r} leaves nothing to draw")
    return total


def _call(name: str, numbers: list[float]) -> Affine:
    if name not in _FUNCTIONS:
        raise ValueError(f"transform {name!r} is not one of {', '.join(_FUNCTIONS)}")
    counts, build = _FUNCTIONS[name]
    if len(numbers) not in counts:
        raise ValueError(f"{name} takes {' or '.join(map(str, counts))} numbers")
    return build(*numbers)


def _rotate(angle: float, x: float = 0.0, y: float = 0.0) -> Affine:
    return Affine.translation(x, y) @ Affine.rotation(angle) @ Affine.translation(-x, -y)


def _translate(x: float, y: float = 0.0) -> Affine:
    return Affine.translation(x, y)


def _skew_x(angle: float) -> Affine:
    return Affine(c=math.tan(math.radians(angle)))


def _skew_y(angle: float) -> Affine:
    return Affine(b=math.tan(math.radians(angle)))


_FUNCTIONS: dict[str, tuple[tuple[int, ...], Callable[..., Affine]]] = {
    "matrix": ((6,), Affine),
    "translate": ((1, 2), _translate),
    "scale": ((1, 2), Affine.scaling),
    "rotate": ((1, 3), _rotate),
    "skewX": ((1,), _skew_x),
    "skewY": ((1,), _skew_y),
}
