from pathlib import Path

import pytest

from livery.artwork import read_artwork
from livery.scheme.model import DecalSpec, Finish, Ink, Palette, Role

OUTLINE = '<rect data-part="outline" x="0" y="0" width="20" height="10"/>'


@pytest.fixture
def palette():
    inks = [("tarn", 28.0), ("ember", 55.0), ("chalk", 94.0)]
    return Palette(
        "reeds",
        "Reeds",
        tuple(Ink(key, key.title(), (L, 1.0, 2.0), Finish.MATT, 2.0) for key, L in inks),
        "invented for the tests",
    )


@pytest.fixture
def svg(tmp_path):
    """Writes an artwork of 40 × 20 mm in 20 × 10 user units; returns its path."""

    def write(body, outline=OUTLINE, head='width="40mm" height="20mm" viewBox="0 0 20 10"'):
        path = tmp_path / "art.svg"
        root = f'<svg xmlns="http://www.w3.org/2000/svg" {head}>'
        path.write_text(f"{root}\n{body}\n{outline}</svg>", encoding="utf-8")
        return path

    return write


@pytest.fixture
def read(svg):
    """Reads an artwork of the given body."""
    return lambda *body, **more: read_artwork(svg(*body, **more))


@pytest.fixture
def spec():
    """Builds a decal spec of an artwork file."""

    def build(path: Path, **more):
        values = {"width_mm": 60.0, "role": Role.LETTERING, "thickness_mm": 0.15} | more
        return DecalSpec("strip", "Strip", path, **values)

    return build
