"""A batch back from the printer, as values."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from livery.drawing import LabColour
from livery.match.control_chart import ControlChart
from livery.match.model import Verdict

Floats = NDArray[np.float64]


class Outcome(StrEnum):
    """What to do with a sheet or a batch."""

    ACCEPT = "accept"
    REJECT = "reject"
    AGAIN = "measure again"


@dataclass(frozen=True, slots=True, eq=False)
class PatchReading:
    """One patch of one sheet, read once.

    Attributes:
        sheet: which sheet; readings come in the order of the batch.
        inks: keys of the inks it shows, the lower one first; none for bare stock.
        tint: 0 to 1.
        lab: D50/2°, M1.
        cov: covariance of ``lab``.
        place: where on the sheet, or "".
        advice: why it is no evidence, or "".
    """

    sheet: str
    inks: tuple[str, ...]
    tint: float
    lab: LabColour
    cov: Floats
    place: str = ""
    advice: str = ""


@dataclass(frozen=True, slots=True)
class InkCheck:
    """One solid, or overprint, over the whole batch.

    Attributes:
        inks: keys.
        readings, sheets: how many there were.
        aim, mean: its aim, and the mean over sheets.
        off_aim: ΔE00 of that mean from the aim.
        mean_de00, p95_de00, worst_de00: of the sheets from the aim.
        spread: root mean square ΔE00 of the sheets from their own mean.
        verdict: of the mean colour.
        reason: what drove it.
    """

    inks: tuple[str, ...]
    readings: int
    sheets: int
    aim: LabColour
    mean: LabColour
    off_aim: float
    mean_de00: float
    p95_de00: float
    worst_de00: float
    worst_sheet: str
    spread: float
    tolerance: float
    verdict: Verdict
    reason: str


@dataclass(frozen=True, slots=True)
class SheetCheck:
    """One sheet: how far its solids are from their aims, and how even they are across it.

    Attributes:
        uneven_de00: largest ΔE00 between two places of one solid; None with one place each.
    """

    sheet: str
    mean_de00: float
    worst_de00: float
    worst_ink: str
    uneven_de00: float | None
    uneven_ink: str
    outcome: Outcome
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TintCheck:
    """One tint over the batch: its tone value, and the one wanted; shares."""

    ink: str
    tint: float
    wanted: float
    mean: float
    worst: float
    worst_sheet: str
    ok: bool


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """One coordinate of one solid along the batch.

    Attributes:
        chart: None with too few sheets for one.
    """

    ink: str
    coordinate: str
    sheets: tuple[str, ...]
    values: tuple[float, ...]
    aim: float
    chart: ControlChart | None


@dataclass(frozen=True, slots=True, eq=False)
class PrintCheck:
    """What became of the batch.

    Attributes:
        reasons: of the outcome, the gravest first.
        notes: what does not decide: drift, patches left out, doubts.
    """

    outcome: Outcome
    reasons: tuple[str, ...]
    inks: tuple[InkCheck, ...]
    sheets: tuple[SheetCheck, ...]
    tints: tuple[TintCheck, ...]
    series: tuple[Series, ...]
    notes: tuple[str, ...]
