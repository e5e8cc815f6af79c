"""A colour file of either form, told apart by what it holds."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

from livery.scheme.exchange.cgats import read_cgats
from livery.scheme.exchange.cxf import read_cxf
from livery.scheme.exchange.decoding import decode_text, read_bytes, refuse
from livery.scheme.exchange.model import ColourFile, Unit


def read_colours(path: Path | str, reflectance: Unit | None = None) -> ColourFile:
    """Read a CGATS text or a CxF file.

    Args:
        path: the file.
        reflectance: what its reflectances are, where the file leaves it open.

    Returns:
        What the file says, as it says it.

    Raises:
        ExchangeError: every fault found.

    Source:
        [source: iso-28178], [source: cxf-3]
    """
    shown = str(path)
    return parse_colours(read_bytes(Path(path), shown), shown, reflectance)


def parse_colours(data: bytes, shown: str, reflectance: Unit | None = None) -> ColourFile:
    """Read the bytes of a colour file; see ``read_colours``.

    Raises:
        ExchangeError: every fault found.
    """
    digest = hashlib.sha256(data).hexdigest()
    text, notes = decode_text(data, shown)
    start = text.lstrip("\ufeff \t\r\n")
    if start.startswith("<"):
        return replace(read_cxf(data, shown, reflectance), digest=digest)
    if "BEGIN_DATA" not in start.upper():
        found = "this is neither a CGATS text nor a CxF file"
        refuse(shown, found, "Export the measurements as CGATS (ISO 28178) or CxF")
    return replace(read_cgats(text, shown, reflectance, notes), digest=digest)
