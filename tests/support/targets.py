"""Targets as the tests measure them: without an instrument, each patch just as it was asked for."""

from livery.capture import TargetKind, make_target, with_measured
from livery.capture.model import Target
from livery.scheme.model import Palette


def measured_target(kind: TargetKind | str, palette: Palette | None = None) -> Target:
    """A target of that kind whose print came out exactly as it was asked for."""
    target, _ = make_target(kind, palette)
    return with_measured(target, {patch.name: patch.lab for patch in target.patches})
