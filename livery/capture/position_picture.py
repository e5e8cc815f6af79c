"""Pictures of a face as found: where decals are and should be, and where they differ."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from livery.artwork.model import Decal
from livery.capture.flaws import THRESHOLD
from livery.capture.pen import INK, PAPER, Colour, Pen, Point, pack_png
from livery.capture.position_model import DecalFind, Flaw, Positions, Standing
from livery.capture.rectified import Rectified
from livery.colour import Floats
from livery.errors import Fault, PhotographError
from livery.geometry import Affine
from livery.placement import Layout
from livery.units import format_count

# Sizes and colours: [source: workshop-choice]
_PANEL_PX = 520
_GOOD, _BAD, _PLAN = (20, 120, 50), (190, 30, 30), (20, 110, 200)
_HEAT = ((1.0, (255, 221, 87)), (2.0, (240, 120, 30)), (4.0, (170, 0, 60)))  # over the threshold
_SHOWN_PX_PER_MM = 4.0
_CHORD_MM = 0.1  # of outlines, from their curves: less than a pixel shown
_TITLE, _HEADING, _SMALL = 20, 15, 13  # sizes of words, px
_SMALL_FILL, _LARGE_FILL = 66, 52  # characters that a line of the panel holds


class _Line(NamedTuple):
    """A line of the panel."""

    words: str = ""
    colour: Colour = INK
    size: int = _SMALL


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
    picture = _rectified(found)
    sheet = _Sheet(found, picture, picture.codes)
    sheet.draw_face()
    decals = {p.key: p.decal for p in layout.placements}
    for one in found.decals:
        sheet.draw_decal(one, decals[one.key])
    sheet.write(_told(found))
    return sheet.png()


def draw_difference(found: Positions) -> bytes:
    """The rectified face in grey, with what differs from the artwork in colour.

    Yellow begins at the stated threshold of the normalised difference, orange at twice, red at
    four times; each flaw is ringed and numbered.

    Returns:
        A PNG's bytes.

    Raises:
        PhotographError: the target was not found, so there is no picture.
    """
    picture = _rectified(found)
    sheet = _Sheet(found, picture, _heated(found, picture))
    flaws = [flaw for one in found.decals for flaw in one.flaws]
    for number, flaw in enumerate(flaws, 1):
        sheet.ring(flaw, str(number))
    sheet.write(_differences_told(found))
    return sheet.png()


def describe_decal(one: DecalFind) -> list[str]:
    """A decal's figures in words: two lines of its offset where it was found, then what else."""
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
        lines.append(f"{format_count(len(one.flaws), 'flaw')}: see the difference picture")
    return lines


def _rectified(found: Positions) -> Rectified:
    if found.picture is None:
        advice = " ".join(gate.advice for gate in found.gates if not gate.ok)
        raise PhotographError(Fault(found.photo, "", None, "the rails were not found", advice))
    return found.picture


def _heated(found: Positions, picture: Rectified) -> NDArray[np.uint8]:
    """The face in faint grey, coloured where it differs, shape (height, width, 3)."""
    grey = picture.codes.astype(np.float64).mean(axis=2)
    base = np.repeat((110.0 + 0.5 * grey)[..., None], 3, axis=2)
    normal = _normalised(found, picture)
    for level, colour in _HEAT:
        base[normal > level * THRESHOLD] = colour
    return base.clip(0, 255).astype(np.uint8)


def _normalised(found: Positions, picture: Rectified) -> Floats:
    """Every decal's normalised difference, in the face's picture, shape (height, width)."""
    import cv2

    height, width = picture.codes.shape[:2]
    normal = np.zeros((height, width), np.float32)
    for one in found.differences:
        matrix = (picture.to_px @ one.to_target).for_opencv
        laid = cv2.warpAffine(one.normalised, matrix, (width, height), flags=cv2.INTER_LINEAR)
        normal = np.maximum(normal, np.asarray(laid, np.float32))
    return normal.astype(np.float64)


class _Sheet:
    """The face at a size to look at, and a panel of words beside it.

    Args:
        found: what was found.
        picture: the rectified face.
        codes: what is shown of it, in its pixels, shape (height, width, 3).
    """

    def __init__(self, found: Positions, picture: Rectified, codes: NDArray[np.uint8]) -> None:
        from PIL import Image

        scale = _SHOWN_PX_PER_MM / picture.px_per_mm
        width, height = round(codes.shape[1] * scale), round(codes.shape[0] * scale)
        shown = Image.fromarray(codes).resize((width, height), Image.Resampling.BILINEAR)
        self._canvas = Image.new("RGB", (width + _PANEL_PX, height), PAPER)
        self._canvas.paste(shown, (0, 0))
        self._pen = Pen(self._canvas)
        self._words_x = width + 20
        self._blade = found.blade
        blade = found.blade.affine if found.blade else Affine()
        self._place = Affine.scaling(scale) @ picture.to_px @ blade

    def _points(self, xy_mm: Floats) -> list[Point]:
        """Places of the face, shape (n, 2), on the sheet."""
        return [(float(x), float(y)) for x, y in self._place.apply(xy_mm)]

    def draw_face(self) -> None:
        """The grip's end, the centre line, the sides and the toe as found."""
        blade = self._blade
        if blade is None:
            return
        half = blade.width_mm / 2
        end = blade.length_mm or blade.nominal_length_mm
        lines = [
            ((-half, 0.0), (half, 0.0), "grip's end"),
            ((0.0, 0.0), (0.0, end), ""),
        ]
        if blade.length_mm is not None:
            lines.append(((-half, end), (half, end), f"toe {end:.1f} mm"))
        lines += [((side, 0.25 * end), (side, 0.95 * end), "") for side in (-half, half)]
        for first, last, words in lines:
            shown = self._points(np.array([first, last]))
            self._pen.line(shown, _PLAN, 1)
            if words:
                self._pen.tag(shown[1][0] - 46, shown[1][1] - 10, words, _PLAN)

    def draw_decal(self, one: DecalFind, decal: Decal) -> None:
        """Outlines as laid out (thin) and as found, and its name."""
        self._outline(decal, one.expected, _PLAN, 1)
        colour = _GOOD if one.standing is Standing.IN_PLACE else _BAD
        for affine in one.everywhere:
            self._outline(decal, affine, colour, 3)
        x, y = self._points((one.found or one.expected).apply(np.zeros((1, 2))))[0]
        self._pen.tag(x, y, one.key if one.found else f"{one.key}: missing", colour)

    def _outline(self, decal: Decal, affine: Affine, colour: Colour, width: int) -> None:
        for ring in decal.outline.transformed(affine).flattened(_CHORD_MM):
            self._pen.outline(self._points(ring), colour, width)

    def ring(self, flaw: Flaw, words: str) -> None:
        """A circle round a flaw, and its number."""
        x, y = self._points(np.array([[flaw.x_mm, flaw.y_mm]]))[0]
        radius = max(14.0, 0.7 * flaw.length_mm * _SHOWN_PX_PER_MM)
        self._pen.circle(x, y, radius, _BAD)
        self._pen.tag(x + radius, y - radius, words, _BAD)

    def write(self, lines: Iterable[_Line]) -> None:
        """The panel."""
        y = 16
        for line in lines:
            fill = _SMALL_FILL if line.size == _SMALL else _LARGE_FILL
            for part in textwrap.wrap(line.words, fill) or [""]:
                self._pen.text(self._words_x, y, part, line.colour, line.size)
                y += line.size + 7

    def png(self) -> bytes:
        """The sheet's bytes."""
        return pack_png(self._canvas)


def _told(found: Positions) -> Iterator[_Line]:
    """The panel's lines: verdict, decals, gates, limits."""
    colour = _GOOD if found.ok else _BAD
    yield _Line("all in place" if found.ok else "look here", colour, _TITLE)
    if found.blade is not None:
        b = found.blade
        yield _Line(f"blade {b.width_mm:.1f} mm wide, drawn {b.nominal_width_mm:.1f} mm")
    for note in found.notes:
        yield _Line(note)
    moved = f"over {found.tolerance_mm:g} mm or {found.tolerance_deg:g}°"
    yield _Line(f"blue: as laid out. Moved: {moved}")
    for one in found.decals:
        colour = _GOOD if one.standing is Standing.IN_PLACE else _BAD
        yield _Line()
        yield _Line(f"{one.key}: {one.standing.value}", colour, _HEADING)
        for words in describe_decal(one):
            yield _Line(words)
    yield _Line()
    for gate in found.gates:
        state, colour = ("ok", _GOOD) if gate.ok else ("NO", _BAD)
        yield _Line(f"{state}  {gate.figures} {gate.advice}", colour)
    held = sum(f.ok for f in found.findings)
    yield _Line(f"{held} of {len(found.findings)} rules hold as applied", INK, _HEADING)
    for finding in found.broken:
        yield _Line(finding.text, _BAD)


def _differences_told(found: Positions) -> Iterator[_Line]:
    """The panel's lines beside the difference: what its colours mean, and every flaw."""
    yellow, orange, red = (level * THRESHOLD for level, _ in _HEAT)
    yield _Line("What differs from the artwork", INK, _TITLE)
    yield _Line(f"normalised difference over {yellow:g} yellow, {orange:g} orange,")
    yield _Line(f"{red:g} red: ΔE over the picture's own noise, edges allowed for")
    yield _Line()
    number = 0
    for one in found.decals:
        state = "no flaw seen" if one.found else one.standing.value
        yield _Line(f"{one.key}: {'' if one.flaws else state}", INK, _HEADING)
        for flaw in one.flaws:
            number += 1
            yield _Line(f"{number}  {flaw.kind.value}: {flaw.figures}", _BAD)
