"""How a paint shows: its plate, its colour on a screen, its words in an SVG's attributes."""

from __future__ import annotations

import io
from functools import lru_cache
from importlib import resources
from typing import Any

from livery.colour.screen import lab_to_srgb8
from livery.drawing import LabColour, LabPaint, Paint, Process, Registration, Spot

PAPER_LAB: LabColour = (100.0, 0.0, 0.0)  # where a tint of nothing starts; workshop choice
ALL_PLATES = "All"  # the colorant of ISO 32000-1 8.6.6.4 that marks every plate
PROCESS = "process"
NO_PLATE = ""
_RESERVED = {"All", "None", "Cyan", "Magenta", "Yellow", "Black"}  # ISO 32000-1 8.6.6.4
_PRESS_PROFILES = {"FOGRA39L": "FOGRA39L_coated.icc"}


def plate_of(paint: Paint | None) -> str:
    """The plate a paint prints on: a spot's name, ``All``, ``process``, or "" for none."""
    match paint:
        case Spot(name=name):
            return name
        case Registration():
            return ALL_PLATES
        case Process():
            return PROCESS
        case _:
            return NO_PLATE


def check_paint(paint: Paint) -> None:
    """Refuse a paint that no writer can honour.

    Raises:
        ValueError: a reserved or empty plate name, or an amount outside 0..1.
    """
    if isinstance(paint, Spot) and (paint.name in _RESERVED or not paint.name.strip()):
        raise ValueError(
            f"a spot ink may not be called {paint.name!r}; the name is reserved for process plates"
        )
    amounts: tuple[float, ...] = ()
    if isinstance(paint, Process):
        amounts = (paint.c, paint.m, paint.y, paint.k)
    elif isinstance(paint, Spot | Registration):
        amounts = (paint.tint,)
    if not all(0.0 <= amount <= 1.0 for amount in amounts):
        raise ValueError(f"{paint} has an amount outside 0..1")


def tinted_lab(spot: Spot) -> LabColour:
    """CIELAB of a spot's tint: the straight line from paper to solid that its PDF space draws."""
    low, high = PAPER_LAB, spot.lab
    mixed = tuple(p + (s - p) * spot.tint for p, s in zip(low, high, strict=True))
    return mixed[0], mixed[1], mixed[2]


def screen_colour(paint: Paint) -> str:
    """A paint as ``#rrggbb`` sRGB; registration is black, thinned by its tint."""
    match paint:
        case Spot():
            return _hex(lab_to_srgb8(tinted_lab(paint)))
        case LabPaint(lab=lab):
            return _hex(lab_to_srgb8(lab))
        case Registration(tint=tint):
            return _hex([round(255 * (1.0 - tint))] * 3)
        case Process():
            return _process_screen((paint.c, paint.m, paint.y, paint.k))


def paint_words(paint: Paint) -> dict[str, str]:
    """What a paint is, as ``data-*`` attributes."""
    match paint:
        case Spot():
            words = {"data-ink": paint.name, "data-lab": _numbers(paint.lab)}
            return words if paint.tint == 1.0 else words | {"data-tint": f"{paint.tint:g}"}
        case LabPaint(lab=lab):
            return {"data-lab": _numbers(lab)}
        case Registration(tint=tint):
            words = {"data-ink": ALL_PLATES}
            return words if tint == 1.0 else words | {"data-tint": f"{tint:g}"}
        case Process():
            return {"data-cmyk": _numbers((paint.c, paint.m, paint.y, paint.k))}


def press_profile(condition: str) -> bytes:
    """The ICC profile packaged for an output condition.

    Raises:
        ValueError: no packaged profile has that key.
    """
    if condition not in _PRESS_PROFILES:
        known = ", ".join(_PRESS_PROFILES)
        raise ValueError(f"no press profile {condition!r}; packaged: {known}")
    name = _PRESS_PROFILES[condition]
    return resources.files("livery").joinpath("data", "press", name).read_bytes()


def colour_transform(source: str, target: str) -> Any:
    """A Pillow transform between ``sRGB`` and the packaged press profile, 8 bits, for pictures."""
    return _transform(source, target)


@lru_cache(maxsize=4)
def _transform(source: str, target: str) -> Any:
    from PIL import ImageCms

    def profile(key: str) -> Any:
        if key == "sRGB":
            return ImageCms.createProfile("sRGB")
        return ImageCms.ImageCmsProfile(io.BytesIO(press_profile(key)))

    modes = {"sRGB": "RGB"}
    return ImageCms.buildTransform(
        profile(source),
        profile(target),
        modes.get(source, "CMYK"),
        modes.get(target, "CMYK"),
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )


@lru_cache(maxsize=4096)
def _process_screen(cmyk: tuple[float, float, float, float]) -> str:
    from PIL import Image, ImageCms

    code = tuple(round(255 * amount) for amount in cmyk)
    pixel = Image.new("CMYK", (1, 1), code)
    shown = ImageCms.applyTransform(pixel, _transform("FOGRA39L", "sRGB"))
    return _hex(shown.getpixel((0, 0)))  # type: ignore[union-attr]


def _hex(rgb: Any) -> str:
    return "#" + "".join(f"{int(code):02x}" for code in rgb)


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(f"{value:.4g}" for value in values)
