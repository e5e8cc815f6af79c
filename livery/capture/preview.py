"""A photograph to look at: small, in its own colour profile."""

from __future__ import annotations

import io
from dataclasses import dataclass

from livery.capture.photograph import Photograph, in_eight_bits

_LONGEST_PX = 1600  # longest side shown [source: workshop-choice]
_QUALITY = 85  # of its JPEG [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Preview:
    """A photograph made small.

    Attributes:
        jpeg: the file's bytes.
        width_px, height_px: of the photograph it shows, not of the JPEG.
    """

    jpeg: bytes
    width_px: int
    height_px: int


def make_preview(photograph: Photograph) -> Preview:
    """Shrink a photograph, as decoded, for a page."""
    from PIL import Image

    image = Image.fromarray(in_eight_bits(photograph))
    image.thumbnail((_LONGEST_PX, _LONGEST_PX), Image.Resampling.BILINEAR, reducing_gap=2.0)
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=_QUALITY, icc_profile=photograph.profile)
    return Preview(stream.getvalue(), *photograph.size_px)
