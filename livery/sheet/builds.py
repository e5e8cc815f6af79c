"""Inks as process builds: what to print of the four process inks, and what that will look like."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from livery.colour import PressProfile, ciede2000
from livery.drawing import LabColour, Paint, Process, Spot
from livery.limits.model import Finding, Severity
from livery.scheme.model import Ink, Palette, PrintProfile, Prints

PROCESS_NAMES = ("Cyan", "Magenta", "Yellow", "Black")
IN_GAMUT_DE00 = 0.1
_DIGITS = 3
_BLACK_STEPS = 10
_WORSE_DE00 = 2.0

Coverages = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Build:
    """A process build of an ink.

    Attributes:
        cmyk: coverages 0..1, to a tenth of a percent, as they print.
        lab: what the press profile predicts of them, CIELAB D50/2°, absolute.
        de00: between the prediction and the ink's aim; nothing printable is nearer.
    """

    ink: str
    cmyk: Coverages
    lab: LabColour
    de00: float

    @property
    def in_gamut(self) -> bool:
        """Whether the press reaches the aim, but for rounding [source: workshop-choice]."""
        return self.de00 <= IN_GAMUT_DE00

    @property
    def words(self) -> str:
        """The build in percent, as C/M/Y/K."""
        return "/".join(f"{100.0 * amount:.1f}".removesuffix(".0") for amount in self.cmyk)


def build_ink(ink: Ink, profile: PrintProfile) -> Build:
    """The build nearest to an ink's aim, within the profile's ink limit and with its black.

    Without a black in the profile the least black is taken that comes nearest.

    Raises:
        ColourError: no packaged press condition has the profile's name.
    """
    cmyk, lab, de00 = _nearest(ink.lab, profile.press, profile.most_ink, profile.black)
    return Build(ink.key, cmyk, lab, de00)


def list_builds(palette: Palette, profile: PrintProfile) -> tuple[Build, ...]:
    """Builds of all inks of a palette that print so, in its order."""
    inks = (ink for ink in palette.inks if ink.prints is Prints.PROCESS)
    return tuple(build_ink(ink, profile) for ink in inks)


def ink_paint(palette: Palette, key: str, profile: PrintProfile, tint: float = 1.0) -> Paint:
    """What prints an ink: its own plate, or its build."""
    ink = palette.ink(key)
    if ink.prints is Prints.SPOT:
        return Spot(ink.name, ink.lab, tint)
    return Process(*(tint * amount for amount in build_ink(ink, profile).cmyk))


def trap_paint(palette: Palette, lighter: str, darker: str, profile: PrintProfile) -> Paint:
    """What prints where one ink runs under another's edge.

    Of two builds the larger coverage of each process ink: overprinting would lower some.
    """
    one, other = (ink_paint(palette, key, profile) for key in (lighter, darker))
    if not (isinstance(one, Process) and isinstance(other, Process)):
        return one
    return Process(
        max(one.c, other.c), max(one.m, other.m), max(one.y, other.y), max(one.k, other.k)
    )


def inspect_builds(palette: Palette, profile: PrintProfile) -> tuple[Finding, ...]:
    """Whether the press reaches each ink that prints as a build: advice with the distance."""
    source = f"Press profile, {profile.output_condition} (workshop choice)"
    builds = list_builds(palette, profile)
    return tuple(_finding(palette.ink(build.ink), build, source) for build in builds)


def _finding(ink: Ink, build: Build, source: str) -> Finding:
    text = f"Ink {ink.name} as process build {build.words}: ΔE00 {build.de00:.2f} from its aim"
    if not build.in_gamut:
        beyond = build.de00 > ink.tolerance_de00
        verdict = "beyond" if beyond else "within"
        text += (
            f". The press prints nothing nearer; that is {verdict} the ink's tolerance of "
            f"{ink.tolerance_de00:g}"
        )
        text += ": print it as its own separation, or move the aim" if beyond else ""
    return Finding(
        "press-gamut",
        Severity.ADVICE,
        f"ink {ink.key}",
        build.de00,
        IN_GAMUT_DE00,
        IN_GAMUT_DE00 - build.de00,
        "ΔE00",
        source,
        text + ".",
        build.in_gamut,
    )


@lru_cache(maxsize=256)
def _nearest(
    aim: LabColour, press: PressProfile, most: float, black: float | None
) -> tuple[Coverages, LabColour, float]:
    blacks = np.arange(_BLACK_STEPS + 1) / _BLACK_STEPS if black is None else [black]
    best, least = np.zeros(4), np.inf
    for share in blacks:
        cmyk, left = press.lab_to_cmyk(aim, float(share), most)
        if left < least - 0.01:
            best, least = cmyk, left
        if least <= IN_GAMUT_DE00 / 2.0 or left > least + _WORSE_DE00:
            break
    rounded = np.floor(best * 10**_DIGITS + 0.5) / 10**_DIGITS
    if rounded.sum() > most:
        rounded = np.floor(best * 10**_DIGITS) / 10**_DIGITS
    lab = press.cmyk_to_lab(rounded)
    c, m, y, k = (float(value) for value in rounded)
    lightness, a, b = (float(value) for value in lab)
    return (c, m, y, k), (lightness, a, b), float(ciede2000(np.array(aim), lab))
