"""A palette by itself, read as a season reads the one it names."""

from pathlib import Path

from livery.errors import SeasonError
from livery.scheme.model import Palette
from livery.scheme.palettes import read_palette
from livery.scheme.reading import read_document


def load_palette(path: Path) -> Palette:
    palette, faults = read_palette(read_document(path))
    if palette is None:
        raise SeasonError(*faults)
    return palette
