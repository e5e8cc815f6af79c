"""The small pictures at the head of a bench card."""

import itertools

import pytest
from labels import labels_of

from livery.jobs.survey import survey
from livery.proof import card_drawing


@pytest.mark.parametrize("size", ["size-1", "size-2", "size-3"])
def test_the_names_of_narrow_pictures_keep_apart(demo_season, boxes, size):
    text = demo_season.read_text("utf-8").replace('"size-5"', f'"{size}"')
    demo_season.write_text(text, "utf-8")
    found = survey(demo_season)
    for order in found.scheme.orders[-2:]:
        page = card_drawing(found.scheme, order, found.layouts).pages[0]
        titles = ("Face", "Back", "Left edge", "Right edge")
        names = [label for label in labels_of(page) if label.text in titles]
        assert len(names) == 4
        for one, other in itertools.pairwise(boxes(names)):
            assert other[0] - one[2] >= 1.0, (one, other)
