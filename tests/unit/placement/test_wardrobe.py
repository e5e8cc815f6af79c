"""Kit of a season, with blades that are drawn."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from livery.errors import ArtworkError
from livery.kit.section import profile_of
from livery.placement import Wardrobe
from livery.scheme import load_season
from livery.scheme.model import BladeDims, Hand, Scheme

Draw = Callable[..., Scheme]


@pytest.fixture
def scheme(demo_season: Path) -> Scheme:
    return load_season(demo_season)


@pytest.fixture
def draw(scheme: Scheme, tmp_path: Path) -> Draw:
    """The demo season with its harrow drawn as an SVG outline."""

    def draw(wider_mm: float = 0.0, extra: str = "") -> Scheme:
        bat = scheme.bats[0]
        dims = bat.dims[bat.sizes.index("harrow")]
        path = tmp_path / "harrow.svg"
        path.write_text(_svg(dims, wider_mm, extra), "utf-8")
        return replace(scheme, bats=(replace(bat, outlines=(("harrow", path),)),))

    return draw


def _svg(dims: BladeDims, wider_mm: float, extra: str) -> str:
    profile = profile_of(dims)
    half = profile.right_mm + wider_mm / 2 * (profile.right_mm / profile.right_mm.max())
    right = np.column_stack([60.0 + half, 7.0 + profile.axis_mm])
    left = np.column_stack([60.0 - half, 7.0 + profile.axis_mm])[::-1]
    d = "M" + " L".join(f"{x:.4f} {y:.4f}" for x, y in np.concatenate([right, left])) + "Z"
    head = 'xmlns="http://www.w3.org/2000/svg" width="120mm" height="700mm" viewBox="0 0 120 700"'
    return f'<svg {head}><path d="{d}"/>{extra}</svg>'


def test_a_drawn_blade_has_the_surfaces_of_its_twin_by_dimensions(
    scheme: Scheme, draw: Draw
) -> None:
    (computed,) = Wardrobe(scheme).items("sedge", "harrow", Hand.RIGHT)
    for hand in Hand:
        (drawn,) = Wardrobe(draw()).items("sedge", "harrow", hand)
        for one, other in zip(computed.surfaces, drawn.surfaces, strict=True):
            assert other.area_mm2 == pytest.approx(one.area_mm2, rel=1e-3), one.key


def test_the_laws_judge_the_width_that_is_drawn(draw: Draw) -> None:
    (item,) = Wardrobe(draw(wider_mm=0.8)).items("sedge", "harrow", Hand.RIGHT)
    assert item.dims is not None
    x0, _, x1, _ = item.surface("face").outline.bounds
    assert item.dims.width == pytest.approx(x1 - x0, abs=1e-3)
    assert "drawn outline" in item.dims.source


def test_other_sizes_keep_their_computed_outline(scheme: Scheme, draw: Draw) -> None:
    (one,) = Wardrobe(scheme).items("sedge", "size-5", Hand.RIGHT)
    (other,) = Wardrobe(draw()).items("sedge", "size-5", Hand.RIGHT)
    assert one.surface("face").outline.equals(other.surface("face").outline)


@pytest.mark.parametrize(
    ("wider_mm", "extra", "said"),
    [
        (3.0, "", "its width is"),
        (0.0, '<rect x="0" y="0" width="9" height="9"/>', "2 closed shapes"),
    ],
)
def test_a_drawing_that_is_no_such_blade_is_a_fault_of_its_file(
    draw: Draw, wider_mm: float, extra: str, said: str
) -> None:
    with pytest.raises(ArtworkError, match=said) as caught:
        Wardrobe(draw(wider_mm, extra)).items("sedge", "harrow", Hand.RIGHT)
    assert caught.value.faults[0].file.endswith("harrow.svg")
