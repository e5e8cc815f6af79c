"""How a paint shows: its plate, its colour on a screen, its words in an SVG's attributes."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

from livery.colour.press import press_profile
from livery.colour.screen import lab_to_srgb8
from livery.drawing import LabColour, LabPaint, Paint, Process, Registration, Spot

PAPER_LAB: LabColour = (100.0, 0.0, 0.0)  # of a tint of nothing [source: workshop-choice]
ALL_PLATES = "All"  # the colorant that marks every plate, 8.6.6.4 [source: iso-32000-1]
PROCESS = "process"
NO_PLATE = ""
_RESERVED = {"All", "None", "Cyan", "Magenta", "Yellow", "Black"}  # 8.6.6.4 [source: iso-32000-1]
_SHOWN_CONDITION = "FOGRA39L"  # whose look process inks get on a screen [source: workshop-choice]


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


@lru_cache(maxsize=4)
def picture_transform(condition: str) -> Any:
    """Pillow's transform of sRGB pictures to a packaged press condition, 8 bits.

    Raises:
        ColourError: no packaged profile has that key.
    """
    from PIL import ImageCms

    return ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"),
        ImageCms.ImageCmsProfile(io.BytesIO(press_profile(condition).data)),
        "RGB",
        "CMYK",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )


@lru_cache(maxsize=4096)
def _process_screen(cmyk: tuple[float, float, float, float]) -> str:
    return _hex(lab_to_srgb8(press_profile(_SHOWN_CONDITION).cmyk_to_lab(cmyk, relative=True)))


def _hex(rgb: Any) -> str:
    return "#" + "".join(f"{int(code):02x}" for code in rgb)


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(f"{value:.4g}" for value in values)
