"""``regions.toml``: what is written is read as it was, and what makes no region is refused."""

import numpy as np
import pytest

from livery.capture import read_regions, write_regions
from livery.capture.model import Region
from livery.errors import TargetError

REGION = '[[regions]]\nname = "badge"\nink = "tarn"\nitem = "bat"\n'


def _write(tmp_path, text):
    path = tmp_path / "regions.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_regions_are_read_in_either_frame(tmp_path):
    text = REGION + "polygon_mm = [[0, 0], [10, 0], [10, 10.5]]\n"
    text += REGION.replace("badge", "cuff") + 'material = "leather"\n'
    text += "polygon_px = [[5, 5], [900, 5], [900, 700]]\n"
    one, two = read_regions(_write(tmp_path, text))
    assert (one.name, one.ink, one.item) == ("badge", "tarn", "bat")
    assert np.array_equal(one.polygon_mm, [[0, 0], [10, 0], [10, 10.5]])
    assert one.polygon_px is None
    assert (one.material, two.material) == ("", "leather")
    assert two.polygon_mm is None
    assert two.polygon_px.shape == (3, 2)


@pytest.mark.parametrize(
    "lines",
    [
        "",
        "polygon_mm = [[0, 0], [1, 0], [1, 1]]\npolygon_px = [[0, 0], [1, 0], [1, 1]]\n",
        "polygon_mm = [[0, 0], [1, 0]]\n",
        "polygon_mm = [[0, 0], [5, 5], [10, 10]]\n",
        "polygon_mm = [[0, 0], [5, inf], [10, 10]]\n",
        "polygon = [[0, 0], [5, 5], [10, 10]]\n",
    ],
)
def test_wrong_regions_are_refused(tmp_path, lines):
    with pytest.raises(TargetError):
        read_regions(_write(tmp_path, REGION + lines))


def test_a_region_given_twice_is_refused(tmp_path):
    region = REGION + "polygon_mm = [[0, 0], [1, 0], [1, 1]]\n"
    with pytest.raises(TargetError, match="given twice"):
        read_regions(_write(tmp_path, region + region))


def test_regions_that_are_written_are_read_as_they_were(tmp_path):
    corners = np.array([[1.0, 2.5], [30.25, 2.5], [30.25, 40.0]])
    regions = (
        Region('sword "blade"', "tarn", "bat", polygon_mm=corners, material="vinyl film"),
        Region("cuff", "ember", "glove", polygon_px=corners * 10.0),
    )
    path = tmp_path / "regions.toml"
    write_regions(regions, path)
    for written, read in zip(regions, read_regions(path), strict=True):
        assert (read.name, read.ink, read.item) == (written.name, written.ink, written.item)
        assert read.material == written.material
        for key in ("polygon_mm", "polygon_px"):
            np.testing.assert_array_equal(getattr(read, key), getattr(written, key))
