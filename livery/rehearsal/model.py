"""What is put before the camera, and the camera. Everything made from these is simulated.

The scene is a plane in the target's frame: mm, origin at the target's top-left, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Target
from livery.colour import Floats
from livery.drawing import LabColour
from livery.scheme.model import Spectrum

Image = NDArray[np.float32]  # shape (height, width) or (height, width, 3)
Box = tuple[float, float, float, float]  # x0, y0, x1, y1 in mm
# Bounds of what is simulated. Source: workshop-choice
_MOST_TILT_DEG = 60.0
_FILL = (0.02, 3.0)
_SIDE_PX = (16, 12000)
_MOST_DISTORTION = 0.2


def box_ring(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """An upright rectangle's outline from its top-left corner clockwise, shape (4, 2)."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


class Material(StrEnum):
    """What a region is made of; it decides the texture, whose mean is always 1."""

    SMOOTH = "smooth"
    FILM = "film"
    LEATHER = "soft leather"
    FABRIC = "coated fabric"
    MESH = "cuff mesh"
    WILLOW = "willow"
    BENCH = "bench"


@dataclass(frozen=True, slots=True, eq=False)
class SceneRegion:
    """One flat thing of one colour.

    Attributes:
        ink: key of its ink, or "".
        item: name of the kit item it belongs to, or "".
        rings_mm: outlines, each shape (n, 2); what lies inside an odd number of them is covered.
        sampled: whether the truth lists it as a region to measure.
        painted: false for a place to measure on what was painted already, of the same spectrum.
    """

    name: str
    ink: str
    item: str
    rings_mm: tuple[Floats, ...]
    spectrum: Spectrum
    material: Material = Material.SMOOTH
    sampled: bool = True
    painted: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A target with things around it, on a bench.

    Attributes:
        under: painted before the target, in order, so that a target's window shows them.
        over: painted after it.
        window_mm: cut out of the target, or None.
        patches: spectra of the target's patches, in its order.
        paper, black: spectra of the target's paper and of its markers' ink.
        bench: spectrum of what all lies on.
        frame_mm: what the photograph should take in.
    """

    target: Target
    under: tuple[SceneRegion, ...]
    over: tuple[SceneRegion, ...]
    window_mm: Box | None
    patches: tuple[Spectrum, ...]
    paper: Spectrum
    black: Spectrum
    bench: Spectrum
    frame_mm: Box

    @property
    def regions(self) -> tuple[SceneRegion, ...]:
        """Those to measure."""
        return tuple(region for region in (*self.under, *self.over) if region.sampled)


@dataclass(frozen=True, slots=True)
class Spot:
    """A lamp's reflection: white light added, Gaussian about a point.

    Attributes:
        x_mm, y_mm: its middle in the target's frame.
        radius_mm: standard deviation.
        strength: light added at its middle, over a perfect white's.
    """

    x_mm: float
    y_mm: float
    radius_mm: float
    strength: float


@dataclass(frozen=True, slots=True)
class Light:
    """What the scene is lit by.

    Attributes:
        illuminant: name of a packaged illuminant.
        uneven: share of its level lost from one side of the frame to the other, linearly.
        direction_deg: in which it darkens, counter-clockwise from rightwards as seen.
        falloff: share lost from the middle to the corners, quadratically.
        spots: reflections of lamps.
    """

    illuminant: str = "D50"
    uneven: float = 0.0
    direction_deg: float = 20.0
    falloff: float = 0.0
    spots: tuple[Spot, ...] = ()

    def __post_init__(self) -> None:
        if not (0.0 <= self.uneven < 1.0 and 0.0 <= self.falloff < 1.0):
            found = f"uneven {self.uneven:g} and falloff {self.falloff:g}"
            raise ValueError(f"{found}: each is a share, from 0 to less than 1")


@dataclass(frozen=True, slots=True)
class Pose:
    """How the camera is held.

    Attributes:
        tilt_deg: the plane turned about its horizontal axis.
        turn_deg: about its vertical axis.
        roll_deg: about the line of sight, clockwise as seen.
        fill: share of the frame that the scene's frame takes up.
        mirrored: left for right, as a phone's front camera shows it.
    """

    tilt_deg: float = 0.0
    turn_deg: float = 0.0
    roll_deg: float = 0.0
    fill: float = 0.92
    mirrored: bool = False

    def __post_init__(self) -> None:
        if abs(self.tilt_deg) > _MOST_TILT_DEG or abs(self.turn_deg) > _MOST_TILT_DEG:
            found = f"tilt {self.tilt_deg:g}° and turn {self.turn_deg:g}°"
            raise ValueError(f"{found}: each is simulated to {_MOST_TILT_DEG:g}° either way")
        least, most = _FILL
        if not least <= self.fill <= most:
            raise ValueError(f"fill {self.fill:g}: it lies from {least:g} to {most:g}")


class Orientation(IntEnum):
    """EXIF's Orientation values that cameras write."""

    UPRIGHT = 1
    HALF_TURN = 3
    CLOCKWISE = 6  # turn the stored picture clockwise to see it upright
    ANTICLOCKWISE = 8


class Encoding(StrEnum):
    """How the picture is stored."""

    JPEG = "jpeg"  # 8-bit sRGB
    PNG = "png"  # 8-bit sRGB, no loss
    LINEAR = "linear"  # 16-bit linear sRGB primaries, PNG


@dataclass(frozen=True, slots=True)
class Camera:
    """The camera and its settings.

    Attributes:
        sensor: key of packaged spectral sensitivities.
        width_px, height_px: of the upright photograph.
        view_deg: angle of view over its diagonal.
        exposure: a perfect white at full light level as a share of saturation.
        balance: red, green and blue gains on top of a true white balance.
        distortion: radial; share by which the corner lies out of place (negative is barrel).
        defocus_px: standard deviation of the blur.
        veil: share of the frame's mean light spread evenly over it (veiling glare).
        full_well: electrons at saturation, for shot noise.
        read_noise: standard deviation in electrons.
        quality: JPEG's, 1 to 100.
        orientation: how it was held; only a JPEG says so.

    Source:
        workshop-choice, of the defaults
    """

    sensor: str = "nikon-5100"
    width_px: int = 4000
    height_px: int = 3000
    view_deg: float = 50.0
    exposure: float = 0.85
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    distortion: float = 0.0
    defocus_px: float = 0.7
    veil: float = 0.005
    full_well: float = 12000.0
    read_noise: float = 4.0
    encoding: Encoding = Encoding.JPEG
    quality: int = 95
    orientation: Orientation = Orientation.UPRIGHT

    def __post_init__(self) -> None:
        least, most = _SIDE_PX
        if not (least <= self.width_px <= most and least <= self.height_px <= most):
            found = f"{self.width_px} × {self.height_px} px"
            raise ValueError(f"{found}: a photograph is {least} to {most} px a side")
        if not 0.0 <= self.veil < 1.0:
            raise ValueError(f"veil {self.veil:g}: it is a share, from 0 to less than 1")
        if not (self.full_well > 0.0 and self.exposure > 0.0):
            found = f"full_well {self.full_well:g} and exposure {self.exposure:g}"
            raise ValueError(f"{found}: both are above 0")
        if abs(self.distortion) > _MOST_DISTORTION:
            most_bent = f"{_MOST_DISTORTION:g} either way"
            raise ValueError(f"distortion {self.distortion:g}: it is simulated to {most_bent}")


@dataclass(frozen=True, slots=True, eq=False)
class TrueRegion:
    """What a region really is.

    Attributes:
        lab: from its spectrum, D50/2°.
        rings_mm, rings_px: its outlines in the target's frame and in the upright photograph.
    """

    name: str
    ink: str
    item: str
    material: str
    lab: LabColour
    rings_mm: tuple[Floats, ...]
    rings_px: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """What a simulated photograph really shows. Pixels: upright, centres at whole numbers.

    Attributes:
        patches: the target's patches as regions.
        corners_px: the target's corners from top-left clockwise as printed, shape (4, 2).
        light_range: lowest over highest light level on the target.
        scale_px_per_mm: at the target's middle.
        settings: (name, value) of light, camera and pose, and the seed.
    """

    regions: tuple[TrueRegion, ...]
    patches: tuple[TrueRegion, ...]
    corners_px: Floats
    light_range: float
    scale_px_per_mm: float
    settings: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """A simulated photograph.

    Attributes:
        data: the image file's bytes.
        suffix: ``.jpg`` or ``.png``.
    """

    data: bytes
    suffix: str
    truth: Truth
