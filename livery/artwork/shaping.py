"""Lettering as exact outlines, shaped with HarfBuzz from the packaged fonts.

Outlines stand on their baseline at the origin, x to the right, y up, as a page's labels do.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from functools import lru_cache
from itertools import groupby

import numpy as np

from livery.artwork.directions import levels_of, turned
from livery.artwork.fonts import FONT_FILES, harfbuzz_font, holder_of, is_unseen, missing_characters
from livery.errors import ArtworkError, Fault
from livery.geometry import Affine, Path

_SHAPED_AS = {"arabic": ("Arab", "ur")}  # digits alone would be taken for no script's

Glyphs = tuple[tuple[str, int, float, float], ...]


def measure_text(text: str, font: str, size_mm: float) -> float:
    """Advance of a line of text in mm, kerned, at a font size of ``size_mm``.

    Raises:
        ArtworkError: no such font, or a character it does not hold.
    """
    return _run(text, font)[1] * size_mm


def outline_text(text: str, font: str, size_mm: float) -> tuple[Path, float]:
    """A line of text as exact outlines.

    Args:
        text: one line; ligatures, kerning and marks follow the font's own rules.
        font: key of a packaged font: ``text``, ``text-bold`` or ``display``.
        size_mm: font size (em) in mm.

    Returns:
        The outlines (baseline at y = 0, start at x = 0, y up; quadratics raised to cubics
        exactly) and the advance in mm.

    Raises:
        ArtworkError: no such font, or a character it does not hold.
    """
    path, advance = _shaped(text, font)
    return path.transformed(Affine.scaling(size_mm)), advance * size_mm


def place_characters(
    text: str, font: str, size_mm: float
) -> tuple[tuple[float, ...], float] | None:
    """Where each character of a line stands when each keeps its own glyph, kerned, no ligatures.

    Args:
        text: one line, in Unicode's composed form (NFC).
        font: key of a packaged font.
        size_mm: font size (em) in mm.

    Returns:
        x of each character and the line's advance, in mm; None where the script needs other
        glyphs than its characters' own (joining, reordering, stacked marks) or another font.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    import uharfbuzz as hb  # type: ignore[import-untyped]

    face = harfbuzz_font(font)
    if not text:
        return (), 0.0
    if any(holder_of(c, font) != font for c in text) or any(levels_of(text)):
        return None
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    hb.shape(face, buffer, {"liga": False, "clig": False, "dlig": False, "calt": False})
    places, x, y = [], 0.0, 0
    pairs = zip(buffer.glyph_infos, buffer.glyph_positions, strict=True)
    for index, (info, position) in enumerate(pairs):
        own = info.cluster == index and info.codepoint == (
            face.get_nominal_glyph(ord(text[index])) or 0
        )
        y |= position.y_advance | position.y_offset
        if not own or y:
            return None
        places.append((x + position.x_offset) * size_mm / face.face.upem)
        x += position.x_advance
    return (tuple(places), x * size_mm / face.face.upem) if len(places) == len(text) else None


def _parts(text: str, font: str) -> list[tuple[str, str]]:
    """A text as stretches of one font each; spaces and joiners stay with what is round them."""
    parts: list[tuple[str, str]] = []
    for index, character in enumerate(text):
        holder = holder_of(character, font)
        if parts and not character.isalnum():
            before, after = parts[-1][0], _next_holder(text, index, font)
            held = is_unseen(character) or harfbuzz_font(before).get_nominal_glyph(ord(character))
            if held and (before == after or unicodedata.combining(character)):
                holder = before
        holder = holder or (parts[-1][0] if parts else font)
        if parts and parts[-1][0] == holder:
            parts[-1] = (holder, parts[-1][1] + character)
        else:
            parts.append((holder, character))
    return parts


def seen_order(text: str, font: str) -> list[tuple[str, str, int]]:
    """Stretches of one font (its key) and one embedding level, left to right as they are seen.

    A stretch of an odd level reads from right to left; its characters are in the order read.

    Raises:
        ArtworkError: no packaged font has that key.

    Source: [uax-9], rule L2.
    """
    levels, stretches = levels_of(text), []
    start = 0
    for key, part in _parts(text, font):
        for level, run in groupby(range(start, start + len(part)), levels.__getitem__):
            stretches.append((key, "".join(text[index] for index in run), level))
        start += len(part)
    for lowest in range(max(levels, default=0), 0, -1):
        stretches = turned(stretches, lowest)
    return stretches


def _next_holder(text: str, index: int, font: str) -> str:
    """The font of the first letter or digit from here on; "" when there is none."""
    return next((holder_of(c, font) for c in text[index:] if c.isalnum()), "")


@lru_cache(maxsize=16384)
def _run(text: str, font: str) -> tuple[Glyphs, float]:
    """Glyphs, each with its font and place, and the advance, at a font size of 1."""
    absent = missing_characters(text, font)
    if absent:
        raise ArtworkError(_absent_fault(text, font, absent))
    glyphs: list[tuple[str, int, float, float]] = []
    wide = 0.0
    for key, part, level in seen_order(unicodedata.normalize("NFC", text), font):
        shaped, advance = _shape(part, key, level)
        glyphs += [(key, glyph, wide + x, y) for glyph, x, y in shaped]
        wide += advance
    return tuple(glyphs), wide


def _shape(text: str, font: str, level: int) -> tuple[list[tuple[int, float, float]], float]:
    """One stretch in one font, in the order it is seen; right to left at an odd level."""
    import uharfbuzz as hb

    face = harfbuzz_font(font)
    buffer = hb.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if level % 2 else "ltr"
    if font in _SHAPED_AS:
        buffer.script, buffer.language = _SHAPED_AS[font]
    hb.shape(face, buffer)
    glyphs, x, y, em = [], 0.0, 0.0, face.face.upem
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        glyphs.append((info.codepoint, (x + position.x_offset) / em, (y + position.y_offset) / em))
        x += position.x_advance
        y += position.y_advance
    return glyphs, x / em


@lru_cache(maxsize=1024)
def _shaped(text: str, font: str) -> tuple[Path, float]:
    """Outlines and advance at a font size of 1."""
    glyphs, advance = _run(text, font)
    pen = _Pen()
    for key, glyph, x, y in glyphs:
        _draw(key, glyph)(pen, x, y)
    return pen.path(), advance


def _absent_fault(text: str, font: str, absent: str) -> Fault:
    named = ", ".join(
        f"{c!r} (U+{ord(c):04X} {unicodedata.name(c, 'control')})" for c in absent[:4]
    )
    more = f" and {len(absent) - 4} more" if len(absent) > 4 else ""
    holders = [key for key in FONT_FILES if key != font and not missing_characters(text, key)]
    mend = f"Set it in {' or '.join(holders)}" if holders else "Write it with other characters"
    return Fault(
        FONT_FILES[font], f"text {text[:60]!r}", None, f"the font does not hold {named}{more}", mend
    )


@lru_cache(maxsize=2048)
def _draw(font: str, glyph: int) -> Callable[[_Pen, float, float], None]:
    pen = _Pen()
    harfbuzz_font(font).draw_glyph_with_pen(glyph, pen)
    verbs = "".join(pen.verbs)
    points = np.array(pen.points, dtype=np.float64).reshape(-1, 2) / harfbuzz_font(font).face.upem

    def stamp(target: _Pen, x: float, y: float) -> None:
        target.verbs.append(verbs)
        target.points.extend(map(tuple, points + np.array([x, y])))

    return stamp


class _Pen:
    """Collects what HarfBuzz draws, in font units, as moves, lines and cubics."""

    def __init__(self) -> None:
        self.verbs: list[str] = []
        self.points: list[tuple[float, float]] = []

    def moveTo(self, point: tuple[float, float]) -> None:  # noqa: N802 (HarfBuzz calls it so)
        self._add("M", point)

    def lineTo(self, point: tuple[float, float]) -> None:  # noqa: N802 (HarfBuzz calls it so)
        self._add("L", point)

    def curveTo(self, *points: tuple[float, float]) -> None:  # noqa: N802 (HarfBuzz calls it so)
        self._add("C", *points)

    def qCurveTo(  # noqa: N802 (HarfBuzz calls it so)
        self, control: tuple[float, float], end: tuple[float, float]
    ) -> None:
        """A quadratic as the cubic that is the same curve: controls two thirds of the way."""
        start = self.points[-1]
        first, second = (
            ((p[0] + 2 * control[0]) / 3, (p[1] + 2 * control[1]) / 3) for p in (start, end)
        )
        self._add("C", first, second, end)

    def closePath(self) -> None:  # noqa: N802 (HarfBuzz calls it so)
        self._add("Z")

    def _add(self, verb: str, *points: tuple[float, float]) -> None:
        self.verbs.append(verb)
        self.points.extend(points)

    def path(self) -> Path:
        return Path("".join(self.verbs), np.array(self.points, dtype=np.float64).reshape(-1, 2))
