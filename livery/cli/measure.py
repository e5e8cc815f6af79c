"""``livery measure``: a photograph to Lab samples, with gates."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.crew_flags import ClusterFlag, jobs_flag
from livery.cli.screen import FINDINGS, JsonFlag, console, print_gates, print_json, watching

if TYPE_CHECKING:
    from livery.capture.model import BenchTrial, Capture


_PHOTOS = typer.Argument(..., metavar="PHOTO", help="Photographs, target and kit in one frame.")
_TARGET = typer.Option(
    ...,
    "--target",
    help="A target.toml, rendition-24, or rendition-24-older (made before November 2014).",
)
_REGIONS = typer.Option(None, "--regions", help="A regions.toml.")
_CORNERS = typer.Option(
    None, "--corners", help="Target corners in px, 'x,y x,y x,y x,y', if not found."
)
_LAYOUT = typer.Option(None, "--layout", help="A season: regions are named from its layout.")
_ITEM = typer.Option("", "--item", help="With --layout: key of the bat, gloves or pads.")
_SIZE = typer.Option("", "--size", help="With --layout: its size.")
_HAND = typer.Option("", "--hand", help="With --layout: right or left.")
_ORDER = typer.Option("", "--order", help="With --layout: whose words it bears.")
_SURFACE = typer.Option("face", "--surface", help="With --layout: of a bat.")
_PLACE = typer.Option(
    None,
    "--place",
    help="With --layout: the surface's origin in the target's mm and its turn, 'x,y,turn'; "
    "found by itself between rails.",
)
_BENCH = typer.Option(
    None,
    "--bench-captures",
    help="Folder of capture files by the same camera in the same light: what they teach of "
    "its colour is used where it beats this photograph alone.",
)
_OUT = typer.Option(
    None, "--out", "-o", help="Folder for the capture file and the annotated picture."
)


def measure(
    photos: list[Path] = _PHOTOS,
    target: str = _TARGET,
    regions: Path | None = _REGIONS,
    corners: str | None = _CORNERS,
    layout: Path | None = _LAYOUT,
    item: str = _ITEM,
    size: str = _SIZE,
    hand: str = _HAND,
    order: str = _ORDER,
    surface: str = _SURFACE,
    place: str | None = _PLACE,
    bench: Path | None = _BENCH,
    out: Path | None = _OUT,
    jobs: int = jobs_flag(1),
    cluster: str = ClusterFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Measure the colours in a photograph. Exit 1 means: photograph it again.

    Many photographs of one target are shared out by --jobs or --cluster.
    """
    if len(photos) > 1 or cluster:
        if layout is not None or bench is not None:
            raise typer.BadParameter("--layout and --bench-captures take one photograph at a time")
        _measure_many(photos, (target, regions, corners), out, (jobs, cluster), as_json)
        return
    (photo,) = photos
    from livery.jobs.layout_choice import Choice
    from livery.jobs.photographs import LayoutRegions, measure_photograph

    named = None
    if layout is not None:
        named = LayoutRegions(Choice(layout, item, size, hand, order), surface, place)
    capture, data = measure_photograph(photo, target, regions, corners, out, named, bench)
    if as_json:
        print_json(data)
    else:
        _show(capture)
    if not all(gate.ok for gate in capture.gates):
        raise typer.Exit(FINDINGS)


def _measure_many(
    photos: list[Path],
    given: tuple[str, Path | None, str | None],
    out: Path | None,
    shared: tuple[int, str],
    as_json: bool,
) -> None:
    from livery.capture import capture_to_json
    from livery.crew import find_crew
    from livery.jobs.photograph_tasks import list_look_alikes, measure_photographs, read_setting

    crew = find_crew(*shared)
    with watching(quiet=as_json) as watch:
        captures = measure_photographs(photos, read_setting(*given), out, crew, watch)
    alike = list_look_alikes(captures)
    if as_json:
        pairs = zip(captures, alike, strict=True)
        print_json([{**capture_to_json(one), "looks_like": name or None} for one, name in pairs])
    else:
        for photo, capture, name in zip(photos, captures, alike, strict=True):
            console().print(f"{photo}:", soft_wrap=True)
            _show(capture)
            if name:
                told = f"This looks just like {name}. A copy is no second piece of evidence."
                console().print(told, soft_wrap=True)
    if not all(gate.ok for capture in captures for gate in capture.gates):
        raise typer.Exit(FINDINGS)


def _show(capture: Capture) -> None:
    out = console()
    print_gates(out, capture.gates)
    if capture.characterisation is not None:
        model = capture.characterisation
        out.print(
            f"camera colour by {model.method}: leave-one-out ΔE00 "
            f"mean {model.loo_mean:.2f}, worst {model.loo_max:.2f}"
        )
        if model.bench is not None:
            out.print(_say_bench(model.bench))
    out.print(f"This photograph is {capture.headline}.")
    for sample in capture.samples:
        if sample.withheld:
            out.print(f"{sample.name:<28} withheld, no evidence")
            continue
        L, a, b = sample.lab
        spread = (sample.cov.trace() / 3.0) ** 0.5
        out.print(f"{sample.name:<28} L* {L:6.2f}  a* {a:7.2f}  b* {b:7.2f}  ± {1.96 * spread:.2f}")
    if not capture.absolute:
        out.print("The target's values are nominal: compare items with each other only.")


def _say_bench(trial: BenchTrial) -> str:
    if trial.error is None:
        return f"the bench's captures are too few to learn from: {trial.photographs} good ones"
    end = "used" if trial.used else "not used: this photograph alone is as good or better"
    return (
        f"from {trial.photographs} captures of the bench: ΔE00 {trial.error:.2f} at patches left "
        f"out, alone {trial.single_error:.2f}; {end}"
    )
