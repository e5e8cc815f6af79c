"""What changed between two revisions, told and drawn before and after."""

import gzip
from dataclasses import replace

import pytest
from labels import words_of

from livery.drawing import Shape
from livery.geometry import Affine
from livery.proof import (
    changes_drawing,
    likenesses_from_bytes,
    likenesses_of,
    likenesses_to_bytes,
    make_proof,
    proof_drawing,
)
from livery.proof.change_pages import _GHOST, _RING, draw_changes
from livery.proof.difference import find_differences
from livery.proof.pages import accent_of


def kept(scheme, order, layouts):
    """A revision as the records give it back."""
    looks = likenesses_from_bytes(likenesses_to_bytes(likenesses_of(layouts, scheme.palette)))
    return replace(make_proof(scheme, order, layouts), likenesses=looks)


def _packed(number):
    """One surface, a corner of which lies at that number."""
    outline = f'{{"verbs": "M", "rule": "nonzero", "points": [{number}, 0]}}'
    piece = f'{{"key": "", "name": "", "ground": true, "outline": {outline}, "regions": []}}'
    look = f'{{"key": "", "kin": "", "title": "", "pieces": [{piece}]}}'
    return gzip.compress(f'{{"likenesses": [{look}]}}'.encode())


def altered(layouts):
    """The face's badge lower, its band smaller, the first mark of the back taken away."""
    bat = layouts[0]
    badge, band, _, *others = bat.placements
    badge = replace(badge, affine=Affine.translation(0.0, 8.0) @ badge.affine)
    band = replace(band, affine=band.affine @ Affine.scaling(0.8))
    return replace(bat, placements=(badge, band, *others)), *layouts[1:]


def test_likenesses_come_back_and_are_the_same_bytes_each_time(first):
    scheme, _, layouts = first
    looks = likenesses_of(layouts, scheme.palette)
    data = likenesses_to_bytes(looks)
    assert data == likenesses_to_bytes(likenesses_of(layouts, scheme.palette))
    back = likenesses_from_bytes(data)
    assert likenesses_to_bytes(back) == data
    assert find_differences(back, looks) == ()
    count = (1 if layout.item.side else len(layout.item.surfaces) for layout in layouts)
    assert len(back) == sum(count)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"nothing",
        likenesses_to_bytes(())[:-9],
        gzip.compress(b"x")[:10] + b"\xff" * 20,
        gzip.compress(b"[" * 100_000),
        _packed("1e999"),
        _packed("1" * 400),
    ],
    ids=["empty", "not packed", "cut off", "badly packed", "nested", "without end", "too large"],
)
def test_what_is_no_likeness_is_refused(data):
    assert likenesses_from_bytes(_packed("1"))
    with pytest.raises(ValueError, match="not likenesses"):
        likenesses_from_bytes(data)


def test_every_change_is_named_and_nothing_else(first):
    scheme, order, layouts = first
    before = kept(scheme, order, layouts)
    after = likenesses_of(altered(layouts), scheme.palette)
    found = find_differences(before.likenesses, after)
    told = {(one.title, d.name): d.words for one in found for d in one.differences}
    assert told == {
        ("Face, Sedge, short handle", "Heron badge"): "moved 8.0 mm down",
        ("Face, Sedge, short handle", "Reed band"): "67.2 × 23.0 mm, was 84.0 × 28.8",
        ("Back, Sedge, short handle", "Shoulder mark"): "taken away",
    }
    back = find_differences(after, before.likenesses)
    assert {d.words for one in back for d in one.differences} >= {"moved 8.0 mm up", "new"}


def test_another_ink_and_another_size_are_seen(first):
    scheme, order, layouts = first
    before = kept(scheme, order, layouts)
    redder = replace(scheme.palette.inks[0], lab=(30.0, 40.0, 10.0))
    palette = replace(scheme.palette, inks=(redder, *scheme.palette.inks[1:]))
    found = find_differences(before.likenesses, likenesses_of(layouts, palette))
    assert {d.words for one in found for d in one.differences} == {"other colours"}
    bat = replace(layouts[0], item=replace(layouts[0].item, size="harrow"))
    found = find_differences(before.likenesses, likenesses_of((bat, *layouts[1:]), scheme.palette))
    assert found == ()  # a size's name alone looks like nothing
    gone = find_differences(before.likenesses, likenesses_of(layouts[1:], scheme.palette))
    assert {d.words for one in gone for d in one.differences} == {"taken away"}


def test_both_sides_are_drawn_to_one_scale_with_what_changed_ringed(first):
    scheme, order, layouts = first
    before = kept(scheme, order, layouts)
    found = find_differences(before.likenesses, likenesses_of(altered(layouts), scheme.palette))
    (page,) = draw_changes(found, ("revision 1", "revision 2"), accent_of(scheme.palette))
    rings = [e for e in page if isinstance(e, Shape) and e.stroke in (_RING, _GHOST)]
    assert len(rings) == 6
    assert [ring.stroke for ring in rings].count(_GHOST) == 1
    shapes = [e for e in page if isinstance(e, Shape) and e.fill is not None and e.stroke]
    sizes = {tuple(round(v, 2) for v in _size(shape.path)) for shape in shapes}
    assert len(shapes) == 4  # two surfaces, twice each
    assert len(sizes) == 2
    for ring in rings:
        inside = [e for e in page if isinstance(e, Shape) and _within(e.path, ring.path)]
        assert ring.stroke == _GHOST or inside, "a ring round nothing"


def test_a_proof_draws_its_changes_and_says_where(first):
    scheme, order, layouts = first
    before = kept(scheme, order, layouts)
    plain = proof_drawing(scheme, order, altered(layouts), previous=replace(before, likenesses=()))
    drawing = proof_drawing(scheme, order, altered(layouts), previous=before)
    assert len(drawing.pages) == len(plain.pages) + 1
    pages = [" ".join(words_of(page)) for page in drawing.pages]
    shown = [n for n, words in enumerate(pages, start=1) if "Changes drawn" in words]
    assert f"Before and after are drawn on page {shown[0]}." in " ".join(pages)
    assert len(shown) == 1
    after = kept(scheme, order, altered(layouts))
    assert len(changes_drawing(scheme, before, after).pages) == 1
    assert changes_drawing(scheme, before, before) is None


def _size(path):
    x0, y0, x1, y1 = path.bounds()
    return x1 - x0, y1 - y0


def _within(path, other):
    a, b = path.bounds(), other.bounds()
    return b[0] < a[0] and b[1] < a[1] and a[2] < b[2] and a[3] < b[3]
