"""Pictures of a photograph to look at: small in its own colour profile, or drawn upon."""

from __future__ import annotations

import io
import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from livery.capture.photograph import Photograph, in_eight_bits

if TYPE_CHECKING:
    from PIL import Image

LONGEST_PX = 1600  # longest side shown [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Preview:
    """A JPEG's bytes, and the size of the photograph it shows, in px."""

    jpeg: bytes
    width_px: int
    height_px: int


def make_preview(photograph: Photograph) -> Preview:
    """Shrink a photograph, as decoded, for a page."""
    from PIL import Image

    image = Image.fromarray(in_eight_bits(photograph))
    image.thumbnail((LONGEST_PX, LONGEST_PX), Image.Resampling.BILINEAR, reducing_gap=2.0)
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=85, icc_profile=photograph.profile)
    return Preview(stream.getvalue(), *photograph.size_px)


def pack_png(picture: Image.Image) -> bytes:
    """A picture with a photograph in it as PNG.

    Noise has no repeats but of single bytes: looking for longer ones takes four times as long and
    saves a hundredth.
    """
    stream = io.BytesIO()
    picture.save(stream, "PNG", compress_type=zlib.Z_RLE)
    return stream.getvalue()
