"""Constants of control charts against the table texts print, and the rest of its rows.

Source: control-constants (second-hand), 2 to 25 values; the chart uses the row of two. The other
rows are reckoned here by integrating the normal law, so that the table itself is seen to hold.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ndtr

from livery.match.control_chart import RANGE_LIMIT, RANGE_MEAN, RANGE_SD

TABLE = Path(__file__).parent / "data" / "control_chart_constants.csv"
ROWS = [
    {key: float(value) for key, value in row.items()}
    for row in csv.DictReader(TABLE.read_text("utf-8").splitlines())
]


def moments(n):
    """Mean and standard deviation of the range of n normal values, by integration."""
    x = np.linspace(-8.0, 8.0, 801)
    step = x[1] - x[0]
    mean = np.sum(1.0 - ndtr(x) ** n - ndtr(-x) ** n) * step
    high, low = x[:, None], x[None, :]
    both = 1.0 - ndtr(high) ** n - ndtr(-low) ** n + np.clip(ndtr(high) - ndtr(low), 0, 1) ** n
    weight = np.where(high > low, 1.0, np.where(high == low, 0.5, 0.0))
    square = 2.0 * np.sum(both * weight) * step * step
    return mean, np.sqrt(square - mean**2)


def test_the_chart_uses_the_row_of_two():
    row = ROWS[0]
    assert row["n"] == 2
    assert pytest.approx(row["d2"], abs=5e-4) == RANGE_MEAN
    assert pytest.approx(row["D4"], abs=5e-4) == RANGE_LIMIT
    assert max(0.0, 1 - 3 * RANGE_SD / RANGE_MEAN) == row["D3"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['n']:g}")
def test_every_row_holds(row):
    mean, sd = moments(row["n"])
    # Two rows' D4 are printed from rounded d3: one unit of the last digit is allowed.
    assert mean == pytest.approx(row["d2"], abs=6e-4)
    assert max(0.0, 1 - 3 * sd / mean) == pytest.approx(row["D3"], abs=1.1e-3)
    assert 1 + 3 * sd / mean == pytest.approx(row["D4"], abs=1.1e-3)
