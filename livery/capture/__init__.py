"""A photograph becomes numbers: decoding, targets, geometry, camera colour, sampling, gates."""

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
