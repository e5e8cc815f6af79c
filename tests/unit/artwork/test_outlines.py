"""Outlines of kit, drawn as SVG."""

import pytest

from livery.artwork import read_outline
from livery.errors import ArtworkError

HEAD = 'width="60mm" height="120mm" viewBox="0 0 30 60"'
BLADE = '<path d="M5 5 L25 5 L28 50 Q15 58 2 50 Z"/>'


@pytest.fixture
def read(svg):
    return lambda body, head=HEAD: read_outline(svg(body, outline="", head=head))


def test_the_only_closed_shape_is_the_outline_in_mm(read):
    assert read(BLADE).bounds() == pytest.approx((4.0, 10.0, 56.0, 108.0))


def test_groups_and_transforms_are_followed(read):
    moved = read(f'<g transform="translate(1 2)">{BLADE}</g>')
    assert moved.bounds() == pytest.approx((6.0, 14.0, 58.0, 112.0))


def test_of_several_shapes_the_marked_one_is_taken(read):
    guide = '<rect x="0" y="0" width="30" height="60" fill="none" stroke="red"/>'
    marked = BLADE.replace("<path", '<path data-part="outline"')
    found = read(f'{guide}{marked}<text x="1" y="1">face</text><path d="M0 0 L30 60"/>')
    assert found.bounds() == pytest.approx((4.0, 10.0, 56.0, 108.0))


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("", "no closed shape"),
        ('<path d="M0 0 L30 0 L15 60"/>', "no closed shape"),
        (BLADE + BLADE, "2 closed shapes"),
        (BLADE.replace("<path", '<path data-part="outline"') * 2, "2 outlines"),
        (BLADE.replace("M5 5", "M5 5 nonsense"), "nonsense"),
        ('<image href="face.png"/>', "image"),
    ],
)
def test_what_is_no_outline_is_refused(read, body, said):
    with pytest.raises(ArtworkError, match=said):
        read(body)


def test_a_file_that_states_no_size_is_refused(read):
    with pytest.raises(ArtworkError, match="width is not stated"):
        read(BLADE, head='viewBox="0 0 30 60"')
