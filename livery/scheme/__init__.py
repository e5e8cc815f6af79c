"""What a season says: inks, palettes, kit, decals, orders, and the files they are read from.

In comes ``season.toml``; out goes a ``Scheme`` (``model``, with ``kit_model`` and ``print_model``),
or every fault at once. ``season`` goes these steps:

1. ``reading`` decodes and parses a file, and ``locator`` tells on which line a key stands;
2. ``references`` and ``alignments`` look at names on the raw tables;
3. ``season_tables`` and ``palette_tables``, of ``fields``, hold the shape of the files; ``faults``
   says in plain words what they object to;
4. ``assembly`` makes values of the tables, with the ``palettes`` and ``sizes`` they name, and
   ``consistency`` holds these against each other.

``exchange`` reads and writes colour data of others.
"""

from livery.scheme.season import load_season
from livery.scheme.sizes import (
    bat_sizes,
    check_dims,
    panel_keys,
    resolve_dims,
    size_keys,
    size_name,
    soft_sizes,
)

__all__ = [
    "bat_sizes",
    "check_dims",
    "load_season",
    "panel_keys",
    "resolve_dims",
    "size_keys",
    "size_name",
    "soft_sizes",
]
