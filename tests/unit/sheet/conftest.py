import math
from pathlib import Path as FilePath

import numpy as np
import pytest

from livery.artwork.model import Decal, InkRegion
from livery.geometry import Affine, Path
from livery.kit.model import KitItem
from livery.placement.model import Layout, Placement
from livery.scheme.model import (
    DecalSpec,
    Finish,
    Hand,
    Ink,
    ItemKind,
    Palette,
    PrintProfile,
    Role,
    Scheme,
)
from livery.sheet import make_sheets

INKS = (
    Ink("tarn", "Tarn", (30.0, -8.0, -28.0), Finish.SATIN, 2.0),
    Ink("ember", "Ember", (58.0, 52.0, 48.0), Finish.SATIN, 2.0),
    Ink("chalk", "Chalk", (93.0, 0.0, 3.0), Finish.MATT, 2.0),
    Ink("pitch", "Pitch", (18.0, 0.0, -1.0), Finish.MATT, 2.0),
    Ink("glint", "Glint", (72.0, 1.0, 4.0), Finish.METALLIC, 3.0),
)


def ellipse(width, height):
    return Path.circle(0, 0, 1).transformed(Affine.scaling(width / 2, height / 2))


def shield(width, height):
    w, h = width / 2, height / 2
    points = [(-w, -h), (w, -h), (w, 0), (w, h * 0.6), (w * 0.5, h), (0, h)]
    points += [(-w * 0.5, h), (-w, h * 0.6), (-w, 0)]
    return Path("MLLCCZ", np.array(points, dtype=float))


def star(width, height):
    angles = [math.pi * k / 5 - math.pi / 2 for k in range(10)]
    radii = [1.0 if k % 2 == 0 else 0.55 for k in range(10)]
    points = [(r * math.cos(a), r * math.sin(a)) for a, r in zip(angles, radii, strict=True)]
    path = Path.polyline(points)
    x0, y0, x1, y1 = path.bounds()
    centred = path.transformed(Affine.translation(-(x0 + x1) / 2, -(y0 + y1) / 2))
    return centred.transformed(Affine.scaling(width / (x1 - x0), height / (y1 - y0)))


def bar(width, height):
    return Path.rectangle(-width / 2, -height / 2, width / 2, height / 2)


def decal(key, outline, regions, role=Role.DECORATION, texts=()):
    x0, y0, x1, y1 = outline.bounds()
    parts = tuple(InkRegion(ink, path) for ink, path in regions)
    name = key.split("#")[0].replace("-", " ").capitalize()
    return Decal(key, name, parts, outline, x1 - x0, y1 - y0, 0.15, role, False, tuple(texts))


def badge():
    """Two inks meet at the cut line; a third stands inside."""
    outline = shield(58, 64)
    right = Path.rectangle(0, -32, 29, 32).polygon().intersection(outline.polygon())
    inside = ellipse(26, 30)
    regions = [("tarn", outline), ("ember", Path.from_geometry(right)), ("chalk", inside)]
    return decal("badge", outline, regions, Role.IDENTIFICATION)


def roundel():
    outline = ellipse(44, 28)
    return decal("roundel", outline, [("ember", outline), ("pitch", ellipse(20, 12))])


def spark():
    outline = star(30, 28)
    return decal("spark", outline, [("chalk", outline), ("tarn", star(16, 15))])


def name_strip(name):
    outline = bar(70, 12)
    words = bar(len(name) * 3.0, 5)
    regions = [("pitch", outline), ("chalk", words)]
    return decal(f"name-strip#{name}", outline, regions, Role.LETTERING, [("player", name)])


def kit_item(hand=Hand.RIGHT):
    return KitItem("sedge", "Sedge", ItemKind.BAT, "short-handle", hand, "", ())


def placement(key, decal, scale=1.0, mirrored=False):
    return Placement(key, decal, "face", Affine.scaling(scale), scale, mirrored)


def layout(order, player, copies=1, scale=1.0, mirrored=False):
    placements = (
        placement("badge-face", badge(), scale),
        placement("roundel-back", roundel(), mirrored=mirrored),
        placement("spark-left", spark()),
        placement("spark-right", spark()),
        placement("name", name_strip(player)),
    )
    return Layout(kit_item(), placements, (), order, player, copies)


def make_scheme(profile=None, spares=0):
    specs = tuple(
        DecalSpec(key, key, FilePath(f"{key}.svg"), 50.0, Role.DECORATION, 0.15, (), True, 1.0, n)
        for key, n in (("badge", spares), ("roundel", 0), ("spark", 0), ("name-strip", 0))
    )
    palette = Palette("reedlight", "Reedlight", INKS, "invented")
    return Scheme(
        FilePath("season.toml"),
        "Reedlight",
        "Quillmere Bat Works",
        3,
        "2027-01-18",
        "",
        palette,
        (),
        (),
        specs,
        (),
        (),
        profile or PrintProfile(),
        "short-handle",
        (),
    )


class Shop:
    """Makers of invented seasons, decals and layouts."""

    ellipse = staticmethod(ellipse)
    shield = staticmethod(shield)
    star = staticmethod(star)
    bar = staticmethod(bar)
    decal = staticmethod(decal)
    badge = staticmethod(badge)
    roundel = staticmethod(roundel)
    name_strip = staticmethod(name_strip)
    placement = staticmethod(placement)
    kit_item = staticmethod(kit_item)
    layout = staticmethod(layout)
    scheme = staticmethod(make_scheme)


@pytest.fixture(scope="session")
def shop():
    return Shop


@pytest.fixture(scope="session")
def plain_run(layouts):
    """The season's orders on sheets by the default profile."""
    return make_sheets(make_scheme(), layouts)


@pytest.fixture(scope="session")
def layouts():
    names = ("T. Orrowby", "I. Fenwell", "M. Sallowby", "A. Reedham")
    return [layout(f"Q-{101 + i}", name, 1 + i % 2) for i, name in enumerate(names)]
