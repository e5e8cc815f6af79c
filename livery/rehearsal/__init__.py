"""A rehearsal of the bench: simulated photographs with the truth beside them.

Always said to be simulated wherever one is shown.
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
)
from livery.rehearsal.photograph import render
from livery.rehearsal.scene import box_ring, make_scene, region, rendition_patches, spectrum_of
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
