"""What no sheet can hold, said once a decal, or once where nothing is left for any."""

from __future__ import annotations

from livery.errors import Fault
from livery.scheme.model import PrintProfile, Scheme
from livery.sheet.model import SheetDecal
from livery.sheet.silhouette import Silhouette


def no_room(scheme: Scheme) -> Fault:
    """The profile's margins, marks and strip take the whole sheet."""
    profile = scheme.profile
    weeding = f", a weeding margin of {profile.weeding_margin_mm:g} mm"
    taken = weeding if profile.weeding_margin_mm else ""
    return Fault(
        str(scheme.path),
        "print",
        None,
        f"margins of {profile.margin_mm:g} mm{taken}, marks and the control strip leave no room "
        f"for decals on {profile.stock_width_mm:g} × {profile.stock_height_mm:g} mm",
        "Lower the margins, or choose a larger stock in [print].",
    )


def oversize(
    scheme: Scheme, decal: SheetDecal, piece: Silhouette, width: float, height: float
) -> Fault:
    """A decal that is larger than ``width`` by ``height`` mm, what is left of a sheet for one."""
    x0, y0, x1, y1 = decal.decal.outline.bounds()
    turn = "in either direction" if len(piece.turns_deg) > 1 else "upright, as it may not turn"
    return Fault(
        str(scheme.path),
        f"print, decal {decal.decal.key}",
        None,
        f"decal {decal.decal.name!r} is {(x1 - x0) * decal.scale:.1f} × "
        f"{(y1 - y0) * decal.scale:.1f} mm; the largest that fits the stock "
        f"({scheme.profile.stock_width_mm:g} × {scheme.profile.stock_height_mm:g} mm) "
        f"with its margins, marks and {_taken(scheme.profile)} is {width:.1f} × {height:.1f} mm, "
        f"{turn}",
        "Make the decal smaller, or choose a larger stock in [print].",
    )


def _taken(profile: PrintProfile) -> str:
    """What a decal takes beyond its cut line, in words; its tab counts at one end."""
    return f"liner, and a tab of {profile.peel_tab_mm:g} mm," if profile.peel_tab_mm else "bleed"
