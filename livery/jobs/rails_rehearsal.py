"""The demo's photograph between rails: an order's bat with two decals put on a little badly."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from livery.capture import make_target, read_photograph, with_measured, write_target
from livery.capture.position_model import Positions
from livery.capture.positions import find_positions
from livery.capture.target_layout import TargetKind, form_of
from livery.geometry import Affine
from livery.jobs.index import Figure, Section
from livery.jobs.making import Made, files_below
from livery.jobs.position import write_pictures
from livery.output import write_pdf
from livery.placement import Layout, books_in_force
from livery.rehearsal import Camera, Light, Pose, render, write_photograph
from livery.rehearsal.face import Blemish, BlemishKind, Slip, face_scene
from livery.scheme.model import ItemKind, Scheme
from livery.units import format_count

# All invented: how the decals were put on, and the photograph.
_SEED = 8
_SLIPS = {"heron-face": Slip(1.6, -0.9, 1.4), "reed-band-face": Slip(-0.3, 0.4, 0.2)}
_BLEMISHES = (
    Blemish(BlemishKind.BUBBLE, "heron-face", -10.0, 12.0, 7.0),
    Blemish(BlemishKind.SCRATCH, "reed-band-face", 20.0, 1.0, 22.0, 25.0),
)
_PLACE = Affine.translation(90.8, 26.5) @ Affine.rotation(0.5)
_CAMERA = Camera(width_px=1800, height_px=2400)
_LIGHT = Light("D50", uneven=0.15, falloff=0.05)
_POSE = Pose(tilt_deg=14.0, turn_deg=-9.0, roll_deg=2.0)
_SIMULATED = "From a simulated photograph, not a real one."


def rehearse_rails(scheme: Scheme, layouts: tuple[Layout, ...]) -> Made:
    """Photograph a bat between rails, find its decals, draw the pictures.

    Args:
        scheme: the demo season.
        layouts: of one order, a bat among them.
    """
    target, drawing = make_target(TargetKind.RAILS, scheme.palette)
    # The simulated print has exactly the values asked for; a real one is measured.
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    layout = next(one for one in layouts if one.item.kind is ItemKind.BAT)
    window = form_of(TargetKind.RAILS).window_mm or (0.0, 0.0, target.width_mm, target.height_mm)
    scene = face_scene(target, window, layout, scheme.palette, _PLACE, _SLIPS, _BLEMISHES)
    with TemporaryDirectory() as name:
        folder = Path(name)
        write_pdf(drawing, folder / "target" / "rails.pdf")
        write_target(target, folder / "target" / "rails.toml")
        stem = folder / "photographs" / "bat-between-rails"
        photo, _ = write_photograph(render(scene, _CAMERA, _LIGHT, _POSE, _SEED), stem)
        decoded = replace(read_photograph(photo), path=photo.relative_to(folder).as_posix())
        books = books_in_force(scheme)
        positions = find_positions(decoded, target, layout, scheme.palette, books)
        write_pictures(positions, layout, stem)
        return Made(files_below(folder), _figures(photo.suffix), _words(positions))


def _words(positions: Positions) -> str:
    told = []
    for one in positions.decals:
        count = len(one.flaws)
        flaws = f", {format_count(count, 'flaw')}" if count else ""
        away = "" if one.offset is None else f" by {one.offset.away_mm:.1f} mm"
        told.append(f"{one.key} {one.standing}{away}{flaws}")
    return f"A bat between rails: {'; '.join(told) or 'nothing could be found'}"


def _figures(suffix: str) -> tuple[Figure, ...]:
    base = "photographs/bat-between-rails"
    where = f"Where the decals are, and where they should be. {_SIMULATED}"
    differs = f"What differs from the artwork. {_SIMULATED}"
    return (
        Figure(f"{base}.position.png", f"{base}{suffix}", where, where),
        Figure(f"{base}.difference.png", f"{base}.difference.png", differs, differs),
    )


def rails_section(words: str, figures: tuple[Figure, ...]) -> Section:
    """The part of the index page on the photograph between rails."""
    return Section(
        "positions",
        "Is it where it should be?",
        (
            "Two printed rails beside the blade tell where everything on its face is; the "
            "photograph is simulated, and its decals were put on a little badly on purpose.",
            words,
        ),
        figures=figures,
        files=("target/rails.pdf", "target/rails.toml"),
        paired=True,
    )
