"""The whole job on an invented season, with simulated photographs."""

from __future__ import annotations

import sysconfig
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import livery
from livery.capture import (
    annotate,
    capture_to_json,
    make_target,
    measure_photograph,
    read_photograph,
    with_measured,
    write_regions,
    write_target,
)
from livery.capture.model import Region, Target
from livery.crew import Crew, Task, Watch, unwatched
from livery.drawing import LabColour
from livery.errors import Fault, SeasonError
from livery.geometry import Affine
from livery.jobs.building import make_season, write_index
from livery.jobs.index import Figure, Section
from livery.jobs.making import Kept, Made, Workbench, files_below
from livery.jobs.matching import MatchInputs, match_season
from livery.jobs.photographs import capture_text
from livery.jobs.player_papers import make_order
from livery.jobs.rails_rehearsal import rails_section, rehearse_rails
from livery.jobs.staging import StagedItem, stage
from livery.jobs.survey import Survey, survey
from livery.kit.model import KitItem
from livery.match.marks import count_verdicts
from livery.match.model import Comparison
from livery.output import write_pdf
from livery.placement import Layout
from livery.rehearsal import (
    Camera,
    Light,
    Pose,
    SceneRegion,
    Spot,
    make_scene,
    render,
    write_photograph,
)
from livery.scheme.model import ItemKind, Scheme
from livery.writing import StagedFolder, write_whole

LIBRARIES = ("cv2", "PIL.ImageDraw", "scipy.interpolate", "scipy.optimize")
_SEED = 7
_APART_MM = 12.0  # between things on the simulated bench
_SIMULATED = "Simulated photograph, not a real one."


@dataclass(frozen=True, slots=True, eq=False)
class Take:
    """One simulated photograph of the demo; every number in it is invented.

    Attributes:
        words: what the demo shows with it.
        shifts: how an item's inks differ from the aim, by item name.
    """

    key: str
    words: str
    light: Light
    camera: Camera
    pose: Pose
    shifts: Mapping[str, Mapping[str, LabColour]] = field(default_factory=dict)


_GOOD = {
    "bat": {"tarn": (0.3, -0.2, 0.3), "ember": (-0.3, 0.4, 0.2)},
    "glove": {"tarn": (0.4, 0.2, -0.4), "ember": (0.3, -0.4, 0.4)},
    "pad": {"tarn": (-0.3, 0.3, 0.3), "ember": (0.2, 0.5, -0.3)},
}
_TAKES = (
    Take(
        "kit-together",
        "Bat, glove and pad of one order, by window light",
        Light("D50", uneven=0.12, falloff=0.04),
        Camera(width_px=3000, height_px=4000),
        Pose(tilt_deg=12.0, turn_deg=-7.0),
        _GOOD,
    ),
    Take(
        "pad-of-another-batch",
        "The same kit, with a pad from another batch",
        Light("LED-B3", uneven=0.10, falloff=0.04),
        Camera(width_px=3000, height_px=4000),
        Pose(tilt_deg=-10.0, turn_deg=9.0, roll_deg=4.0),
        {**_GOOD, "pad": {**_GOOD["pad"], "ember": (6.0, -8.0, 7.0), "tarn": (4.0, 0.0, 5.0)}},
    ),
    Take(
        "film-left-on",
        "Protective film left on, a lamp in it, and the camera moved",
        Light("D50", uneven=0.25, spots=(Spot(30.0, 90.0, 50.0, 0.35),)),
        Camera(width_px=3000, height_px=4000, defocus_px=2.5, veil=0.04),
        Pose(tilt_deg=16.0),
        _GOOD,
    ),
)


@dataclass(frozen=True, slots=True)
class DemoResult:
    """What the demo left behind."""

    folder: Path
    files: tuple[Path, ...]
    limits_broken: int
    summary: tuple[str, ...]

    def as_data(self) -> dict[str, object]:
        """For ``--json``."""
        return {
            "folder": str(self.folder),
            "files": [name.as_posix() for name in self.files],
            "limits_broken": self.limits_broken,
            "summary": list(self.summary),
        }


def run_demo(out: Path, crew: Crew | None = None, watch: Watch = unwatched) -> DemoResult:
    """Build the demo season, measure its photographs, write everything and an index page.

    Raises:
        SeasonError: the demo season is not where livery is installed.
        OutputError: the folder cannot be written.
    """
    if crew is not None:
        crew.expect(make_take, rehearse_rails, make_order)
    found = survey(demo_season(), watch)
    with StagedFolder(out) as staged:
        bench = Workbench(staged, crew, watch)
        tasks = _photograph_tasks(found, staged.path)
        sections, photographs = make_season(found, bench, staged, watch, beside=tasks)
        *takes, rails = photographs
        shown = (_photograph_section(takes), rails_section(rails.words, rails.figures))
        write_index(found, staged, (*shown, *sections))
        files = tuple(map(Path, staged.digests()))
    held = sum(f.ok for f in found.findings)
    summary = (
        f"{len(found.findings)} checks of limits, {held} hold, {len(found.broken)} broken",
        *(one.words for one in photographs),
    )
    return DemoResult(out, files, len(found.broken), summary)


def demo_season() -> Path:
    """Where the demo season lies: beside the source, or where the wheel put it.

    Raises:
        SeasonError: in neither place.
    """
    beside = Path(livery.__file__).parent.parent
    installed = Path(sysconfig.get_path("data")) / "share" / "livery"
    for root in (beside, installed):
        season = root / "artwork_demo" / "season.toml"
        if season.is_file():
            return season
    fault = Fault("artwork_demo/season.toml", "", None, "not found", "Install livery again")
    raise SeasonError(fault)


def _photograph_tasks(found: Survey, folder: Path) -> list[Task[Made]]:
    target, drawing = make_target("chart", found.scheme.palette)
    # The simulated print has exactly the values asked for; a real one is measured.
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    write_pdf(drawing, folder / "target" / "target.pdf")
    write_target(target, folder / "target" / "target.toml")
    own = found.of_order(found.scheme.orders[0])
    scheme = replace(found.scheme, orders=())
    return [
        *(Task(f"photograph {one.key}", make_take, (one, scheme, own, target)) for one in _TAKES),
        Task("photograph between rails", rehearse_rails, (scheme, own)),
    ]


def make_take(take: Take, scheme: Scheme, layouts: tuple[Layout, ...], target: Target) -> Made:
    """One simulated photograph, what was measured in it, and whether it matches."""
    scene_regions: list[SceneRegion] = []
    regions: list[Region] = []
    for item in _staged(take, layouts, target):
        shown, spots = stage(item, scheme.palette, (target.width_mm / 2, target.height_mm / 2))
        scene_regions += shown
        regions += spots
    scene = make_scene(target, over=scene_regions)
    photograph = render(scene, take.camera, take.light, take.pose, seed=_SEED)
    with TemporaryDirectory() as name:
        folder = Path(name)
        stem = folder / "photographs" / take.key
        photo, _ = write_photograph(photograph, stem)
        decoded = replace(read_photograph(photo), path=photo.relative_to(folder).as_posix())
        capture = measure_photograph(decoded, target, regions)
        captured = stem.with_suffix(".capture.json")
        write_whole(captured, capture_text(capture_to_json(capture)))
        write_regions(regions, stem.with_suffix(".regions.toml"))
        write_whole(stem.with_suffix(".annotated.png"), annotate(decoded, capture))
        inputs = MatchInputs((captured,))
        findings = match_season(scheme, inputs, folder / "match" / take.key)
        words = _words(take, findings.comparisons)
        return Made(files_below(folder), _take_figures(take, photo.suffix), words)


def _words(take: Take, comparisons: tuple[Comparison, ...]) -> str:
    return f"{take.words}: {count_verdicts(comparisons) or 'nothing could be measured'}"


def _take_figures(take: Take, suffix: str) -> tuple[Figure, ...]:
    photo, match = f"photographs/{take.key}", f"match/{take.key}/match"
    seen = f"{take.words}, as measured. {_SIMULATED}"
    told = f"{take.words}: the verdicts. From a simulated photograph."
    return (
        Figure(f"{photo}.annotated.png", f"{photo}{suffix}", seen, seen),
        Figure(f"{match}.svg", f"{match}.html", told, told),
    )


def _staged(take: Take, layouts: tuple[Layout, ...], target: Target) -> tuple[StagedItem, ...]:
    """An order's bat left of the target, a glove across above, a pad across below."""
    bat, glove, pad = (_first(layouts, kind) for kind in ItemKind)
    half_width = bat.item.surface("face").outline.bounds[2]
    glove_box, pad_box = _bounds(glove.item), _cropped(_bounds(pad.item))
    bat_window = (-half_width, 4.0, half_width, 204.0)
    middle = target.width_mm / 2
    pieces = (
        ("bat", bat, Affine.translation(-_APART_MM - half_width, -44.0), bat_window),
        ("glove", glove, _across(glove_box, 90.0, middle, -_APART_MM - glove_box[2]), glove_box),
        (
            "pad",
            pad,
            _across(pad_box, 90.0, middle, target.height_mm + _APART_MM - pad_box[0]),
            pad_box,
        ),
    )
    return tuple(
        StagedItem(name, layout, place, window, take.shifts.get(name, {}))
        for name, layout, place, window in pieces
    )


def _across(box: tuple[float, float, float, float], turn_deg: float, x: float, y: float) -> Affine:
    """Laid on its side, its length's middle at x, its own centre line at y."""
    middle = Affine.translation(0.0, -(box[1] + box[3]) / 2)
    return Affine.translation(x, y) @ Affine.rotation(turn_deg) @ middle


def _first(layouts: tuple[Layout, ...], kind: ItemKind) -> Layout:
    return next(layout for layout in layouts if layout.item.kind is kind)


def _bounds(item: KitItem) -> tuple[float, float, float, float]:
    boxes = [panel.outline.bounds() for panel in item.panels]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def _cropped(box: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    """The middle of a pad: it is longer than the picture."""
    middle = (box[1] + box[3]) / 2
    return (box[0], middle - 140.0, box[2], middle + 140.0)


def _photograph_section(takes: list[Kept]) -> Section:
    return Section(
        "photographs",
        "Does it match?",
        (
            "These photographs are simulated from spectra, a camera's published sensitivities, "
            "uneven light, tilt and noise; the truth lies beside each as JSON.",
            *(one.words for one in takes),
        ),
        figures=tuple(figure for one in takes for figure in one.figures),
        files=(
            "target/target.pdf",
            "target/target.toml",
            *(f"photographs/{one.key}.regions.toml" for one in _TAKES),
        ),
        paired=True,
    )
