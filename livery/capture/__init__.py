"""A photograph becomes numbers: colours and positions, how sure each is, and what spoils them.

**Colours.** In go a picture file, the ``Target`` that lies in the picture and ``Region``s to
measure beside it; out comes a ``Capture`` (all in ``model``). ``measure`` goes these steps, which
``measurement`` puts in order and ``scene`` hands on:

1. ``photograph`` decodes the file, once ``picture_header`` has judged what it says of itself
   (``optional_decoders`` for HEIC and RAW); ``linear_light`` knows what light its codes stand for,
   and ``rounding`` what a JPEG lost of them.
2. ``locating`` finds the target: by its ``markers`` (of a ``marker_dictionary``), a chart without
   any by ``rendition_finding``; ``plane`` then takes mm to px. ``focus`` tells how sharp it is.
3. ``patch_pixels`` reads the target's patches, as ``pixels`` says for regions too.
4. ``camera_colour`` models the camera's colour from them. ``colour_model`` says what a model is,
   ``colour_fit`` fits one, in ``colour_metric`` and by the ``neutrals``; ``model_choice`` keeps the
   best, or ``bench_profile`` what ``bench_captures`` teach; ``doubt`` tells how far it may err,
   ``mixed_light`` and ``tone_mapping`` what no model can undo.
5. ``sampling`` makes a ``Sample`` of each region's pixels (``region_pixels``).
6. ``gates`` judge every step, and ``duplicate`` whether the photograph was there before. Nothing is
   raised for a photograph that can be read: bad samples are withheld, and say why.

``report`` writes a capture as data, ``annotation`` and ``preview`` as pictures (with ``pen``).

**Positions.** In go a photograph of a bat between rails and its layout; out come ``Positions``
(``position_model``). ``positions`` has ``rails`` say how the strips lie, ``rectified`` lay the
picture flat and ``blade_finding`` find the face (``blade_sides``, ``blade_edges``).
``decal_choice`` then looks for each decal (``decal_search``, ``decal_raster``) and lays its artwork
over it (``registration``), ``decal_standing`` holds it against its place, with its ``flaws``,
``applied_limits`` against the rules. ``position_gates`` judge, ``position_picture`` draws.

**Targets.** ``target_making`` makes them of ``target_layout`` and ``target_colours``, drawn by
``target_drawing``; ``rendition`` is the 24-patch chart. ``target_file`` and ``regions_file`` read
and write them and their regions; ``layout_regions`` tells regions from a layout.
"""

from livery.capture.annotation import annotate
from livery.capture.bench_captures import read_bench
from livery.capture.duplicate import Known
from livery.capture.measurement import measure, measure_photograph
from livery.capture.photograph import Photograph, read_photograph
from livery.capture.regions_file import read_regions, write_regions
from livery.capture.rendition import RENDITION_KEY, RENDITION_KEYS, rendition_24
from livery.capture.report import capture_to_json
from livery.capture.target_file import read_target, write_target
from livery.capture.target_layout import TargetKind
from livery.capture.target_making import make_target, with_measured

__all__ = [
    "RENDITION_KEY",
    "RENDITION_KEYS",
    "Known",
    "Photograph",
    "TargetKind",
    "annotate",
    "capture_to_json",
    "make_target",
    "measure",
    "measure_photograph",
    "read_bench",
    "read_photograph",
    "read_regions",
    "read_target",
    "rendition_24",
    "with_measured",
    "write_regions",
    "write_target",
]
