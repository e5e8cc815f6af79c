"""How a paint shows: its plate, its colour on a screen, its words in an SVG's attributes."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.colour.press import PressProfile, press_profile
from livery.colour.screen import lab_to_srgb8
from livery.drawing import LabColour, LabPaint, Paint, Process, Registration, Spot
from livery.errors import ColourError

PAPER_LAB: LabColour = (100.0, 0.0, 0.0)  # of a tint of nothing [source: workshop-choice]
ALL_PLATES = "All"  # the colorant that marks every plate, 8.6.6.4 [source: iso-32000-1]
PROCESS = ("Cyan", "Magenta", "Yellow", "Black")
NO_PLATE = ""
_RESERVED = {"All", "None", *PROCESS}  # 8.6.6.4 [source: iso-32000-1]
_SHOWN_CONDITION = "FOGRA39L"  # whose look process inks get on a screen [source: workshop-choice]


def plates_of(paint: Paint | None) -> tuple[str, ...]:
    """The plates a paint prints on: a spot's name, ``All``, process inks, or "" for none."""
    match paint:
        case Spot(name=name):
            return (name,)
        case Registration():
            return (ALL_PLATES,)
        case Process():
            return tuple(name for name, amount in _amounts(paint) if amount > 0.0)
        case _:
            return (NO_PLATE,)


def _amounts(paint: Process) -> tuple[tuple[str, float], ...]:
    return tuple(zip(PROCESS, (paint.c, paint.m, paint.y, paint.k), strict=True))


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


@lru_cache(maxsize=4096)
def screen_colour(paint: Paint, plate: str | None = None) -> str:
    """A paint as ``#rrggbb`` sRGB; registration is black, thinned by its tint.

    With ``plate`` only what a build prints on that plate: its plates multiply to the build.
    """
    match paint:
        case Process() if plate in PROCESS:
            shown = dict(_plate_colours((paint.c, paint.m, paint.y, paint.k)))
            return shown[plate]
        case Spot():
            return _hex(lab_to_srgb8(tinted_lab(paint)))
        case LabPaint(lab=lab):
            return _hex(lab_to_srgb8(lab))
        case Registration(tint=tint):
            return _hex([round(255 * (1.0 - tint))] * 3)
        case Process():
            return _process_screen((paint.c, paint.m, paint.y, paint.k))


def paint_words(paint: Paint, plate: str | None = None) -> dict[str, str]:
    """What a paint is, as ``data-*`` attributes; with ``plate``, what a build is on it."""
    match paint:
        case Process() if plate in PROCESS:
            amount = dict(_amounts(paint))[plate]
            words = {"data-ink": plate} | paint_words(paint)
            return words if amount == 1.0 else words | {"data-tint": f"{amount:.4g}"}
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
def picture_transform(press: PressProfile) -> Any:
    """Pillow's transform of sRGB pictures to a press condition, 8 bits.

    Raises:
        ColourError: the profile tells colours of inks, and not inks of colours.
    """
    from PIL import ImageCms

    try:
        return ImageCms.buildTransform(
            ImageCms.createProfile("sRGB"),
            ImageCms.ImageCmsProfile(io.BytesIO(press.data)),
            "RGB",
            "CMYK",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, OSError) as error:
        raise ColourError(
            f"ICC profile {press.key}: pictures cannot be converted by it ({error}). Ask the "
            "printer for a profile with tables both ways."
        ) from error


@lru_cache(maxsize=4096)
def _process_screen(cmyk: tuple[float, float, float, float]) -> str:
    return _hex(lab_to_srgb8(press_profile(_SHOWN_CONDITION).cmyk_to_lab(cmyk, relative=True)))


@lru_cache(maxsize=4096)
def _plate_colours(cmyk: tuple[float, float, float, float]) -> tuple[tuple[str, str], ...]:
    """A build's screen colour taken apart into factors, one a plate.

    Each plate darkens red, green and blue by its share of what the solids would, weighed by their
    amounts; the last takes what rounding leaves.
    """
    shown = np.maximum(_codes(cmyk), 1.0) / 255.0
    used = [number for number, amount in enumerate(cmyk) if amount > 0.0]
    solids = [_codes(tuple(float(i == n) for i in range(4))) for n in used]
    weights = [
        cmyk[n] * -np.log(np.maximum(s, 1.0) / 256.0) for n, s in zip(used, solids, strict=True)
    ]
    left, parts = shown, []
    for place, number in enumerate(used):
        share = weights[place] / np.sum(weights, axis=0)
        factor = shown**share if number != used[-1] else left
        codes = np.clip(np.rint(255.0 * factor), 1, 255)
        left = np.minimum(left / (codes / 255.0), 1.0)
        parts.append((PROCESS[number], _hex(codes)))
    return tuple(parts)


def _codes(cmyk: tuple[float, ...]) -> NDArray[np.float64]:
    """A build's screen colour as red, green and blue, 0..255."""
    shown = _process_screen((cmyk[0], cmyk[1], cmyk[2], cmyk[3]))
    return np.array([int(shown[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float64)


def _hex(rgb: Any) -> str:
    return "#" + "".join(f"{int(code):02x}" for code in rgb)


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(f"{value:.4g}" for value in values)
