"""Colour data of others: CGATS text (ISO 28178) and CxF/X (ISO 17972), read and written."""

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
