"""Does it match: samples against aims and each other, with uncertainty and a verdict."""

from livery.match.comparison import compare
from livery.match.lights import LightComparison, MeasuredSpectrum, compare_under_lights
from livery.match.model import Comparison, Remark, Verdict, tally_verdicts
from livery.match.picture import match_drawing
from livery.match.plots import plots_drawing
from livery.match.reading import read_capture
from livery.match.remarks import list_remarks
from livery.match.tolerance import item_names

__all__ = [
    "Comparison",
    "LightComparison",
    "MeasuredSpectrum",
    "Remark",
    "Verdict",
    "compare",
    "compare_under_lights",
    "item_names",
    "list_remarks",
    "match_drawing",
    "plots_drawing",
    "read_capture",
    "tally_verdicts",
]
