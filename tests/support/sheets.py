"""What a run's sheets hold as areas, and silhouettes to nest."""

from shapely import MultiPolygon, Polygon, box
from shapely.geometry import Point

from livery.sheet import Sheet, SheetRun
from livery.sheet.inspection import cut_areas
from livery.sheet.preparation import sheet_frame
from livery.sheet.silhouette import Silhouette
from livery.sheet.slug import run_inks

TURNS = (0.0, 90.0, 180.0, 270.0)
ELL = Polygon([(0, 0), (40, 0), (40, 12), (12, 12), (12, 30), (0, 30)])


def areas_on(run: SheetRun, sheet: Sheet) -> list[Polygon | MultiPolygon]:
    """What the cut lines of a sheet's items enclose, in the items' order."""
    return cut_areas(sheet, {d.key: d.decal.outline.polygon(0.005) for d in run.decals})


def usable_area(run: SheetRun) -> Polygon:
    """What of a sheet is for decals."""
    return box(*sheet_frame(run.profile, run.palette, run_inks(run)).usable)


def piece(key: str, area: Polygon, turns_deg: tuple[float, ...] = TURNS) -> Silhouette:
    """A silhouette that counts as large as it is."""
    return Silhouette(key, area, turns_deg, area.area)


def three_pieces() -> dict[str, Silhouette]:
    """A bar that may not be turned, a disc and an L."""
    disc = Point(0, 0).buffer(13)
    pieces = (piece("bar", box(0, 0, 44, 11), (0.0,)), piece("disc", disc), piece("ell", ELL))
    return {one.key: one for one in pieces}
