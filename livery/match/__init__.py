"""Does it match: samples against aims and each other, with uncertainty and a verdict.

In come captures, aims and tolerances; out go comparisons with verdicts, remarks and drawings. The
steps, in order:

- ``reading`` makes captures of files; ``evidence`` makes of them one shot for each ink, item and
  photograph;
- ``comparison`` pairs these with aims, with a reference and with each other, ``tolerance`` says
  which limit binds a pair, ``decision`` judges it, ``strays`` finds a region that fails alone, and
  ``words`` gives the reason;
- ``rulings`` gives many captures' verdicts alone, by the same rule;
- ``remarks`` and ``misleading_light`` say what the evidence lacks, ``lights`` how other lights
  change it, ``remedy`` what would mend it; ``findings`` holds all this, ``say`` puts it in words;
- ``picture``, ``plots`` (by ``contour``) and ``report`` (with ``compact``) draw it, by ``marks``.

A batch back from the printer: ``patch_names`` says what a reading shows, ``print_check`` judges the
batch, by ``tints`` and ``control_chart``, as ``print_model`` has it; ``batch_drawing`` draws it.
"""

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
