"""Palettes: aims in five notations, spectra that agree with them, names that make plates."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from palette_file import load_palette

from livery.colour import ciede2000
from livery.colour.spectra import spectrum_to_lab
from livery.errors import SeasonError

ROOT = Path(__file__).parents[3]
HEAD = 'name = "P"\nsource = "invented"\n'
Make = Callable[[str], Path]


@pytest.fixture
def make(tmp_path: Path) -> Make:
    def write(text: str) -> Path:
        (tmp_path / "p.toml").write_text(HEAD + text, "utf-8")
        return tmp_path / "p.toml"

    return write


def ink(aim: str, key: str = "a", name: str = "A") -> str:
    return f'[[inks]]\nkey = "{key}"\nname = "{name}"\n{aim}\n'


@pytest.mark.parametrize("name", ["reedlight", "night-match"])
def test_packaged_palettes_are_read(name: str) -> None:
    palette = load_palette(ROOT / "palettes" / f"{name}.toml")
    assert palette.key == name
    assert palette.keys == {"tarn", "ember", "chalk", "reed", "pitch", "brass"}
    assert "nvented" in palette.source


def test_spectra_of_the_demo_agree_with_their_aims() -> None:
    for one in load_palette(ROOT / "palettes" / "reedlight.toml").inks:
        assert one.spectrum is not None
        assert list(one.spectrum.wavelengths_nm) == list(range(380, 731, 10))
        seen = spectrum_to_lab(one.spectrum.wavelengths_nm, one.spectrum.reflectance)
        assert ciede2000(np.asarray(one.lab), seen) < 0.05


@pytest.mark.parametrize(
    ("aim", "lab"),
    [
        ("lab = [50, 20, -10]", (50.0, 20.0, -10.0)),
        ("lch = [50, 20, 90]", (50.0, 0.0, 20.0)),
        # Of D50's white 0.343, 0.216 and 0.125, whose cube roots are 0.7, 0.6 and 0.5.
        ("xyz = [0.330727, 0.216, 0.103151]", (53.6, 50.0, 20.0)),
        ("xyy = [0.508906, 0.332370, 0.216]", (53.6, 50.0, 20.0)),
        ('srgb = "#ffffff"', (100.0, 0.0, 0.0)),
        ("srgb = [0, 0, 0]", (0.0, 0.0, 0.0)),
        # As this red is commonly printed under D50 (from memory).
        ('srgb = "#ff0000"', (54.29, 80.81, 69.89)),
        # By colour-science 0.4.7, moved to D50 as Bradford has it.
        ('lab = [50, 20, -40]\nwhite = "D65"', (49.536, 15.590, -40.518)),
    ],
)
def test_aims_come_in_five_notations(make: Make, aim: str, lab: tuple[float, ...]) -> None:
    (one,) = load_palette(make(ink(aim))).inks
    assert one.lab == pytest.approx(lab, abs=0.02)


@pytest.mark.parametrize(
    ("text", "place", "found"),
    [
        (ink(""), "inks[0]", "no aim"),
        (ink("lab = [1, 2, 3]\nsrgb = [0, 0, 0]"), "inks[0]", "lab and srgb"),
        (ink("lab = [1, 2]"), "inks[0].lab", "[1, 2]"),
        (ink("lab = [1, 2, nan]"), "inks[0].lab[2]", "nan"),
        (ink("lab = [-1, 2, 3]"), "inks[0].lab", "no colour"),
        (ink("lch = [50, -2, 3]"), "inks[0].lch", "chroma"),
        (ink("xyz = [95, 100, 82]"), "inks[0].xyz", "outside"),
        (ink('srgb = "red"'), "inks[0].srgb", "'red'"),
        (ink('srgb = "#fff"'), "inks[0].srgb", "'#fff'"),
        (ink('srgb = "#ffffff"\nwhite = "D50"'), "inks[0].white", "D65"),
        (ink('lab = [5, 0, 0]\nwhite = "A"'), "inks[0].white", "'A'"),
        (ink("lab = [5, 0, 0]\ntolerance = 0"), "inks[0].tolerance", "0"),
        (ink('lab = [5, 0, 0]\nfinish = "shiny"'), "inks[0].finish", "'shiny'"),
        (ink("lab = [5, 0, 0]", name="none"), "inks[0].name", "'none'"),
        (ink("lab = [5, 0, 0]", name="CYAN"), "inks[0].name", "process"),
        (ink("lab = [5, 0, 0]") + ink("lab = [6, 0, 0]", "b", "a"), "inks[1].name", "taken"),
        (ink("lab = [5, 0, 0]") + ink("lab = [6, 0, 0]", "a", "B"), "inks[1].key", "taken"),
        (ink("lab = [5, 0, 0]\nspectrum = [0.1, 0.1]"), "inks[0].spectrum", "2 values"),
        (ink(f"lab = [5, 0, 0]\nspectrum = {[0.5] * 36}"), "inks[0].spectrum", "CIEDE2000"),
        (ink(f"lab = [5, 0, 0]\nspectrum = {[-0.5] * 36}"), "inks[0].spectrum[0]", "-0.5"),
        ("inks = []\n", "inks", "[]"),
        ("inks = 3\n", "inks", "3"),
        ('illuminant = "D65"\n' + ink("lab = [5, 0, 0]"), "illuminant", "'D65'"),
        ('condition = "M0"\n' + ink("lab = [5, 0, 0]"), "condition", "'M0'"),
    ],
)
def test_faulty_palettes_say_where(make: Make, text: str, place: str, found: str) -> None:
    with pytest.raises(SeasonError) as caught:
        load_palette(make(text))
    faults = {fault.place: fault for fault in caught.value.faults}
    assert place in faults
    assert found in faults[place].found
    assert faults[place].line is not None


def test_a_spectrum_on_another_grid_is_read(make: Make) -> None:
    grid = "[spectra]\nfirst_nm = 400\nlast_nm = 700\nstep_nm = 20\n"
    lab = spectrum_to_lab(np.arange(400.0, 701.0, 20.0), np.full(16, 0.2))
    aim = f"lab = [{lab[0]}, {lab[1]}, {lab[2]}]\nspectrum = {[0.2] * 16}"
    (one,) = load_palette(make(grid + ink(aim))).inks
    assert one.spectrum is not None
    assert one.spectrum.wavelengths_nm[-1] == 700.0


def test_a_grid_too_coarse_is_refused(make: Make) -> None:
    grid = "[spectra]\nfirst_nm = 400\nlast_nm = 700\nstep_nm = 100\n"
    with pytest.raises(SeasonError, match="wavelengths"):
        load_palette(make(grid + ink(f"lab = [50, 0, 0]\nspectrum = {[0.2] * 4}")))
