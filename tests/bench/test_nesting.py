"""How densely sheets are filled: against the search alone, against boxes, against lattices."""

import math

import numpy as np
import pytest
import shapely
from pytest_benchmark.fixture import BenchmarkFixture
from shapely.geometry import Point, Polygon

from livery.sheet.filling import fill_sheets
from livery.sheet.lattice import tile
from livery.sheet.silhouette import Room, Silhouette, Spot, spot_area

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


@pytest.mark.parametrize(
    ("a", "b", "turn"),
    [
        (30.0, 18.0, 0.0),
        (44.0, 28.0, 0.0),
        (44.0, 28.0, 90.0),
        (60.0, 20.0, 0.0),
        (36.0, 30.0, 0.0),
    ],
)
def test_five_hundred_equal_ellipses_against_the_best_lattice(
    a: float, b: float, turn: float, benchmark: BenchmarkFixture
) -> None:
    """The best lattice of a grown ellipse, found by trying every shear of rows."""
    shape = shapely.affinity.scale(Point(0, 0).buffer(1, quad_segs=32), a / 2, b / 2)
    shape = shapely.affinity.rotate(shape, turn)
    piece = Silhouette("ellipse", shape.buffer(GAP_MM / 2), TURNS, shape.area)
    spots = benchmark.pedantic(shortest_tiling, (piece, 500), rounds=1)
    areas = [spot_area(piece, spot) for spot in spots]
    one, other = shapely.STRtree(areas).query(areas, predicate="dwithin", distance=1e-9)
    shared = shapely.intersection(np.array(areas)[one], np.array(areas)[other])
    assert (shapely.area(shared)[one != other] <= 1e-6).all()
    x0, y0, x1, y1 = shapely.total_bounds(areas)
    assert x0 >= -1e-6
    assert y0 >= -1e-6
    assert x1 <= 600.0 + 1e-6
    density, best = len(spots) * piece.area.area / (600.0 * y1), best_lattice(piece.area)
    print(f"\n{len(spots)} ellipses: {density:.4f}, best lattice {best:.4f}, {density / best:.3f}")
    assert density >= 0.95 * best  # of an endless lattice; the strip has edges


def shortest_tiling(piece: Silhouette, count: int) -> list[Spot]:
    """The tiling of the first of ever longer strips that holds so many."""
    height = count * piece.area.area / 600.0
    while True:
        spots = tile(piece, Room(600.0, height, 0.5))
        if len(spots) >= count:
            return spots
        height *= 1.005


def best_lattice(area: Polygon) -> float:
    """Greatest density of any lattice whose first vector is a touching one, by trial."""
    best = 0.0
    for angle in np.arange(0.0, 180.0, 7.5):
        turned = shapely.affinity.rotate(area, angle, origin=(0, 0))
        across = touching(turned, 1.0, 0.0, [])
        for shear in np.linspace(0.0, 1.0, 25):
            rise = touching(turned, 0.0, 1.0, [shear * across + k * across for k in (-2, -1, 0, 1)])
            best = max(best, area.area / (across * rise))
    return best


def touching(area: Polygon, x: float, y: float, shifts: list[float]) -> float:
    low, high = 0.0, 200.0
    for _ in range(22):
        middle = (low + high) / 2
        moved = [
            shapely.affinity.translate(area, x * middle + shift, y * middle)
            for shift in (shifts or [0.0])
        ]
        if any(area.intersects(other) for other in moved):
            low = middle
        else:
            high = middle
    return high
