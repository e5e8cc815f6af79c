"""Colour spaces, overprint states, layers and pictures as PDF objects.

Source:
    colour spaces 8.6 and optional content 8.11 [source: iso-32000-1]; processing steps
    [source: iso-19593-1]
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from livery.colour.press import PressProfile
from livery.drawing import LayerKind, Spot
from livery.output.paints import PAPER_LAB, picture_transform
from livery.output.pdf_content import PACKED
from livery.output.pdf_names import (
    ALL_SPACE,
    DARKEN,
    KNOCK_OUT,
    LAB_SPACE,
    OVERPRINT,
    layer_name,
    space_name,
)

if TYPE_CHECKING:
    import pikepdf

_WHITE_D50 = (0.9642, 1.0, 0.8249)  # of the PCS [source: icc-1]
_STEPS = {
    LayerKind.KISS_CUT: ("Structural", "PartialCutting"),
    LayerKind.THROUGH_CUT: ("Structural", "Cutting"),
    LayerKind.WHITE: ("White", "White"),
    LayerKind.VARNISH: ("Varnish", "Varnish"),
}


def colour_spaces(pdf: pikepdf.Pdf, spots: Iterable[Spot]) -> Any:
    """The document's one /ColorSpace dictionary."""
    from pikepdf import Array, Dictionary, Name

    lab = pdf.make_indirect(
        Array(
            [
                Name.Lab,
                Dictionary(WhitePoint=list(_WHITE_D50), Range=[-128, 127, -128, 127]),
            ]
        )
    )
    spaces = Dictionary()
    for spot in spots:
        spaces[space_name(spot.name)] = pdf.make_indirect(_separation(lab, spot))
    spaces[ALL_SPACE] = pdf.make_indirect(
        Array(
            [
                Name.Separation,
                Name.All,
                Name.DeviceCMYK,
                _blend((0.0, 0.0, 0.0, 0.0), (1.0, 1.0, 1.0, 1.0)),
            ]
        )
    )
    spaces[LAB_SPACE] = lab
    return spaces


def graphics_states(pdf: pikepdf.Pdf) -> Any:
    """The document's one /ExtGState dictionary: knock out, overprint and darken."""
    from pikepdf import Dictionary, Name

    states = Dictionary()
    for name, on in ((KNOCK_OUT, False), (OVERPRINT, True)):
        states[name] = pdf.make_indirect(
            Dictionary(Type=Name.ExtGState, OP=on, op=on, OPM=1 if on else 0)
        )
    states[DARKEN] = pdf.make_indirect(Dictionary(Type=Name.ExtGState, BM=Name.Darken))
    return states


def optional_content(pdf: pikepdf.Pdf, layers: Iterable[tuple[str, LayerKind]]) -> Any:
    """The document's one /Properties dictionary; sets the catalogue's /OCProperties."""
    from pikepdf import Array, Dictionary, Name, String

    properties, groups = Dictionary(), Array()
    for name, kind in layers:
        group = Dictionary(Type=Name.OCG, Name=String(name or kind.value))
        if kind in _STEPS:
            steps, step = _STEPS[kind]
            group["/GTS_Metadata"] = Dictionary(
                GTS_ProcStepsGroup=Name("/" + steps), GTS_ProcStepsType=Name("/" + step)
            )
        made = properties[layer_name(name, kind)] = pdf.make_indirect(group)
        groups.append(made)
    if len(groups):
        shown = Dictionary(Name=String("All layers"), BaseState=Name.ON, Order=groups)
        shown["/ON"] = groups
        pdf.Root.OCProperties = Dictionary(OCGs=groups, D=shown)
    return properties


def _separation(lab: Any, spot: Spot) -> Any:
    from pikepdf import Array, Name

    return Array([Name.Separation, Name("/" + spot.name), lab, _blend(PAPER_LAB, spot.lab)])


def _blend(low: tuple[float, ...], high: tuple[float, ...]) -> Any:
    """The tint transform: a straight line from paper to solid."""
    from pikepdf import Dictionary

    return Dictionary(FunctionType=2, Domain=[0, 1], C0=_reals(low), C1=_reals(high), N=1)


def _reals(values: tuple[float, ...]) -> list[Any]:
    from decimal import Decimal

    return [Decimal(f"{value:.4f}") for value in values]


def embed_picture(pdf: pikepdf.Pdf, png: bytes, press: PressProfile | None) -> Any:
    """A picture as an image XObject.

    Args:
        pdf: the document it goes into.
        png: the picture.
        press: what to convert colour to; None keeps sRGB.

    Raises:
        ValueError: it cannot be decoded.
    """
    from pikepdf import Name
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(png)) as opened:
            image = _eight_bit(opened)
    except (UnidentifiedImageError, OSError, SyntaxError) as error:
        raise ValueError("a picture of the drawing is not a readable PNG") from error
    alpha = image.getchannel("A") if "A" in image.getbands() else None
    colour = image.convert("L" if image.mode in ("L", "LA") else "RGB")
    if press is not None and colour.mode == "RGB":
        from PIL import ImageCms

        colour = ImageCms.applyTransform(colour, picture_transform(press))
    space = {"L": Name.DeviceGray, "RGB": Name.DeviceRGB, "CMYK": Name.DeviceCMYK}[colour.mode]
    stream = _image_stream(pdf, colour, space)
    if alpha is not None and alpha.getextrema() != (255, 255):
        stream.SMask = _image_stream(pdf, alpha, Name.DeviceGray)
    return stream


def _eight_bit(image: Any) -> Any:
    """A decoded picture as L, LA, RGB or RGBA."""
    image.load()
    if image.mode.startswith("I"):
        return image.convert("I").point(lambda value: value / 256).convert("L")
    if image.mode in ("1", "L", "LA", "RGB", "RGBA"):
        return image.convert("L") if image.mode == "1" else image
    return image.convert("RGBA" if "transparency" in image.info else "RGB")


def _image_stream(pdf: pikepdf.Pdf, image: Any, space: Any) -> Any:
    from pikepdf import Name, Stream

    return Stream(
        pdf,
        zlib.compress(image.tobytes(), PACKED),
        Filter=Name.FlateDecode,
        Type=Name.XObject,
        Subtype=Name.Image,
        Width=image.width,
        Height=image.height,
        ColorSpace=space,
        BitsPerComponent=8,
    )
