"""What is put before the camera, and the camera. Everything made from these is simulated.

The scene is a plane in the target's frame: mm, origin at the target's top-left, y down.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum, StrEnum

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Target
from livery.scheme.model import Spectrum

Floats = NDArray[np.float64]


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
        window_mm: (x0, y0, x1, y1) cut out of the target, or None.
        patches: spectra of the target's patches, in its order.
        paper, black: spectra of the target's paper and of its markers' ink.
        frame_mm: (x0, y0, x1, y1) that the photograph should take in.
    """

    target: Target
    under: tuple[SceneRegion, ...]
    over: tuple[SceneRegion, ...]
    window_mm: tuple[float, float, float, float] | None
    patches: tuple[Spectrum, ...]
    paper: Spectrum
    black: Spectrum
    bench: Spectrum
    frame_mm: tuple[float, float, float, float]

    @property
    def regions(self) -> tuple[SceneRegion, ...]:
        """Those to measure."""
        return tuple(region for region in (*self.under, *self.over) if region.sampled)


@dataclass(frozen=True, slots=True)
class Spot:
    """A lamp's reflection: white light added, Gaussian about a point; strength 1 is white."""

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
        direction_deg: of that fall, counter-clockwise as seen from rightwards.
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
            raise ValueError("uneven and falloff are shares from 0 up to, not including, 1")


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
        if abs(self.tilt_deg) > 60.0 or abs(self.turn_deg) > 60.0:
            raise ValueError("tilt and turn are simulated up to 60°")
        if not 0.02 <= self.fill <= 3.0:
            raise ValueError("fill lies from 0.02 to 3")


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
        if not (16 <= self.width_px <= 12000 and 16 <= self.height_px <= 12000):
            raise ValueError("a photograph is 16 to 12000 px a side")
        if not (0.0 <= self.veil < 1.0 and self.full_well > 0.0 and self.exposure > 0.0):
            raise ValueError("veil is a share below 1; full_well and exposure are above 0")
        if not -0.2 <= self.distortion <= 0.2:
            raise ValueError("distortion is simulated from -0.2 to 0.2")


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
    lab: tuple[float, float, float]
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
    settings: tuple[tuple[str, str], ...] = field(default=())


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
