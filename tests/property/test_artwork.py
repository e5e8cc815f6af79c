import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import paths

from livery.artwork.fonts import missing_characters
from livery.artwork.pathdata import parse_path_data
from livery.artwork.shaping import measure_text, outline_text
from livery.artwork.values import parse_transform
from livery.geometry import Affine


@settings(max_examples=60)
@given(paths(500.0, 4))
def test_path_data_written_and_read_is_the_same_path(path):
    again = parse_path_data(path.svg_d(4))
    assert again.verbs == path.verbs
    assert again.points == pytest.approx(path.points, abs=1e-9)


@settings(max_examples=80)
@given(st.text(max_size=60))
def test_any_text_is_path_data_or_a_value_error(text):
    try:
        path = parse_path_data(text)
    except ValueError:
        return
    assert np.isfinite(path.points).all()


@settings(max_examples=60)
@given(st.lists(st.floats(-9, 9).filter(lambda v: abs(v) > 0.01), min_size=6, max_size=6))
def test_a_matrix_is_read_as_it_is_written(numbers):
    written = "matrix(" + " ".join(repr(number) for number in numbers) + ")"
    assume(abs(Affine(*numbers).determinant) > 1e-9)
    assert parse_transform(written).coefficients == pytest.approx(numbers)


@settings(max_examples=60)
@given(st.text(st.characters(codec="latin-1", exclude_categories=["Cc", "Cf"]), max_size=30))
def test_lettering_grows_evenly_and_is_as_long_as_measured(text):
    assume(not missing_characters(text, "text"))
    small, advance = outline_text(text, "text", 2.0)
    large, _ = outline_text(text, "text", 6.0)
    assert advance == measure_text(text, "text", 2.0)
    assert large.points == pytest.approx(small.points * 3)
