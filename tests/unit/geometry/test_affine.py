import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from livery.geometry import Affine

_number = st.floats(-100, 100)
_affines = st.builds(Affine, _number, _number, _number, _number, _number, _number)
_points = np.array([[0.0, 0.0], [1.0, 2.0], [-3.5, 7.25]])


@given(_affines, _affines)
def test_composition_applies_the_inner_map_first(outer: Affine, inner: Affine) -> None:
    assert (outer @ inner).apply(_points) == pytest.approx(
        outer.apply(inner.apply(_points)), abs=1e-6
    )


@given(_affines.filter(lambda m: abs(m.determinant) > 1.0))
def test_the_inverse_undoes(affine: Affine) -> None:
    assert affine.inverse().apply(affine.apply(_points)) == pytest.approx(_points, abs=1e-6)


def test_quarter_turns_are_exact() -> None:
    assert Affine.rotation(90).apply(np.array([1.0, 0.0])).tolist() == [0.0, 1.0]
    assert Affine.rotation(-90).coefficients[:4] == (0.0, -1.0, 1.0, 0.0)
    assert Affine.rotation(30).apply(np.array([1.0, 0.0])) == pytest.approx([0.75**0.5, 0.5])


def test_a_mirror_has_a_negative_determinant() -> None:
    assert Affine.mirror_x().determinant == -1.0


def test_a_flat_map_has_no_inverse() -> None:
    with pytest.raises(ZeroDivisionError):
        Affine.scaling(0.0).inverse()
