"""Targets, photographs and verdicts: what the bench asks for."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.capture import (
    RENDITION_KEYS,
    annotate,
    capture_to_json,
    make_target,
    read_bench,
    read_photograph,
    read_regions,
    read_target,
    rendition_24,
    write_target,
)
from livery.capture import measure_photograph as measure_decoded
from livery.capture.model import Capture, Region, Target
from livery.errors import Fault, TargetError
from livery.jobs.layout_choice import Choice
from livery.jobs.position import regions_of_layout
from livery.match import compare, item_names
from livery.match.model import Comparison
from livery.output import write_pdf, write_svg
from livery.scheme import load_season
from livery.scheme.model import Scheme
from livery.writing import write_whole


@dataclass(frozen=True, slots=True)
class LayoutRegions:
    """Regions to measure, named from a layout.

    Attributes:
        choice: what lies beside the target, or in it.
        surface: of a bat.
        place: where its surface lies, ``"x,y,turn"``; None between rails.
    """

    choice: Choice
    surface: str = "face"
    place: str | None = None


def make_target_files(out: Path, form: str, season: Path | None) -> tuple[Path, ...]:
    """Write a target to print (PDF, SVG) and its target.toml.

    Raises:
        TargetError: no such form.
        SeasonError: the season cannot be read.
    """
    palette = load_season(season).palette if season is not None else None
    target, drawing = make_target(form, palette)
    write_pdf(drawing, out / "target.pdf")
    write_svg(drawing, out / "target.svg")
    write_target(target, out / "target.toml")
    return (Path("target.pdf"), Path("target.svg"), Path("target.toml"))


def find_target(name: str) -> Target:
    """The built-in target of that name, or the one in that file.

    Raises:
        TargetError: no such file, or not a target.
    """
    if name in RENDITION_KEYS:
        return rendition_24(name)
    if Path(name).suffix or _stands(Path(name)):
        return read_target(Path(name))
    mend = f"Name a target.toml, or a built-in target: {', '.join(RENDITION_KEYS)}"
    raise TargetError(Fault(name[:80], "", None, "there is no such target", mend))


def _stands(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):  # no file could be called that
        return False


def parse_corners(text: str) -> NDArray[np.float64]:
    """Read ``"x,y x,y x,y x,y"`` in px; shape (4, 2).

    Raises:
        TargetError: not four finite points.
    """
    try:
        points = [[float(number) for number in pair.split(",")] for pair in text.split()]
        corners = np.array(points, dtype=np.float64)
    except ValueError:
        corners = np.empty(0)
    if corners.shape != (4, 2) or not all(math.isfinite(v) for v in corners.ravel()):
        raise TargetError(
            Fault(
                "--corners",
                "",
                None,
                f"{text[:80]!r} is not four points",
                "Give the target's corners in px: 'x,y x,y x,y x,y', as its top-left, top-right, "
                "bottom-right and bottom-left",
            )
        )
    return corners


def measure_photograph(
    photo: Path,
    target_name: str,
    regions_file: Path | None,
    corners_text: str | None,
    out: Path | None,
    named: LayoutRegions | None = None,
    bench: Path | None = None,
) -> tuple[Capture, dict[str, object]]:
    """Measure one photograph; with ``out``, also write its capture and annotated picture.

    Args:
        photo: the file.
        target_name: a built-in target, or a target.toml.
        regions_file: a regions.toml, or None.
        corners_text: the target's corners in px, or None to look for it.
        out: folder for the results.
        named: regions to name from a layout, beside those of the file.
        bench: folder of captures by the same camera in the same light, to learn its colour from.

    Raises:
        PhotographError, TargetError: what was given is wrong.
        InputError: the folder of the bench holds no captures, or what is none.
        SeasonError, ArtworkError: the season named cannot be read, or lacks the item.
    """
    target = find_target(target_name)
    regions: Sequence[Region] = read_regions(regions_file) if regions_file is not None else ()
    corners = parse_corners(corners_text) if corners_text is not None else None
    decoded = read_photograph(photo)
    if named is not None:
        found, target = regions_of_layout(decoded, target, named.choice, named.surface, named.place)
        regions = (*regions, *found)
    stored = read_bench(bench) if bench is not None else ()
    capture = measure_decoded(decoded, target, regions, corners, bench=stored)
    data = capture_to_json(capture)
    if out is not None:
        picture = annotate(decoded, capture)
        write_whole(out / f"{photo.stem}.capture.json", capture_text(data))
        write_whole(out / f"{photo.stem}.annotated.png", picture)
    return capture, data


def capture_text(data: dict[str, object]) -> str:
    """A capture as the file that ``livery match`` reads."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def compare_in_season(
    scheme: Scheme, captures: Sequence[Capture], reference: Sequence[Capture] = ()
) -> tuple[Comparison, ...]:
    """Compare captures with a season's aims, under its tolerances."""
    return compare(
        captures,
        scheme.palette,
        scheme.tolerances,
        reference,
        names=item_names(scheme),
        titles=scheme.item_titles,
    )
