"""Folders that tests copy and compare."""

import shutil
from pathlib import Path

ROOT = Path(__file__).parents[2]


def copy_demo(folder: Path) -> Path:
    """The demonstration season, its decals and its palettes in a folder; the season's file."""
    for name in ("artwork_demo", "palettes"):
        shutil.copytree(ROOT / name, folder / name)
    return folder / "artwork_demo" / "season.toml"


def files_of(folder: Path) -> dict[str, bytes]:
    """Every file in a folder and below by its name there."""
    found = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}
