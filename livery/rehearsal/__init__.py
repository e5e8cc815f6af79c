"""A rehearsal of the bench: simulated photographs with the truth beside them.

Always said to be simulated wherever one is shown. The demo makes its photographs here, and the
tests hold what ``capture`` finds against the truth.

In goes a ``Scene``, a flat one in the target's frame (mm, y down): ``scene`` puts coloured regions
beneath, beside or upon a target, ``face`` a bat's face between rails, its decals put on well or
badly. How it is taken say ``Camera``, ``Light`` and ``Pose``.

``render`` then goes these steps, a module each:

1. ``optics``: where the camera stands, so that the scene fills its share of the picture.
2. ``raster``: the scene painted flat in the camera's own light, which ``sensor`` works out from
   spectra, with the grain and weave of ``texture``.
3. ``photograph``: that canvas as the lens throws it on the sensor.
4. ``exposure``: uneven light, reflections, veil, noise, the camera's matrix, codes.
5. ``picture_file``: the codes as a JPEG or PNG file, turned as the camera was held.
6. ``truth``: where every region lies in the picture, and its colour.

Out comes a ``Photograph``: the file's bytes and their ``Truth``, which ``write_photograph`` puts
beside each other as a picture and ``.truth.json``. The same arguments give the same bytes.
"""

from livery.rehearsal.model import (
    Camera,
    Encoding,
    Light,
    Material,
    Orientation,
    Photograph,
    Pose,
    Scene,
    SceneRegion,
    Spot,
    TrueRegion,
    Truth,
    box_ring,
)
from livery.rehearsal.photograph import render
from livery.rehearsal.scene import make_scene, region, spectrum_of
from livery.rehearsal.sensor import rendition_patches
from livery.rehearsal.truth import truth_json, write_photograph

__all__ = [
    "Camera",
    "Encoding",
    "Light",
    "Material",
    "Orientation",
    "Photograph",
    "Pose",
    "Scene",
    "SceneRegion",
    "Spot",
    "TrueRegion",
    "Truth",
    "box_ring",
    "make_scene",
    "region",
    "render",
    "rendition_patches",
    "spectrum_of",
    "truth_json",
    "write_photograph",
]
