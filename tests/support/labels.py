"""The words of a drawing's pages: what they say, where their ink is, and which of them meet."""

from collections.abc import Sequence
from itertools import combinations

from livery.drawing import Label, Page
from livery.output.lettering import label_outline

InkBox = tuple[float, float, float, float, str]
"""x0, y0, x1, y1 of a label's ink, mm, and its text."""


def labels_of(page: Page) -> list[Label]:
    """Every label of a page, layer by layer."""
    return [e for layer in page.layers for e in layer.elements if isinstance(e, Label)]


def words_of(page: Page) -> list[str]:
    """What a page says, label by label."""
    return [label.text for label in labels_of(page)]


def ink_boxes(page: Page) -> list[InkBox]:
    """The ink of each label of a page that has any."""
    outlined = [(label_outline(label), label.text) for label in labels_of(page)]
    return [(*path.bounds(), text) for path, text in outlined if path.verbs]


def find_meeting(boxes: Sequence[InkBox], touch_mm: float = 0.0) -> list[tuple[str, str]]:
    """Texts of boxes that lie over one another by more than that, both ways."""
    return [
        (a[4], b[4])
        for a, b in combinations(boxes, 2)
        if min(a[2], b[2]) - max(a[0], b[0]) > touch_mm
        and min(a[3], b[3]) - max(a[1], b[1]) > touch_mm
    ]
