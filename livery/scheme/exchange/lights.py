"""A light of the user's: its spectrum as two columns of text, or as they come from a meter."""

from __future__ import annotations

import re
from pathlib import Path

from livery.colour import Illuminant, light_from_spectrum
from livery.errors import ColourError
from livery.scheme.exchange.decoding import decode_text, read_bytes, refuse
from livery.scheme.exchange.numbers import parse_numbers


def read_light(path: Path | str, name: str = "") -> Illuminant:
    """Read a light's spectrum: wavelength in nm and relative power, one pair a line.

    Columns may be parted by blanks, tabs, semicolons or commas; a number sign begins a comment,
    and lines of words before the first pair are passed over.

    Args:
        path: the file.
        name: what to call the light; the file's name unless given.

    Raises:
        ExchangeError: it cannot be read, or is no light's spectrum.
    """
    shown = str(path)
    text, _ = decode_text(read_bytes(Path(path), shown), shown)
    rows: list[tuple[float, float]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        pair = _pair(line.partition("#")[0].strip())
        if pair is None or (isinstance(pair, str) and not rows and not line.strip()[0].isdigit()):
            continue
        if isinstance(pair, str):
            refuse(shown, pair, "Write wavelength and power on each line", line=number)
        rows.append(pair)
    try:
        waves, powers = zip(*rows, strict=True) if rows else ((), ())
        return light_from_spectrum(name or Path(path).stem, waves, powers)
    except ColourError as error:
        found, _, mend = str(error).partition(". ")
        refuse(shown, found.rstrip("."), mend or "Give 400 to 700 nm at the least")


def _pair(line: str) -> tuple[float, float] | str | None:
    """Wavelength and power; what is wrong, in words; None for an empty line."""
    if not line:
        return None
    parts = re.split(r"\s*[;\t]\s*|\s+", line)
    if len(parts) == 1:
        parts = line.split(",")
    parts = [part.rstrip(",") for part in parts if part]
    numbers = parse_numbers(parts)
    if isinstance(numbers, str):
        return numbers
    if len(numbers) != 2:
        return f"{len(numbers)} numbers instead of two"
    return (float(numbers[0]), float(numbers[1]))
