"""What the print table says of the printer's stock, inks, marks and steps."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import ImageCms
from press import darker_press

from livery.errors import Fault
from livery.scheme import load_season
from livery.scheme.model import (
    CutterMark,
    PrintProfile,
    Prints,
    ThroughCut,
)

Write = Callable[..., Path]
Faults = Callable[[Path], dict[str, Fault]]


def test_the_print_table_says_how_the_printer_works(write_season: Write, season_text: str) -> None:
    printing = """bleed = "2 mm"
inks.tarn = "process"
black = 0.2
through_cut = "kits"
cutter_mark = "square"
cutter_mark_size = "6 mm"
cutter_pitch = "300 mm"
peel_tab = "0 mm"
currency = "GBP"
price_stock_m2 = 9.5
"""
    scheme = load_season(write_season(season_text.replace('bleed = "2 mm"\n', printing)))
    profile = scheme.profile
    assert scheme.palette.ink("tarn").prints is Prints.PROCESS
    assert {ink.prints for ink in load_season(write_season()).palette.inks} == {Prints.SPOT}
    assert (profile.black, profile.most_ink) == (0.2, 3.0)
    assert (profile.through_cut, profile.cutter_mark) == (ThroughCut.KITS, CutterMark.SQUARE)
    assert (profile.cutter_mark_mm, profile.cutter_pitch_mm) == (6.0, 300.0)
    assert (profile.currency, profile.price_stock_m2, profile.price_ink_m2) == ("GBP", 9.5, None)


def test_a_printers_own_profile_stands_in_for_the_packaged_one(
    write_season: Write, season_text: str
) -> None:
    icc = darker_press()
    said = 'bleed = "2 mm"\noutput_profile = "mill-lane.icc"'
    path = write_season(season_text.replace('bleed = "2 mm"', said))
    (path.parent / "mill-lane.icc").write_bytes(icc)
    scheme = load_season(path)
    profile = scheme.profile
    assert (profile.output_condition, profile.output_profile) == ("mill-lane", icc)
    assert profile.press.white == pytest.approx(0.8 * PrintProfile().press.white, abs=1e-4)
    assert ("mill-lane.icc", hashlib.sha256(icc).hexdigest()) in scheme.digests
    named = path.read_text("utf-8").replace(said, f'{said}\noutput_condition = "Mill Lane"')
    path.write_text(named, "utf-8")
    assert load_season(path).profile.output_condition == "Mill Lane"


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (None, "no such file"),
        (b"", "signature is missing"),
        (darker_press()[:3000], "ICC profile"),
        (ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), "CMYK to Lab"),
    ],
)
def test_what_is_no_press_profile_is_refused_at_its_key(
    write_season: Write, season_text: str, data: bytes | None, told: str, faults_of: Faults
) -> None:
    said = 'bleed = "2 mm"\noutput_profile = "press.icc"'
    path = write_season(season_text.replace('bleed = "2 mm"', said))
    if data is not None:
        (path.parent / "press.icc").write_bytes(data)
    (fault,) = faults_of(path).values()
    assert (fault.place, fault.line) == ("print.output_profile", 8)
    assert told in fault.found
    assert "four process inks" in fault.mend


@pytest.mark.parametrize(
    ("said", "tab_mm", "weeding_mm", "through"),
    [
        ('peel_tab = "8 mm"', 8.0, 0.0, True),
        ('weeding_margin = "5 mm"', 0.0, 5.0, False),
        ('weeding_margin = 5\nthrough_cut = "sheet"', 0.0, 5.0, True),
    ],
)
def test_the_print_table_asks_for_help_in_peeling(
    write_season: Write,
    season_text: str,
    said: str,
    tab_mm: float,
    weeding_mm: float,
    through: bool,
) -> None:
    text = season_text.replace('bleed = "2 mm"\n', f"{said}\n")
    profile = load_season(write_season(text)).profile
    assert (profile.peel_tab_mm, profile.weeding_margin_mm) == (tab_mm, weeding_mm)
    assert profile.cuts_through == through
