"""Light that puts every ink off its aim is told apart from a print that is off."""

import re

import numpy as np
import pytest

from livery.capture.model import Sample
from livery.colour import WHITE_D50, lab_to_xyz, xyz_to_lab
from livery.match import compare
from livery.match.misleading_light import find_misleading_light
from livery.scheme.model import Finish, Ink, Palette

AIMS = {
    "plum": (32.0, 30.0, -18.0),
    "teal": (50.0, -30.0, -8.0),
    "saffron": (76.0, 18.0, 74.0),
    "slate": (42.0, -1.0, -3.0),
}
PALETTE = Palette(
    "p", "P", tuple(Ink(k, k, lab, Finish.SATIN, 2.0) for k, lab in AIMS.items()), "invented"
)


def remarks(veil=0.0, share=1.0, shifts=None, inks=tuple(AIMS)):
    """What is said of a bat whose inks are seen through a veil, in a share of the light."""
    samples = []
    for ink in inks:
        lab = np.add(AIMS[ink], (shifts or {}).get(ink, (0, 0, 0)))
        seen = share * lab_to_xyz(lab) / WHITE_D50
        seen = xyz_to_lab((seen + veil * (1 - seen)) * WHITE_D50)
        cov = np.eye(3) * 0.01
        samples.append(Sample(ink, "bat", ink, seen, cov, np.zeros((3, 3)), 900, "photo"))
    found = find_misleading_light(compare(samples, PALETTE))
    assert all(one.item == "bat" for one in found)
    return [one.text for one in found]


@pytest.mark.parametrize("veil", [0.02, 0.03, 0.06])
def test_film_left_on_is_suspected_before_the_print(veil: float) -> None:
    (said,) = remarks(veil, shifts={"teal": (0.5, 0, 0), "slate": (-0.4, 0.2, 0)})
    assert "peel off any film" in said
    (percent,) = re.findall(r"as if ([0-9.]+)% of white light", said)
    assert float(percent) == pytest.approx(100 * veil, abs=0.3)


@pytest.mark.parametrize("share", [0.85, 1.2])
def test_another_share_of_the_light_is_suspected(share: float) -> None:
    (said,) = remarks(share=share)
    assert f"{share:.0%} of the target's light" in said


def test_a_print_that_is_off_is_not_blamed_on_light() -> None:
    assert not remarks()
    assert not remarks(shifts={"teal": (5, 4, 3)})
    assert not remarks(shifts={"plum": (4, -6, 4), "teal": (-4, 7, 2), "slate": (4, 0, 1)})
    assert not remarks(0.03, inks=("plum", "teal"))
    assert not remarks(0.03, shifts={"saffron": (0, -9, -30)})
