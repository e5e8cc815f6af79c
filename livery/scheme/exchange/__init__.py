"""Colour data of others: CGATS text (ISO 28178) and CxF/X (ISO 17972), read and written.

``reading`` tells the form of a file, which ``decoding`` made text of: ``cgats`` (its lines by
``cgats_lines``) or ``cxf``. Both take ``numbers`` strictly, settle percent or ``unit``, and hold a
head's ``conditions`` against themselves; a ``ColourFile`` comes out (``model``). ``settling``
brings it to D50, 2° and M1, or refuses. ``cgats_writing`` and ``cxf_writing`` write; ``lights``
reads the spectrum of a user's own lamp.
"""

from livery.scheme.exchange.cgats_writing import render_cgats
from livery.scheme.exchange.cxf_writing import render_cxf
from livery.scheme.exchange.lights import read_light
from livery.scheme.exchange.model import (
    ColourFile,
    Conditions,
    MeasurementCondition,
    Reading,
    Settled,
    Unit,
)
from livery.scheme.exchange.reading import read_colours
from livery.scheme.exchange.settling import settle

__all__ = [
    "ColourFile",
    "Conditions",
    "MeasurementCondition",
    "Reading",
    "Settled",
    "Unit",
    "read_colours",
    "read_light",
    "render_cgats",
    "render_cxf",
    "settle",
]
