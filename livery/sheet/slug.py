"""What the printer reads on each sheet: the slug's words and the same in a code."""

from __future__ import annotations

import numpy as np

from livery.artwork.fonts import measure_text
from livery.drawing import BLACK, Element, Label, Paint, Process, Registration, Shape
from livery.geometry import Path
from livery.scheme.model import Prints
from livery.sheet.builds import PROCESS_NAMES, Build, build_ink, ink_paint
from livery.sheet.frame import (
    CLEARANCE_MM,
    CODE_MM,
    SLUG_LINE_MM,
    SLUG_LINES,
    SLUG_WIDTH_MM,
    Frame,
)
from livery.sheet.model import Sheet, SheetRun
from livery.units import pt_to_mm

_SIZE_PT = 5.5
_PLATE_PT = 6.0
_DARK_L = 50.0
_QUIET_MODULES = 4


def run_inks(run: SheetRun) -> tuple[str, ...]:
    """Keys of the inks that print, in the palette's order."""
    used = {key for decal in run.decals for key in decal.decal.inks}
    return tuple(ink.key for ink in run.palette.inks if ink.key in used)


def word_paint(run: SheetRun) -> Paint:
    """The darkest ink with a plate of its own, so that words are crisp; black where it prints.

    Without a dark ink (L* below 50) words print in the registration colour.

    Source: [source: workshop-choice].
    """
    inks = [run.palette.ink(key) for key in run_inks(run)]
    if any(ink.prints is Prints.PROCESS for ink in inks):
        return BLACK
    darkest = min(inks, key=lambda ink: (ink.lab[0], ink.key), default=None)
    if darkest is None or darkest.lab[0] >= _DARK_L:
        return Registration()
    return ink_paint(run.palette, darkest.key, run.profile)


def slug_lines(run: SheetRun, sheet: Sheet) -> tuple[str, ...]:
    """The slug's lines, most needed first."""
    profile = run.profile
    size = f"{sheet.width_mm:g} × {sheet.height_mm:g} mm"
    builds = _builds(run)
    spots = [key for key in run_inks(run) if key not in {build.ink for build in builds}]
    inks = ", ".join([run.palette.ink(key).name for key in spots] + ["C M Y K"] * bool(builds))
    steps = [profile.cut_name]
    steps += [profile.through_cut_name] if profile.cuts_through else []
    steps += [profile.white_name] if profile.white else []
    steps += [profile.varnish_name] if profile.varnish else []
    orders = ", ".join(dict.fromkeys(item.order for item in sheet.items if item.order))
    made = f" · {run.date}" if run.date else ""
    decals = "1 decal" if len(sheet.items) == 1 else f"{len(sheet.items)} decals"
    return (
        " · ".join(part for part in (run.season, run.workshop) if part)
        + f" · revision {run.revision}",
        f"Sheet {sheet.number} of {sheet.of}{made} · {decals} · right reading",
        f"Stock: {profile.stock} · {size} · condition {profile.output_condition or 'none'}",
        f"Inks: {inks} · Steps: {', '.join(steps)}",
        *([_builds_line(run, builds)] if builds else []),
        f"Orders: {orders or 'none'}",
        f"Content {run.content_hash}",
    )


def _builds(run: SheetRun) -> list[Build]:
    inks = [run.palette.ink(key) for key in run_inks(run)]
    return [build_ink(ink, run.profile) for ink in inks if ink.prints is Prints.PROCESS]


def _builds_line(run: SheetRun, builds: list[Build]) -> str:
    said = [f"{run.palette.ink(b.ink).name} {b.words} (ΔE {b.de00:.1f})" for b in builds]
    return "Builds C/M/Y/K: " + ", ".join(said)


def code_text(run: SheetRun, sheet: Sheet) -> str:
    """What the code says: the slug's facts, one a line."""
    facts = (
        run.season,
        run.workshop,
        f"revision {run.revision}",
        f"sheet {sheet.number} of {sheet.of}",
        run.profile.stock,
        run.date,
        run.content_hash,
    )
    return "\n".join(fact for fact in facts if fact)


def draw_code(text: str, x_mm: float, y_mm: float, size_mm: float, paint: Paint) -> Shape:
    """A QR code in a square with its quiet zone, as one filled path.

    Source: [source: iso-18004].
    """
    import segno

    rows = [list(row) for row in segno.make(text, error="m", micro=False).matrix]
    module = size_mm / (len(rows) + 2 * _QUIET_MODULES)
    corners: list[tuple[float, float]] = []
    for number, row in enumerate(rows):
        top = y_mm + size_mm - (_QUIET_MODULES + number) * module
        for start, stop in _runs(row):
            left = x_mm + (_QUIET_MODULES + start) * module
            right, low = left + (stop - start) * module, top - module
            corners += [(left, low), (right, low), (right, top), (left, top)]
    path = Path("MLLLZ" * (len(corners) // 4), np.array(corners))
    return Shape(path, paint, name="code")


def _runs(row: list[int]) -> list[tuple[int, int]]:
    """Start and stop of each run of dark modules."""
    edges = [0, *row, 0]
    steps = [i for i in range(len(edges) - 1) if bool(edges[i]) != bool(edges[i + 1])]
    return list(zip(steps[::2], steps[1::2], strict=True))


def fit_words(text: str, font: str, size_pt: float, width_mm: float) -> str:
    """Text shortened with an ellipsis until it fits a width."""
    size_mm = pt_to_mm(size_pt)
    if measure_text(text, font, size_mm) <= width_mm:
        return text
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        wide = measure_text(text[:middle] + "…", font, size_mm) > width_mm
        fits, too_long = (fits, middle) if wide else (middle, too_long)
    return text[:fits].rstrip(" ,·") + "…"


def draw_slug(run: SheetRun, sheet: Sheet, frame: Frame) -> list[Element]:
    """The code, the slug's lines, and each ink's name in its own ink."""
    paint = word_paint(run)
    x, top = frame.band[0], frame.band[3]
    code_y = min(frame.row[1], top - CODE_MM)
    elements: list[Element] = [draw_code(code_text(run, sheet), x, code_y, CODE_MM, paint)]
    x += CODE_MM + CLEARANCE_MM
    width = min(SLUG_WIDTH_MM, frame.band[2] - x)
    lines = slug_lines(run, sheet)
    pitch = SLUG_LINE_MM * min(1.0, SLUG_LINES / len(lines))
    for number, line in enumerate(lines):
        font = "text-bold" if number == 0 else "text"
        words = fit_words(line, font, _SIZE_PT, width)
        y = top - pitch * (number + 0.8)
        elements.append(Label(words, x, y, _SIZE_PT, paint, font=font))
    return elements + _plate_names(run, frame)


def _plate_names(run: SheetRun, frame: Frame) -> list[Element]:
    """Every ink plate names itself, right of the bottom middle cross."""
    x, limit = frame.width_mm / 2.0 + 6.0, frame.row[2]
    y = frame.row[1] + 2.0 * CLEARANCE_MM
    names: list[Element] = []
    for name, paint in _plates(run):
        width = measure_text(name, "text-bold", pt_to_mm(_PLATE_PT))
        if x + width > limit:
            break
        names.append(Label(name, x, y, _PLATE_PT, paint, font="text-bold"))
        x += width + 3.0
    return names


def _plates(run: SheetRun) -> list[tuple[str, Paint]]:
    """Each ink plate of the run with what prints on it alone."""
    inks = [run.palette.ink(key) for key in run_inks(run)]
    spots = [ink for ink in inks if ink.prints is Prints.SPOT]
    plates = [(ink.name, ink_paint(run.palette, ink.key, run.profile)) for ink in spots]
    if len(spots) == len(inks):
        return plates
    solids = (Process(*(float(i == j) for j in range(4))) for i in range(4))
    return [*plates, *zip(PROCESS_NAMES, solids, strict=True)]
