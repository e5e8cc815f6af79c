"""What a season says: inks, palettes, kit, decals, orders, and the files they are read from."""

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
