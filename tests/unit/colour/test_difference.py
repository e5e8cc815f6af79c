import numpy as np
import pytest
from colour_science import colour

from livery.colour import ciede2000, ciede2000_single, ciede2000_terms
from livery.errors import ColourError

LAB = np.array([52.0, 18.0, -31.0])


@pytest.fixture(scope="module")
def random_pairs():
    generator = np.random.default_rng(20050101)
    low, high = [0.0, -128.0, -128.0], [100.0, 127.0, 127.0]
    shape = (1_000_000, 3)
    return generator.uniform(low, high, shape), generator.uniform(low, high, shape)


def test_a_million_random_pairs_agree_with_colour_science(random_pairs):
    lab_1, lab_2 = random_pairs
    reference = colour.difference.delta_E_CIE2000(lab_1, lab_2)
    assert np.abs(ciede2000(lab_1, lab_2) - reference).max() <= 1e-9


def test_close_pairs_agree_with_colour_science(random_pairs):
    lab_1, offset = random_pairs
    lab_2 = lab_1 + offset[::-1] * 0.01
    reference = colour.difference.delta_E_CIE2000(lab_1, lab_2)
    assert np.abs(ciede2000(lab_1, lab_2) - reference).max() <= 1e-9


@pytest.mark.parametrize(("share", "within"), [(1.0, 1e-4), (0.05, 2e-5)])
def test_single_precision_is_nearly_as_good(random_pairs, share, within):
    lab_1, other = random_pairs
    lab_2 = lab_1 + share * (other - lab_1)
    single = ciede2000_single(lab_1, lab_2)
    assert single.dtype == np.float32
    assert np.abs(ciede2000(lab_1, lab_2) - single).max() <= within
    assert np.isnan(ciede2000_single(LAB, LAB * np.nan))


def test_one_colour_against_many_is_the_same_as_repeating_it(random_pairs):
    many = random_pairs[0][:20_000].reshape(100, 200, 3)
    repeated = np.broadcast_to(LAB, many.shape)
    np.testing.assert_array_equal(ciede2000(LAB, many), ciede2000(repeated, many))
    np.testing.assert_array_equal(ciede2000(many, LAB), ciede2000(many, repeated))


def test_shapes_broadcast_to_a_matrix_of_pairs(random_pairs):
    few = random_pairs[0][:7]
    matrix = ciede2000(few[:, None], few[None])
    assert matrix.shape == (7, 7)
    np.testing.assert_array_equal(np.diag(matrix), 0.0)


def test_a_single_pair_gives_a_single_number():
    assert ciede2000(LAB, LAB).shape == ()


def test_no_pairs_give_no_numbers():
    assert ciede2000(np.empty((0, 3)), np.empty((0, 3))).shape == (0,)


def test_terms_name_the_direction():
    lighter = ciede2000_terms(LAB, LAB + np.array([4.0, 0.0, 0.0]))
    weaker = ciede2000_terms(LAB, LAB * [1.0, 0.8, 0.8])
    towards_yellow = ciede2000_terms([60.0, 40.0, 0.0], [60.0, 38.0, 12.0])
    assert lighter.lightness == pytest.approx(4.0)
    assert weaker.chroma < -5.0
    assert abs(weaker.hue) < 0.1
    assert towards_yellow.hue > 10.0
    assert ciede2000_terms([60.0, 38.0, 12.0], [60.0, 40.0, 0.0]).hue < -10.0


@pytest.mark.parametrize(
    ("lab_1", "lab_2", "words"),
    [
        ([1.0, 2.0], LAB, "Three values"),
        (3.0, LAB, "Three values"),
        ([np.nan, 0.0, 0.0], LAB, "not finite"),
        ([np.inf, 0.0, 0.0], LAB, "not finite"),
        (LAB, [0.0, -1e9, 0.0], "not finite or beyond"),
        (np.zeros((4, 3)), np.zeros((5, 3)), "must broadcast"),
        (["a", "b", "c"], LAB, "not an array of numbers"),
    ],
)
def test_numbers_outside_the_domain_are_refused(lab_1, lab_2, words):
    with pytest.raises(ColourError, match=words):
        ciede2000(lab_1, lab_2)
