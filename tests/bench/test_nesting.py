"""How densely sheets are filled: against the search alone, against boxes, against lattices."""

import math
from collections.abc import Iterator

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from pytest_benchmark.fixture import BenchmarkFixture
from shapely.geometry import Point, Polygon

from livery.sheet.filling import fill_sheets
from livery.sheet.silhouette import Room, Silhouette, spot_area
from livery.sheet.tiling import tile_low

GAP_MM = 3.0
CHORD_MM = 0.008  # by how much a round corner drawn in chords falls short
WIDTH_MM = 290.0
TURNS = (0.0, 90.0, 180.0, 270.0)


def mixed_shapes(seed: int = 1) -> list[Polygon]:
    """Thirty ellipses, bars, triangles, ells and three-lobed rosettes."""
    rng = np.random.default_rng(seed)
    shapes = []
    for number in range(30):
        w, h = rng.uniform(20, 80) / 2, rng.uniform(15, 60) / 2
        angles = np.linspace(0, 2 * np.pi, 40, endpoint=False)
        lobes = 1 + 0.3 * np.sin(3 * angles)
        kinds = (
            shapely.affinity.scale(Point(0, 0).buffer(1), w, h),
            shapely.box(-w, -0.4 * h, w, 0.4 * h),
            Polygon([(-w, -h), (w, -h), (0, h)]),
            Polygon([(-w, -h), (w, -h), (w, -h / 3), (-w / 3, -h / 3), (-w / 3, h), (-w, h)]),
            Polygon(np.c_[w * lobes * np.cos(angles), h * lobes * np.sin(angles)]),
        )
        shapes.append(kinds[number % 5])
    return shapes


def pieces_of(shapes: list[Polygon]) -> dict[str, Silhouette]:
    grown = [shape.buffer(GAP_MM / 2 + CHORD_MM) for shape in shapes]
    return {
        f"{n:02d}": Silhouette(f"{n:02d}", area, TURNS, shapes[n].area)
        for n, area in enumerate(grown)
    }


def strip_density(shapes: list[Polygon]) -> float:
    """Density on a roll of the usual width, by the plain nesting, every gap looked at again."""
    pieces = pieces_of(shapes)
    room = Room(WIDTH_MM + GAP_MM, 600.0, 0.6)
    (spots,) = fill_sheets([(piece, 1) for piece in pieces.values()], room, roll=True)
    areas = [spot_area(pieces[spot.key], spot) for spot in spots]
    bare = [
        shapely.affinity.translate(
            shapely.affinity.rotate(shapes[int(spot.key)], spot.turn_deg, origin=(0, 0)),
            spot.x_mm,
            spot.y_mm,
        )
        for spot in spots
    ]
    one, other = shapely.STRtree(bare).query(bare, predicate="dwithin", distance=GAP_MM - 1e-6)
    assert (one == other).all()
    x0, y0, x1, y1 = shapely.total_bounds(areas)
    assert x0 >= -1e-6
    assert y0 >= -1e-6
    assert x1 <= room.width_mm + 1e-6
    return sum(shape.area for shape in shapes) / (WIDTH_MM * (y1 - GAP_MM))


def searched_density(shapes: list[Polygon], seconds: int) -> float:
    import spyrrow

    items = [
        spyrrow.Item(str(n), list(shape.exterior.coords)[:-1], 1, list(TURNS))
        for n, shape in enumerate(shapes)
    ]
    config = spyrrow.StripPackingConfig(
        early_termination=False,
        min_items_separation=GAP_MM,
        total_computation_time=seconds,
        num_workers=1,
        seed=1,
    )
    instance = spyrrow.StripPackingInstance("bench", WIDTH_MM + 2 * GAP_MM, items)
    length = instance.solve(config).width - 2 * GAP_MM
    return sum(shape.area for shape in shapes) / (WIDTH_MM * length)


def box_density(shapes: list[Polygon]) -> float:
    import rectpack

    best = 0.0
    for height in range(200, 700, 5):
        packer = rectpack.newPacker(rotation=True)
        for shape in shapes:
            x0, y0, x1, y1 = shape.bounds
            packer.add_rect(math.ceil((x1 - x0 + GAP_MM) * 10), math.ceil((y1 - y0 + GAP_MM) * 10))
        packer.add_bin(round((WIDTH_MM + GAP_MM) * 10), height * 10)
        packer.pack()
        if len(packer.rect_list()) == len(shapes):
            best = sum(shape.area for shape in shapes) / (WIDTH_MM * (height - GAP_MM))
            break
    return best


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_mixed_shapes_against_boxes_and_the_search(seed: int, benchmark: BenchmarkFixture) -> None:
    shapes = mixed_shapes(seed)
    ours = benchmark.pedantic(strip_density, (shapes,), rounds=1)
    searched, boxes = searched_density(shapes, 60), box_density(shapes)
    print(f"\nset {seed}: ours {ours:.4f}, search alone {searched:.4f}, boxes {boxes:.4f}")
    assert ours >= 1.3 * boxes
    assert ours >= 0.97 * searched


ELLIPSES = (
    (25.0, 25.0, 0.0),
    (40.0, 40.0, 0.0),
    (30.0, 18.0, 0.0),
    (44.0, 28.0, 0.0),
    (36.0, 30.0, 0.0),
    (60.0, 20.0, 0.0),
    (60.0, 20.0, 30.0),
    (60.0, 20.0, 45.0),
    (80.0, 16.0, 20.0),
    (50.0, 12.0, 60.0),
)
STRIP_MM, COPIES = 600.0, 500


@pytest.mark.parametrize(("a", "b", "turn"), ELLIPSES)
def test_five_hundred_equal_ellipses_against_the_best_lattice(
    a: float, b: float, turn: float, benchmark: BenchmarkFixture
) -> None:
    """Against the best that any lattice keeps whole on the strip; and, told only, without edges."""
    shape = shapely.affinity.scale(Point(0, 0).buffer(1, quad_segs=32), a / 2, b / 2)
    shape = shapely.affinity.rotate(shape, turn)
    piece = Silhouette("ellipse", shape.buffer(GAP_MM / 2), TURNS, shape.area)
    strip = Room(STRIP_MM, 3000.0, 0.5)
    spots = benchmark.pedantic(tile_low, (piece, strip, COPIES), rounds=1)
    assert len(spots) == COPIES
    areas = [spot_area(piece, spot) for spot in spots]
    one, other = shapely.STRtree(areas).query(areas, predicate="dwithin", distance=1e-9)
    shared = shapely.intersection(np.array(areas)[one], np.array(areas)[other])
    assert (shapely.area(shared)[one != other] <= 1e-6).all()
    x0, y0, x1, y1 = shapely.total_bounds(areas)
    assert x0 >= -1e-6
    assert y0 >= -1e-6
    assert x1 <= STRIP_MM + 1e-6
    endless = COPIES * max(piece.area.area / cell for cell in map(cell_of, lattices(piece.area)))
    whole, density = shortest_whole(piece.area), COPIES * piece.area.area / (STRIP_MM * y1)
    print(f"\n{a:g} x {b:g} at {turn:g}: {y1:.1f} mm, a lattice {whole:.1f}: {whole / y1:.3f}; ")
    print(f"density {density:.4f}, without edges {endless / COPIES:.4f}")
    assert y1 <= whole / 0.95


Basis = NDArray[np.float64]


def lattices(area: Polygon) -> Iterator[Basis]:
    """Dense lattices of a convex area symmetric about the origin: u, v and v - u all touch."""
    edge = shapely.affinity.scale(area, 2.0, 2.0, origin=(0, 0)).exterior
    for at in np.linspace(0.0, 0.5, 120, endpoint=False):
        u = edge.interpolate(at, normalized=True)
        met = edge.intersection(shapely.affinity.translate(edge, u.x, u.y))
        yield np.array([(u.x, u.y), shapely.get_coordinates(met)[0]])


def cell_of(basis: Basis) -> float:
    """What a lattice takes for each copy, mm²."""
    return abs(float(np.linalg.det(basis)))


def shortest_whole(area: Polygon) -> float:
    """The least length of strip on which any of the lattices, wherever laid, has so many whole."""
    best, steps = math.inf, np.arange(-150, 151)
    numbers = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2)
    for turn in TURNS[:2]:
        turned = shapely.affinity.rotate(area, turn, origin=(0, 0))
        x0, y0, x1, y1 = turned.bounds
        for basis in map(reduced, lattices(turned)):
            at = numbers @ basis
            reach = 1.5 * COPIES * cell_of(basis) / STRIP_MM
            at = at[(np.abs(at[:, 1]) < reach) & (np.abs(at[:, 0]) <= STRIP_MM)]
            for part in np.linspace(0.0, 1.0, 8, endpoint=False):
                x = at[:, 0] + part * basis[0, 0]
                y = np.sort(at[(x >= 0.0) & (x <= STRIP_MM - (x1 - x0)), 1])
                spans = y[COPIES - 1 :] - y[: len(y) - COPIES + 1]
                best = min(best, float(spans.min(initial=math.inf)) + y1 - y0)
    return best


def reduced(basis: Basis) -> Basis:
    """The same lattice by its shortest vectors."""
    short, long = sorted(basis, key=lambda vector: float(vector @ vector))
    while (times := round(float(short @ long) / float(short @ short))) != 0:
        short, long = sorted((short, long - times * short), key=lambda v: float(v @ v))
    return np.array([short, long])
