"""Samples and captures made by hand."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pytest

from livery.capture.model import Capture, Gate, Sample
from livery.scheme.model import Finish, Ink, Palette

EMBER = (56.0, 56.0, 50.0)
TARN = (27.0, -3.0, -30.0)


@pytest.fixture
def palette() -> Palette:
    inks = (
        Ink("ember", "Ember", EMBER, Finish.SATIN, 2.0),
        Ink("tarn", "Tarn", TARN, Finish.SATIN, 1.5),
    )
    return Palette("p", "P", inks, "invented")


@pytest.fixture
def sample() -> Callable[..., Sample]:
    def make(
        item: str,
        lab: Sequence[float] = EMBER,
        *,
        own: float = 0.1,
        shared: float = 0.0,
        ink: str = "ember",
        source: str = "photo",
        name: str = "",
    ) -> Sample:
        common = np.eye(3) * shared**2
        cov = common + np.eye(3) * own**2
        return Sample(name or f"{item}-{ink}", item, ink, np.array(lab), cov, common, 900, source)

    return make


@pytest.fixture
def capture() -> Callable[..., Capture]:
    def make(*samples: Sample, gates: Sequence[Gate] = (), **changes: Any) -> Capture:
        settings = {"absolute": True, **changes}
        return Capture("p.jpg", "t", samples, tuple(gates), None, 5.0, 0.1, **settings)

    return make
