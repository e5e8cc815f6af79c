"""The code on a card opens the bench page of its bat."""

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from livery.jobs.survey import Survey
from livery.output import render_png
from livery.proof import card_drawing

ADDRESS = "http://192.168.1.20:8737/"


def test_the_code_is_read_back_from_the_printed_card(demo: Survey, tmp_path: Path) -> None:
    order = demo.scheme.orders[0]
    drawing = card_drawing(demo.scheme, order, demo.of_order(order), ADDRESS)
    (tmp_path / "card.png").write_bytes(render_png(drawing, 0, 8.0))
    card = np.asarray(Image.open(tmp_path / "card.png").convert("L"))
    corner = card[: 27 * 8, -27 * 8 :]
    text, *_ = cv2.QRCodeDetector().detectAndDecode(corner)
    assert text == f"http://192.168.1.20:8737/bench/{order.key}"
    without = card_drawing(demo.scheme, order, demo.of_order(order))
    assert len(without.pages[0].layers[0].elements) < len(drawing.pages[0].layers[0].elements)


@pytest.mark.parametrize("name", ["අ" * 40, "W" * 40, "عائشہ " * 7, "தமிழ்ச்செல்வி " * 3])
def test_a_long_name_leaves_the_code_free(name: str, demo: Survey, tmp_path: Path) -> None:
    order = demo.scheme.orders[0]
    drawing = card_drawing(
        demo.scheme, replace(order, player=name[:40].strip()), demo.of_order(order), ADDRESS
    )
    card = np.asarray(Image.open(_kept(tmp_path, render_png(drawing, 0, 8.0))).convert("L"))
    text, *_ = cv2.QRCodeDetector().detectAndDecode(card[: 27 * 8, -27 * 8 :])
    assert text.endswith(order.key)
    gap = card[: 26 * 8, 121 * 8 : 123 * 8]  # between the name and the season's words
    assert gap.max() - gap.min() < 24


def _kept(folder: Path, png: bytes) -> Path:
    path = folder / "card.png"
    path.write_bytes(png)
    return path
