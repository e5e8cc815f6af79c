"""Hypothesis strategies shared by the property tests, in one place."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
from hypothesis import strategies as st
from mutations import mutate
from shapely.geometry import Polygon
from small_season import SmallSeason

from livery.artwork.model import Decal
from livery.drawing import (
    Drawing,
    Layer,
    LayerKind,
    Page,
    Process,
    Shape,
    Spot,
    Stroke,
    Symbol,
    Use,
)
from livery.geometry import Affine, FillRule, Path
from livery.kit import build_surfaces
from livery.kit.model import Surface, Zone
from livery.limits import Rule, RuleBook, Severity
from livery.placement.intent import Intent, Part
from livery.scheme import bat_sizes
from livery.scheme.exchange import Conditions, MeasurementCondition, Reading
from livery.scheme.model import BladeDims, Spectrum


def lab_colours() -> st.SearchStrategy[tuple[float, float, float]]:
    """CIELAB within what surfaces and screens reach, exact greys and axes among them."""
    axis = st.one_of(st.just(0.0), st.floats(-128.0, 127.0, allow_subnormal=False))
    return st.tuples(st.floats(0.0, 100.0, allow_subnormal=False), axis, axis)


def affines() -> st.SearchStrategy[Affine]:
    """Maps of any six numbers of moderate size, flat ones too."""
    return st.builds(Affine, *[st.floats(-100, 100)] * 6)


def cubics() -> st.SearchStrategy[Path]:
    """A path of one cubic."""
    coordinate = st.floats(-50, 50).map(lambda value: round(value, 3))
    points = st.lists(st.tuples(coordinate, coordinate), min_size=4, max_size=4)
    return points.map(lambda four: Path("MC", np.array(four)))


def paths(reach: float, digits: int) -> st.SearchStrategy[Path]:
    """Subpaths of lines and cubics: open, closed or a bare move; each number of so many digits."""
    number = st.floats(-reach, reach).map(lambda value: round(value, digits))
    point = st.tuples(number, number)
    line = st.tuples(st.just("L"), st.tuples(point))
    cubic = st.tuples(st.just("C"), st.tuples(point, point, point))
    subpath = st.tuples(point, st.lists(st.one_of(line, cubic), max_size=6), st.booleans())
    return st.lists(subpath, min_size=1, max_size=6).map(_joined)


def _joined(subpaths: list) -> Path:
    verbs, points = "", []
    for start, steps, closed in subpaths:
        verbs += "M" + "".join(verb for verb, _ in steps) + ("Z" if closed and steps else "")
        points += [start, *(point for _, group in steps for point in group)]
    return Path(verbs, np.array(points))


def screen_codes() -> st.SearchStrategy[tuple[int, int, int]]:
    """8-bit red, green and blue."""
    return st.tuples(*[st.integers(0, 255)] * 3)


@st.composite
def spoilt_bytes(draw: st.DrawFn, whole: bytes) -> bytes:
    """A file with up to three places cut, repeated or overwritten."""
    content = bytearray(whole)
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, max(0, len(content) - 1)))
        stop = min(len(content), start + draw(st.integers(0, 40)))
        kind = draw(st.sampled_from(["cut", "repeat", "overwrite"]))
        if kind == "cut":
            del content[start:stop]
        elif kind == "repeat":
            content[stop:stop] = content[start:stop]
        else:
            content[start:stop] = draw(st.binary(max_size=8))
    return bytes(content)


_TOML_KEYS = st.text("abcXYZ019-_ .\"'é", min_size=1, max_size=6)
_TOML_VALUES = st.sampled_from(
    ["1", "-2.5e3", "true", "nan", '"a # b"', "'x'", "1979-05-27", '"""\nq\n"""', "[ ]", "{}"]
)


def _toml_key(key: str) -> str:
    """A key in double quotes, escaped."""
    return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'


@st.composite
def located_toml(draw: st.DrawFn) -> tuple[str, dict[tuple[str | int, ...], int]]:
    """TOML, and the line on which each key and element was written."""
    lines: list[str] = []
    where: dict[tuple[str | int, ...], int] = {}

    def pairs(base: tuple[str | int, ...]) -> None:
        for key in draw(st.lists(_TOML_KEYS, max_size=3, unique=True)):
            lines.extend(["# comment"] * draw(st.integers(0, 2)))
            where[(*base, key)] = len(lines) + 1
            values = draw(st.lists(_TOML_VALUES, min_size=1, max_size=3))
            if len(values) == 1:
                lines.extend(f"{_toml_key(key)} = {values[0]}".split("\n"))
                continue
            lines.append(f"{_toml_key(key)} = [")
            for index, value in enumerate(values):
                where[(*base, key, index)] = len(lines) + 1
                lines.extend(f"  {value},  # one".split("\n"))
            lines.append("]")

    pairs(())
    for table in draw(st.lists(_TOML_KEYS, max_size=3, unique=True)):
        name = f"table {table}"
        for index in range(draw(st.integers(1, 3))):
            where[(name, index)] = len(lines) + 1
            lines.append(f"[[{_toml_key(name)}]]")
            pairs((name, index))
            lines.append(f"[{_toml_key(name)}.{_toml_key('inner ' + table)}]")
            pairs((name, index, "inner " + table))
    return "\n".join(lines) + "\n", where


@st.composite
def blade_dims(draw: st.DrawFn) -> BladeDims:
    """Dimensions of a blade that contradict nothing, plausible or not."""
    blade = draw(st.floats(300.0, 620.0))
    width = draw(st.floats(70.0, 115.0))
    taper = draw(st.floats(0.0, width / 4))
    spine = draw(st.floats(15.0, min(80.0, width)))
    shoulder = draw(st.floats(20.0, 110.0))
    return BladeDims(
        overall_length=blade * 1.5,
        blade_length=blade,
        exposed_handle=blade * 0.5,
        grip_below_entry=draw(st.floats(-10.0, 70.0)),
        shoulder_length=shoulder,
        width=width,
        edge_thickness=draw(st.floats(5.0, spine)),
        spine_height=spine,
        handle_width=draw(st.floats(20.0, 45.0)),
        spine_from_toe=draw(st.floats(60.0, blade - shoulder)),
        toe_radius=draw(st.floats(0.0, (width - taper) / 2)),
        toe_thickness=draw(st.floats(5.0, spine)),
        taper=taper,
        source="drawn",
        hollow=draw(st.floats(-1.0, 1.0)),
        swell=draw(st.floats(1.0, 4.0)),
        entry_share=draw(st.floats(0.2, 1.0)),
        shoulder_power=draw(st.floats(1.0, 6.0)),
        bow=draw(st.floats(0.0, 25.0)),
    )


def _flat_shapes() -> st.SearchStrategy[Shape]:
    """Discs, rectangles, rings and lines in three inks or a process build."""
    spots = [Spot("tarn", (38, -22, -18)), Spot("ember", (62, 55, 60)), Spot("chalk", (92, 0, 6))]
    paints = st.sampled_from([*spots, Process(0.0, 0.8, 0.9, 0.0)])
    x, y = st.integers(4, 36).map(float), st.integers(4, 26).map(float)
    size = st.integers(3, 12).map(float)

    def disc(x: float, y: float, r: float) -> Path:
        return Path.circle(x, y, r)

    def box(x: float, y: float, r: float) -> Path:
        return Path.rectangle(x - r, y - r / 2, x + r, y + r / 2)

    def ring(x: float, y: float, r: float) -> Path:
        path = Path.circle(x, y, r) + Path.circle(x, y, r / 2)
        return Path(path.verbs, path.points, FillRule.EVENODD)

    outline = st.sampled_from([disc, box, ring])
    paths = st.builds(lambda make, x, y, r: make(x, y, r), outline, x, y, size)
    filled = st.builds(lambda path, paint: Shape(path, fill=paint), paths, paints)
    strokes = st.builds(Stroke, paints, st.sampled_from([1.0, 2.0]))
    lined = st.builds(lambda path, stroke: Shape(path, stroke=stroke), paths, strokes)
    return st.one_of(filled, lined)


@st.composite
def plate_drawings(draw: st.DrawFn) -> Drawing:
    """A page of 40 x 30 mm: shapes and symbols that knock one another out, plate by plate."""
    symbol = Symbol("part", tuple(draw(st.lists(_flat_shapes(), min_size=1, max_size=3))))
    turns = st.sampled_from([Affine(), Affine.rotation(90.0), Affine.scaling(-0.5, 0.5)])
    shifts = st.builds(Affine.translation, st.integers(-5, 25), st.integers(-5, 15))
    uses = st.builds(lambda shift, turn: Use("part", shift @ turn), shifts, turns)
    elements = draw(st.lists(st.one_of(_flat_shapes(), uses), min_size=1, max_size=6))
    layer = Layer("inks", LayerKind.INK, tuple(elements), plates=draw(st.booleans()))
    page = Page(40.0, 30.0, (layer,))
    return Drawing("Plates", (page,), (symbol,), output_condition="FOGRA39L")


@cache
def _face(size: str) -> Surface:
    """The face of a bat of a packaged size, with a barred post on it."""
    face = build_surfaces(bat_sizes()[size])[0]
    post = Polygon([(12.0, 118.0), (24.0, 121.0), (20.0, 132.0), (15.0, 124.0)])
    return replace(face, zones=(*face.zones, Zone("post", post, False)))


@st.composite
def decal_rings(draw: st.DrawFn) -> Path:
    """A decal's outline about the middle of its box: a star-like polygon, an oval or a bracket."""
    kind = draw(st.sampled_from(["star", "oval", "bracket"]))
    width, height = draw(st.floats(10.0, 70.0)), draw(st.floats(10.0, 70.0))
    if kind == "oval":
        return Path.circle(0.0, 0.0, 0.5).transformed(Affine(a=width, d=height))
    if kind == "bracket":
        bar = draw(st.floats(0.1, 0.4))
        ring = [(0, 0), (bar, 0), (bar, 1 - bar), (1 - bar, 1 - bar), (1 - bar, 0)]
        ring += [(1, 0), (1, 1), (0, 1)]
    else:
        radii = draw(st.lists(st.floats(0.3, 1.0), min_size=3, max_size=12))
        turns = [2 * math.pi * n / len(radii) for n in range(len(radii))]
        ring = [(r * math.cos(t), r * math.sin(t)) for r, t in zip(radii, turns, strict=True)]
    points = np.array(ring, dtype=np.float64) * (width, height)
    return Path.polyline(points - (points.min(axis=0) + points.max(axis=0)) / 2.0)


@st.composite
def graded_decals(draw: st.DrawFn) -> tuple[Intent, RuleBook]:
    """A decal wanted somewhere on the face of one of the eleven sizes, and limits on it."""
    face = _face(draw(st.sampled_from(sorted(bat_sizes()))))
    outline = draw(decal_rings())
    x0, y0, x1, y1 = outline.bounds()
    decal = Decal("d", "D", (), outline, x1 - x0, y1 - y0, 0.1, "decoration", True)
    scale = draw(st.floats(0.6, 1.5))
    turn = Affine.rotation(-draw(st.sampled_from([0.0, 90.0, 33.0])))
    mirrored = draw(st.booleans())
    part = Part("d", decal, turn @ Affine.mirror_x() if mirrored else turn, mirrored)
    intent = Intent(
        key="d",
        parts=(part,),
        surface=face,
        x_mm=draw(st.sampled_from([0.0, -8.0, 11.3])),
        y_mm=draw(st.floats(30.0, 240.0)),
        scale=scale,
        least_scale=scale * draw(st.floats(0.2, 1.0)),
        slide_mm=draw(st.sampled_from([0.0, 4.0, 25.0])),
    )
    limits: list[tuple[str, dict[str, float | str]]] = [
        ("inside-surface", {"gap": draw(st.sampled_from([0.0, 3.0]))}),
        ("clear-of-zone", {"gap": draw(st.sampled_from([0.0, 2.0]))}),
        ("confined-within", {"datum": "grip-bottom", "within": 228.6}),
        ("beyond-at-least", {"datum": "grip-bottom", "gap": 5.0}),
    ]
    rules = tuple(
        Rule(check, check, check, values, (), (), Severity.LIMIT, "drawn", "", "drawn")
        for check, values in limits
    )
    return intent, RuleBook("drawn", "Drawn", rules)


@st.composite
def readings(draw: st.DrawFn) -> list[Reading]:
    """Readings under one set of conditions: all with Lab, all with spectra, or all with both."""
    what = draw(st.sampled_from(("lab", "spectra", "both")))
    letters = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn", "Zl", "Zp", "Co"))
    words = st.text(letters, min_size=1, max_size=20).map(lambda text: " ".join(text.split()))
    labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))
    # Bright enough that a file of nothing but these cannot be percent.
    curves = st.lists(st.floats(0.001, 0.15), min_size=36, max_size=36)
    shared = draw(
        st.builds(
            Conditions,
            st.sampled_from(("D50", "D65", "A", "FL11")),
            st.sampled_from((2, 10)),
            st.sampled_from(tuple(MeasurementCondition)),
        )
    )
    found = []
    for number in range(draw(st.integers(1, 4))):
        curve = np.array(draw(curves)) if what != "lab" else None
        spectrum = None if curve is None else Spectrum(np.arange(380.0, 731.0, 10.0), curve)
        lab = draw(labs) if what != "spectra" else None
        found.append(Reading(draw(words) or "x", f"{number}", lab, spectrum, shared))
    return found


def small_seasons() -> st.SearchStrategy[SmallSeason]:
    """Small seasons that differ in what a build may depend on."""
    players = st.sampled_from(["Ada Reed", "Bram Lo", "Zoë"])
    return st.builds(
        SmallSeason,
        orders=st.dictionaries(st.sampled_from(["Q-1", "Q-2", "Q.2", "q-1"]), players, max_size=3),
        revision=st.integers(1, 2),
        stock=st.sampled_from([210, 320]),
        price=st.sampled_from([1.0, 2.5]),
        badge=st.sampled_from([30, 28]),
        spares=st.integers(0, 2),
        name_y=st.sampled_from([120, 125]),
        circle=st.sampled_from([5, 6]),
        lab_a=st.sampled_from([-3, -4]),
        prints=st.sampled_from(["spot", "process"]),
        own_book=st.booleans(),
    )


def bad_files(seeds: tuple[bytes, ...]) -> st.SearchStrategy[bytes]:
    """Good files spoilt byte by byte, or by what readers are known to stumble over; and noise."""
    numbers = st.integers(0, 2**31 - 1)
    stumbling = numbers.map(lambda number: mutate(seeds, 0, number))
    return st.one_of(st.sampled_from(seeds).flatmap(spoilt_bytes), stumbling, st.binary())
