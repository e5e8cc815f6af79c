"""The control strip: solids, tints and overprints of every ink, with what each should measure."""

from __future__ import annotations

from livery.scheme.model import PrintProfile

TINTS = (1.0, 0.75, 0.5)


def group_widths_mm(profile: PrintProfile, inks: int) -> tuple[float, ...]:
    """Widths of the strip's groups: one an ink, one a pair of inks, and one of bare stock."""
    patch = profile.control_patch_mm
    pairs = inks * (inks - 1) // 2
    return (len(TINTS) * patch,) * inks + (patch,) * (pairs + 1)
