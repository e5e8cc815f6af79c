import numpy as np
import pytest

from livery.geometry import Affine


def test_quarter_turns_are_exact() -> None:
    assert Affine.rotation(90).apply(np.array([1.0, 0.0])).tolist() == [0.0, 1.0]
    assert Affine.rotation(-90).coefficients[:4] == (0.0, -1.0, 1.0, 0.0)
    assert Affine.rotation(30).apply(np.array([1.0, 0.0])) == pytest.approx([0.75**0.5, 0.5])


def test_a_mirror_has_a_negative_determinant() -> None:
    assert Affine.mirror_x().determinant == -1.0


def test_a_flat_map_has_no_inverse() -> None:
    with pytest.raises(ZeroDivisionError):
        Affine.scaling(0.0).inverse()


def test_a_map_is_written_as_opencv_takes_it_and_without_its_move() -> None:
    move = Affine(1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    point = np.array([7.0, 8.0])
    assert (move.for_opencv @ [*point, 1.0]).tolist() == move.apply(point).tolist()
    assert move.linear.apply(point).tolist() == (move.apply(point) - [5.0, 6.0]).tolist()
