"""What the printer reads on each sheet: the slug's words and the same in a code."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from livery.artwork.typesetting import cut_line, line_width_mm
from livery.drawing import BLACK, Element, Label, Paint, Registration, Shape
from livery.geometry import Path
from livery.scheme.model import Palette, PrintProfile, Prints
from livery.sheet.builds import build_ink, ink_paint
from livery.sheet.frame import (
    CLEARANCE_MM,
    CODE_MM,
    SLUG_LINE_MM,
    Frame,
    slug_width_mm,
)
from livery.sheet.model import Sheet, SheetRun
from livery.sheet.plate_names import draw_plate_names

_SIZE_PT = 5.5
_OTHER_LINES = 5
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
    orders = ", ".join(dict.fromkeys(item.order for item in sheet.items if item.order))
    made = f" · {run.date}" if run.date else ""
    decals = "1 decal" if len(sheet.items) == 1 else f"{len(sheet.items)} decals"
    return (
        _headed(run),
        f"Sheet {sheet.number} of {sheet.of}{made} · {decals} · right reading",
        f"Stock: {profile.stock} · {size} · condition {profile.output_condition or 'none'}",
        *ink_lines(run.palette, profile, run_inks(run)),
        f"Orders: {orders or 'none'}",
        f"Content {run.content_hash}",
    )


def _headed(run: SheetRun) -> str:
    """Season, workshop and revision; names are cut short, never the revision."""
    names = " · ".join(part for part in (run.season, run.workshop) if part)
    revision = f" · revision {run.revision}"
    taken = line_width_mm(revision, "text-bold", _SIZE_PT)
    room = slug_width_mm(run.profile) - taken
    return cut_line(names, "text-bold", _SIZE_PT, room) + revision


def ink_lines(palette: Palette, profile: PrintProfile, keys: Sequence[str]) -> list[str]:
    """What prints, and in which steps: the same on every sheet of a run, in full."""
    inks = [palette.ink(key) for key in keys]
    builds = [build_ink(ink, profile) for ink in inks if ink.prints is Prints.PROCESS]
    names = [ink.name for ink in inks if ink.prints is Prints.SPOT] + ["C M Y K"] * bool(builds)
    steps = [profile.cut_name]
    steps += [profile.through_cut_name] if profile.cuts_through else []
    steps += [profile.white_name] if profile.white else []
    steps += [profile.varnish_name] if profile.varnish else []
    said = [f"{palette.ink(b.ink).name} {b.words} (ΔE {b.de00:.1f})" for b in builds]
    width = slug_width_mm(profile)
    both = f"Inks: {', '.join(names)} · Steps: {', '.join(steps)}"
    lists = [_listed("Inks: ", names), _listed("Steps: ", steps)]
    lists = [[both]] if line_width_mm(both, "text", _SIZE_PT) <= width else lists
    lists.append(_listed("Builds C/M/Y/K: ", said))
    return [line for parts in lists for line in _wrapped(parts, width)]


def _listed(title: str, names: Sequence[str]) -> list[str]:
    """Names as parts of a line: a comma after each but the last, the title before the first."""
    parts = [f"{name}," for name in names[:-1]] + list(names[-1:])
    return [title + parts[0], *parts[1:]] if parts else []


def slug_line_count(palette: Palette, profile: PrintProfile, keys: Sequence[str]) -> int:
    """How many lines the slug of any sheet of a run has."""
    return len(ink_lines(palette, profile, keys)) + _OTHER_LINES


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


def draw_slug(run: SheetRun, sheet: Sheet, frame: Frame) -> list[Element]:
    """The code, the slug's lines, and each plate's name."""
    paint, inks = word_paint(run), run_inks(run)
    x, top = frame.band[0] + CODE_MM + CLEARANCE_MM, frame.band[3]
    elements: list[Element] = [draw_code(code_text(run, sheet), *frame.code, CODE_MM, paint)]
    lines = slug_lines(run, sheet)
    pitch = min(SLUG_LINE_MM, (top - CLEARANCE_MM - frame.band[1]) / len(lines))
    for number, line in enumerate(lines):
        font = "text-bold" if number == 0 else "text"
        words = cut_line(line, font, _SIZE_PT, slug_width_mm(run.profile))
        y = top - pitch * (number + 0.8)
        elements.append(Label(words, x, y, _SIZE_PT, paint, font=font))
    return elements + draw_plate_names(run.palette, run.profile, inks, frame, paint)


def _wrapped(parts: Sequence[str], width_mm: float) -> list[str]:
    """Parts set one after the other, in as many lines of a width as they take; none is parted."""
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]} {part}" if lines else part
        if lines and line_width_mm(longer, "text", _SIZE_PT) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(part)
    return lines
