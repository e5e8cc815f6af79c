"""What a run of sheets works with: the decals and their shapes, and the room a sheet gives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.errors import Fault
from livery.placement.model import Layout
from livery.scheme.model import Palette, PrintProfile, Scheme
from livery.sheet.frame import Box, Frame, divide_sheet
from livery.sheet.keeping import request_digest
from livery.sheet.model import Nesting
from livery.sheet.pieces import reach_mm, spacing_mm, weeding_inset_mm
from livery.sheet.refusals import no_room, oversize
from livery.sheet.silhouette import Room, Silhouette, fits
from livery.sheet.slug import slug_line_count
from livery.sheet.strip import group_widths_mm
from livery.sheet.tally import Tally, count_decals, decal_silhouette

_FINEST_CELL_MM = 0.5
_MOST_CELLS = 520_000


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """What one run works with."""

    tally: Tally
    profile: PrintProfile
    frame: Frame
    field: Box  # where decals lie with all they take of the sheet
    room: Room
    pieces: Mapping[str, Silhouette]  # by silhouette key
    shape_of: Mapping[str, str]  # decal key to silhouette key
    options: Nesting
    request: str


def sheet_frame(profile: PrintProfile, palette: Palette, inks: Sequence[str]) -> Frame:
    """How the profile's sheets are divided for a run of those inks."""
    groups = group_widths_mm(profile, palette, inks)
    return divide_sheet(profile, groups, slug_line_count(palette, profile, inks))


def prepare(scheme: Scheme, tally: Tally, options: Nesting) -> Job:
    """Take the shapes of a tally's decals, and divide the profile's sheets for their inks."""
    profile = scheme.profile
    used = {key for decal in tally.decals for key in decal.decal.inks}
    inks = [ink.key for ink in scheme.palette.inks if ink.key in used]
    frame = sheet_frame(profile, scheme.palette, inks)
    pieces: dict[str, Silhouette] = {}
    shape_of: dict[str, str] = {}
    for decal in tally.decals:
        piece = decal_silhouette(decal, scheme.palette, profile)
        pieces.setdefault(piece.key, piece)
        shape_of[decal.key] = piece.key
    field = _field(profile, frame)
    room = _room(profile, field)
    rules = [room.width_mm, room.height_mm, room.cell_mm, profile.bleed_mm, spacing_mm(profile)]
    rules += [
        profile.peel_tab_mm,
        *field,
        options.kits_together,
        options.search_seconds,
        options.seed,
    ]
    rules += [options.effort, profile.roll]
    request = request_digest(Counter(shape_of[copy.decal] for copy in tally.copies), rules)
    return Job(tally, profile, frame, field, room, pieces, shape_of, options, request)


def _field(profile: PrintProfile, frame: Frame) -> Box:
    """The usable area, less what a cut round all decals takes of its edges."""
    x0, y0, x1, y1 = frame.usable
    inset = weeding_inset_mm(profile)
    return x0 + inset, y0 + inset, x1 - inset, y1 - inset


def _room(profile: PrintProfile, field: Box) -> Room:
    """The field, widened by what a silhouette has over a decal with its bleed or its liner."""
    x0, y0, x1, y1 = field
    over = spacing_mm(profile) / 2.0 - reach_mm(profile)
    width, height = max(x1 - x0, 0.0) + 2 * over, max(y1 - y0, 0.0) + 2 * over
    cell = max(_FINEST_CELL_MM, (width * height / _MOST_CELLS) ** 0.5)
    return Room(width, height, round(cell, 3))


def find_oversize(scheme: Scheme, layouts: Sequence[Layout]) -> tuple[Fault, ...]:
    """What of the orders no sheet of the profile's stock can hold; nothing where all can be."""
    return list_oversize(scheme, prepare(scheme, count_decals(scheme, layouts), Nesting()))


def list_oversize(scheme: Scheme, job: Job) -> tuple[Fault, ...]:
    """Every decal that no sheet can hold, or that nothing is left for any."""
    (x0, y0, x1, y1), reach = job.field, reach_mm(job.profile)
    width, height = x1 - x0 - 2 * reach, y1 - y0 - 2 * reach
    if job.tally.copies and min(width, height) <= 0.0:
        return (no_room(scheme),)
    pieces = [(decal, job.pieces[job.shape_of[decal.key]]) for decal in job.tally.decals]
    return tuple(
        oversize(scheme, decal, piece, width, height)
        for decal, piece in pieces
        if not fits(piece, job.room)
    )
