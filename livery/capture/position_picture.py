"""Pictures of a face as found: where decals are and should be, and where they differ."""

from __future__ import annotations

import io
import textwrap
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from livery.artwork.model import Decal
from livery.capture.flaws import THRESHOLD
from livery.capture.position_model import DecalFind, Positions, Standing
from livery.capture.preview import pack_png
from livery.capture.rectified import Rectified
from livery.errors import Fault, PhotographError
from livery.geometry import Affine
from livery.placement import Layout

Floats = NDArray[np.float64]
Colour = tuple[int, int, int]
_PANEL_PX = 520
_PAPER, _INK, _LINE = (250, 249, 246), (30, 30, 34), (20, 110, 200)
_GOOD, _BAD, _PLAN = (20, 120, 50), (190, 30, 30), (20, 110, 200)
_HEAT = ((255, 221, 87), (240, 120, 30), (170, 0, 60))  # from the threshold, twice, four times
_SHOWN_SCALE = 4.0  # px a mm [source: workshop-choice]
_CHORD_MM = 0.1


def draw_positions(found: Positions, layout: Layout) -> bytes:
    """The rectified face with each decal's outline as laid out and as found, and the figures.

    Args:
        found: what was found.
        layout: what was sought.

    Returns:
        A PNG's bytes.

    Raises:
        PhotographError: the target was not found, so there is no picture.
    """
    sheet = _Sheet(found, _rectified(found).codes)
    sheet.face_lines()
    decals = {p.key: p.decal for p in layout.placements}
    for one in found.decals:
        sheet.decal(one, decals[one.key])
    sheet.words(_told(found))
    return sheet.png()


def draw_difference(found: Positions) -> bytes:
    """The rectified face in grey, with what differs from the artwork in colour.

    Yellow begins at the stated threshold of the normalised difference, orange at twice, red at
    four times; each flaw is ringed and numbered.

    Raises:
        PhotographError: the target was not found, so there is no picture.
    """
    picture = _rectified(found)
    grey = picture.codes.astype(np.float64).mean(axis=2)
    faint = 110.0 + 0.5 * grey
    base = np.repeat(faint[..., None], 3, axis=2)
    normal = _normalised(found, picture)
    for level, colour in zip((1.0, 2.0, 4.0), _HEAT, strict=True):
        base[normal > level * THRESHOLD] = colour
    sheet = _Sheet(found, base.clip(0, 255).astype(np.uint8))
    number = 0
    lines = [
        ("What differs from the artwork", _INK, 20),
        (
            f"normalised difference over {THRESHOLD:g} yellow, {2 * THRESHOLD:g} orange,",
            _INK,
            13,
        ),
        (f"{4 * THRESHOLD:g} red: ΔE over the picture's own noise, edges allowed for", _INK, 13),
        ("", _INK, 13),
    ]
    for one in found.decals:
        state = "no flaw seen" if one.found else one.standing.value
        lines.append((f"{one.key}: {state if not one.flaws else ''}", _INK, 15))
        for flaw in one.flaws:
            number += 1
            sheet.ring(flaw.x_mm, flaw.y_mm, flaw.length_mm, str(number))
            size = f"{flaw.length_mm:.1f} mm long, {flaw.area_mm2:.1f} mm²"
            place = f"at {flaw.x_mm:+.1f}, {flaw.y_mm:.1f} mm"
            lines.append((f"{number}  {flaw.kind.value}: {size}, {place}", _BAD, 13))
    sheet.words(lines)
    return sheet.png()


def _rectified(found: Positions) -> Rectified:
    if found.picture is None:
        advice = " ".join(gate.advice for gate in found.gates if not gate.ok)
        raise PhotographError(Fault(found.photo, "", None, "the rails were not found", advice))
    return found.picture


def _normalised(found: Positions, picture: Rectified) -> Floats:
    """Every decal's normalised difference, in the face's picture."""
    import cv2

    height, width = picture.codes.shape[:2]
    normal = np.zeros((height, width), np.float32)
    for one in found.differences:
        chain = picture.to_px @ one.to_target
        matrix = np.array([[chain.a, chain.c, chain.e], [chain.b, chain.d, chain.f]])
        laid = cv2.warpAffine(one.normalised, matrix, (width, height), flags=cv2.INTER_LINEAR)
        normal = np.maximum(normal, np.asarray(laid, np.float32))
    return normal.astype(np.float64)


class _Sheet:
    """The face at a size to look at, and a panel of words beside it."""

    def __init__(self, found: Positions, codes: NDArray[np.uint8]) -> None:
        from PIL import Image, ImageDraw, ImageFont

        picture = _rectified(found)
        self._scale = _SHOWN_SCALE / picture.px_per_mm
        size = (round(codes.shape[1] * self._scale), round(codes.shape[0] * self._scale))
        self._canvas = Image.new("RGB", (size[0] + _PANEL_PX, size[1]), _PAPER)
        self._canvas.paste(Image.fromarray(codes).resize(size, Image.Resampling.BILINEAR), (0, 0))
        self._draw = ImageDraw.Draw(self._canvas)
        self._words_x = size[0] + 20
        blade = found.blade.affine if found.blade else Affine()
        self._place = Affine.scaling(self._scale) @ picture.to_px @ blade
        self._found = found
        font = (resources.files("livery.data") / "fonts" / "OpenSans-Regular.ttf").read_bytes()
        self._fonts = {n: ImageFont.truetype(io.BytesIO(font), n) for n in (13, 15, 20)}

    def points(self, xy_mm: Floats) -> list[tuple[float, float]]:
        """Places of the face on the sheet."""
        return [(float(x), float(y)) for x, y in self._place.apply(xy_mm)]

    def face_lines(self) -> None:
        """The grip's end, the centre line and the toe as found."""
        blade = self._found.blade
        if blade is None:
            return
        half = blade.width_mm / 2
        end = blade.length_mm or blade.nominal_length_mm
        lines: list[tuple[list[tuple[float, float]], str]] = [
            ([(-half, 0.0), (half, 0.0)], "grip's end"),
            ([(0.0, 0.0), (0.0, end)], ""),
        ]
        if blade.length_mm is not None:
            lines.append(([(-half, end), (half, end)], f"toe {end:.1f} mm"))
        for side in (-half, half):
            lines.append(([(side, 0.25 * end), (side, 0.95 * end)], ""))
        for line, words in lines:
            shown = self.points(np.array(line))
            self._draw.line(shown, fill=_LINE, width=1)
            if words:
                self.tag(shown[1][0] - 46, shown[1][1] - 10, words, _LINE)

    def decal(self, one: DecalFind, decal: Decal) -> None:
        """Outlines as laid out (thin) and as found, the offset beside it."""
        self._outline(decal, one.expected, _PLAN, 1)
        good = one.standing is Standing.IN_PLACE
        for affine in (*([one.found] if one.found else []), *one.again):
            self._outline(decal, affine, _GOOD if good else _BAD, 3)
        x, y = self.points((one.found or one.expected).apply(np.zeros((1, 2))))[0]
        self.tag(x, y, one.key if one.found else f"{one.key}: missing", _GOOD if good else _BAD)

    def _outline(self, decal: Decal, affine: Affine, colour: Colour, width: int) -> None:
        for ring in decal.outline.transformed(affine).flattened(_CHORD_MM):
            shown = self.points(ring)
            self._draw.line([*shown, shown[0]], fill=colour, width=width)

    def ring(self, x_mm: float, y_mm: float, length_mm: float, words: str) -> None:
        """A circle round a place, numbered."""
        x, y = self.points(np.array([[x_mm, y_mm]]))[0]
        radius = max(14.0, 0.7 * length_mm * _SHOWN_SCALE)
        self._draw.ellipse((x - radius, y - radius, x + radius, y + radius), outline=_BAD, width=2)
        self.tag(x + radius, y - radius, words, _BAD)

    def tag(self, x: float, y: float, words: str, colour: Colour) -> None:
        """Words about a place, on a light plate."""
        font = self._fonts[13]
        box = self._draw.textbbox((x, y), words, font=font, anchor="mm")
        self._draw.rectangle((box[0] - 3, box[1] - 2, box[2] + 3, box[3] + 2), fill=_PAPER)
        self._draw.text((x, y), words, fill=colour, font=font, anchor="mm")

    def words(self, lines: list[tuple[str, Colour, int]]) -> None:
        """The panel."""
        y = 16.0
        for text, colour, size in lines:
            for part in textwrap.wrap(text, 66 if size == 13 else 52) or [""]:
                self._draw.text((self._words_x, y), part, fill=colour, font=self._fonts[size])
                y += size + 7

    def png(self) -> bytes:
        """The sheet's bytes."""
        return pack_png(self._canvas)


def _told(found: Positions) -> list[tuple[str, Colour, int]]:
    """The panel's lines: verdict, decals, gates, limits."""
    lines = [("all in place" if found.ok else "look here", _GOOD if found.ok else _BAD, 20)]
    if found.blade is not None:
        b = found.blade
        lines.append(
            (f"blade {b.width_mm:.1f} mm wide, drawn {b.nominal_width_mm:.1f} mm", _INK, 13)
        )
    lines += [(note, _INK, 13) for note in found.notes]
    lines.append(
        (
            f"blue: as laid out. Moved: over {found.tolerance_mm:g} mm or {found.tolerance_deg:g}°",
            _INK,
            13,
        )
    )
    for one in found.decals:
        good = one.standing is Standing.IN_PLACE
        lines += [("", _INK, 13), (f"{one.key}: {one.standing.value}", _GOOD if good else _BAD, 15)]
        lines += [(line, _INK, 13) for line in describe_decal(one)]
    lines.append(("", _INK, 13))
    for gate in found.gates:
        state = "ok" if gate.ok else "NO"
        words = f"{state}  {gate.gate}: {gate.value:.3g} (limit {gate.limit:.3g})"
        lines.append((f"{words} {gate.advice}", _GOOD if gate.ok else _BAD, 13))
    held = sum(f.ok for f in found.findings)
    lines.append((f"{held} of {len(found.findings)} rules hold as applied", _INK, 15))
    lines += [(f.text, _BAD, 13) for f in found.broken]
    return lines


def describe_decal(one: DecalFind) -> list[str]:
    """A decal's figures in words."""
    lines = []
    if one.offset is not None:
        o = one.offset
        lines.append(
            f"across {o.dx_mm:+.2f} ± {o.dx_u95:.2f} mm, along {o.dy_mm:+.2f} ± {o.dy_u95:.2f} mm"
        )
        lines.append(
            f"turned {o.turn_deg:+.2f} ± {o.turn_u95:.2f}°, size {100 * o.across:.1f} % across, "
            f"{100 * o.along:.1f} % along"
        )
    if one.again:
        lines.append(f"{len(one.again)} more of it on this face")
    if one.note:
        lines.append(one.note)
    if one.flaws:
        count = len(one.flaws)
        lines.append(f"{count} flaw{'s' * (count > 1)}: see the difference picture")
    return lines
