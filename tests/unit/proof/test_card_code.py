"""The code on a card opens the bench page of its bat."""

from dataclasses import replace
from io import BytesIO

import cv2
import numpy as np
import pytest
from PIL import Image

from livery.drawing import Drawing
from livery.jobs.survey import Survey
from livery.output import render_png
from livery.proof import card_drawing

PX_PER_MM = 8
ADDRESS = "http://192.168.1.20:8737/"


def printed(drawing: Drawing) -> np.ndarray:
    """A card as grey values, PX_PER_MM, row 0 at the top."""
    return np.asarray(Image.open(BytesIO(render_png(drawing, 0, PX_PER_MM))).convert("L"))


def read_code(card: np.ndarray) -> str:
    """What the code in a card's top right corner says."""
    text, *_ = cv2.QRCodeDetector().detectAndDecode(card[: 27 * PX_PER_MM, -27 * PX_PER_MM :])
    return text


def test_the_code_is_read_back_from_the_printed_card(demo: Survey) -> None:
    order = demo.scheme.orders[0]
    drawing = card_drawing(demo.scheme, order, demo.of_order(order), ADDRESS)
    assert read_code(printed(drawing)) == f"http://192.168.1.20:8737/bench/{order.key}"
    without = card_drawing(demo.scheme, order, demo.of_order(order))
    assert len(without.pages[0].layers[0].elements) < len(drawing.pages[0].layers[0].elements)


@pytest.mark.parametrize("name", ["අ" * 40, "W" * 40, "عائشہ " * 7, "தமிழ்ச்செல்வி " * 3])
def test_a_long_name_leaves_the_code_free(name: str, demo: Survey) -> None:
    order = demo.scheme.orders[0]
    drawing = card_drawing(
        demo.scheme, replace(order, player=name[:40].strip()), demo.of_order(order), ADDRESS
    )
    card = printed(drawing)
    assert read_code(card).endswith(order.key)
    gap = card[
        : 26 * PX_PER_MM, 121 * PX_PER_MM : 123 * PX_PER_MM
    ]  # between the name and the season's words
    assert gap.max() - gap.min() < 24
