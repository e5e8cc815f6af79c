"""The packaged fonts: their files, their heights, and which of them holds a character."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from livery.errors import ArtworkError, Fault

FONT_FILES = {
    "text": "OpenSans-Regular.ttf",
    "text-bold": "OpenSans-Bold.ttf",
    "display": "LeagueSpartan-Bold.otf",
}

SCRIPT_FILES = {
    "devanagari": "NotoSansDevanagari-Regular.ttf",
    "tamil": "NotoSansTamil-Regular.ttf",
    "sinhala": "NotoSansSinhala-Regular.ttf",
    "arabic": "NotoNaskhArabic-Regular.ttf",
}
"""What draws the scripts that the fonts above do not hold, whichever of them was asked for."""


@dataclass(frozen=True, slots=True)
class FontHeights:
    """Heights of a font's capitals and of its x, as fractions of its size."""

    cap: float
    x: float


def script_font_files() -> tuple[str, ...]:
    """Names of the packaged font files that draw other scripts than Latin, Greek and Cyrillic."""
    return tuple(SCRIPT_FILES.values())


def font_bytes(font: str) -> bytes:
    """The font file itself, for a writer that embeds it.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    files = FONT_FILES | SCRIPT_FILES
    if font not in files:
        raise ArtworkError(
            Fault(font, "", None, f"no font {font!r}", f"Choose one of {', '.join(FONT_FILES)}")
        )
    return _bytes_of(files[font])


def _bytes_of(name: str) -> bytes:
    return resources.files("livery").joinpath("data", "fonts", name).read_bytes()


@lru_cache(maxsize=16)
def font_heights(font: str) -> FontHeights:
    """Heights of a packaged font.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    import uharfbuzz as hb  # type: ignore[import-untyped]

    face = harfbuzz_font(font)
    wanted = (hb.OTMetricsTag.CAP_HEIGHT, hb.OTMetricsTag.X_HEIGHT)
    return FontHeights(*(face.get_metric_position(tag) / face.face.upem for tag in wanted))


def font_for(text: str, preferred: str) -> str:
    """The preferred font where it holds the text, else the first packaged one that does.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    for font in (preferred, "text-bold", "text"):
        if not missing_characters(text, font):
            return font
    return preferred


@lru_cache(maxsize=4096)
def missing_characters(text: str, font: str) -> str:
    """The characters of a text that neither a font nor those of other scripts can draw.

    Returns:
        Each once, in order.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    composed = unicodedata.normalize("NFC", text)
    absent = [c for c in composed if not is_unseen(c) and not holder_of(c, font)]
    return "".join(dict.fromkeys(absent))


@lru_cache(maxsize=8192)
def holder_of(character: str, font: str) -> str:
    """The font that draws a character: the one asked for, one of its script, or none."""
    for key in (font, *SCRIPT_FILES):
        if harfbuzz_font(key).get_nominal_glyph(ord(character)):
            return key
    return ""


def is_unseen(character: str) -> bool:
    """Whether a character only steers shaping (joiners, direction marks) and draws nothing."""
    return unicodedata.category(character) == "Cf"


@lru_cache(maxsize=16)
def harfbuzz_font(font: str) -> Any:
    """A packaged font as HarfBuzz opened it.

    Raises:
        ArtworkError: no packaged font has that key.
    """
    import uharfbuzz as hb

    data = _bytes_of(SCRIPT_FILES[font]) if font in SCRIPT_FILES else font_bytes(font)
    return hb.Font(hb.Face(data))
