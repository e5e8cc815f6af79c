"""Sharma, Wu and Dalal, The CIEDE2000 color-difference formula: implementation notes,
supplementary test data, and mathematical observations, Color Research and Application 30(1),
2005, Table 1: all 34 pairs.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from livery.colour import ciede2000, ciede2000_terms

HALF_LAST_DIGIT = 5e-5


@pytest.fixture(scope="module")
def pairs():
    path = Path(__file__).parent / "data" / "ciede2000_pairs.csv"
    with path.open(encoding="utf-8") as stream:
        rows = [[float(cell) for cell in row] for row in list(csv.reader(stream))[1:]]
    table = np.array(rows)
    return table[:, 1:4], table[:, 4:7], table[:, 7]


def test_no_row_is_missing(pairs):
    assert pairs[0].shape == (34, 3)


def test_every_pair_within_half_the_last_printed_digit(pairs):
    lab_1, lab_2, published = pairs
    assert np.abs(ciede2000(lab_1, lab_2) - published).max() <= HALF_LAST_DIGIT


def test_every_pair_the_other_way_round(pairs):
    lab_1, lab_2, published = pairs
    assert np.abs(ciede2000(lab_2, lab_1) - published).max() <= HALF_LAST_DIGIT


def test_pairs_on_the_180_degree_tie_are_exact_alone_and_together(pairs):
    lab_1, lab_2, published = pairs
    for row in (9, 13):
        np.testing.assert_array_equal(lab_1[row, 1:], -lab_2[row, 1:])
        assert abs(float(ciede2000(lab_1[row], lab_2[row])) - published[row]) <= HALF_LAST_DIGIT


def test_terms_add_up_to_every_pair(pairs):
    lab_1, lab_2, published = pairs
    terms = ciede2000_terms(lab_1, lab_2)
    total = (
        terms.lightness_weighted**2
        + terms.chroma_weighted**2
        + terms.hue_weighted**2
        + terms.rotation
    )
    assert np.abs(np.sqrt(total) - published).max() <= HALF_LAST_DIGIT
