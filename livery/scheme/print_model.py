"""How a printer works: stock, margins, steps, marks and prices. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from livery.colour import PressProfile, press_profile


class ThroughCut(StrEnum):
    """What is cut right through the stock."""

    NOTHING = "nothing"
    SHEET = "sheet"  # one block round all decals of a sheet
    KITS = "kits"  # a block round each kit's decals


class CutterMark(StrEnum):
    """What the cutter's eye looks for."""

    DISC = "disc"
    SQUARE = "square"
    CORNER = "corner"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class PrintProfile:
    """How the printer works, mm. Defaults are in facts of the trade; each is a choice of theirs.

    Attributes:
        roll: true when the stock is a roll of ``stock_width_mm``; height is then the cut length.
        output_condition: the press condition's name, a packaged one's where there is no
            ``output_profile``.
        output_profile: the printer's own ICC profile for it; empty for a packaged one.
        most_ink: largest sum of process coverages; 3 is 300 %.
        black: coverage of black held in process builds; None takes the least black that comes
            nearest.
        weeding_margin_mm: how far outside all of a sheet's decals a cut bounds the waste, which
            then peels in one piece; 0 for none.
        peel_tab_mm: how far a tab of liner stands out beside each decal, on a piece of liner of
            its own that is cut through; 0 for none.
        cutter_mark: the cutter's optical marks, ``cutter_mark_mm`` across, up both sides at most
            ``cutter_pitch_mm`` apart, the outer ones ``cutter_inset_mm`` from the ends.
        currency, price_*: per m² of stock, of each ink's area, of white and of varnish; per
            separation of a run. None: no price given.
    """

    key: str = "default"
    name: str = "Default sheet profile"
    stock: str = "white cast vinyl"
    stock_width_mm: float = 320.0
    stock_height_mm: float = 450.0
    roll: bool = False
    margin_mm: float = 10.0
    gripper_mm: float = 10.0
    bleed_mm: float = 2.0
    safe_mm: float = 2.0
    gap_mm: float = 3.0
    min_line_mm: float = 0.25
    min_text_pt: float = 5.0
    min_cut_radius_mm: float = 1.0
    trap_mm: float = 0.1
    white_choke_mm: float = 0.15
    cross_mm: float = 6.0
    cross_line_pt: float = 0.25
    control_patch_mm: float = 6.0
    white: bool = False
    varnish: bool = False
    cut_name: str = "kiss cut line"
    through_cut_name: str = "through cut line"
    white_name: str = "white underprint"
    varnish_name: str = "varnish"
    output_condition: str = "FOGRA39L"
    output_profile: bytes = field(default=b"", repr=False)
    most_ink: float = 3.0
    black: float | None = None
    through_cut: ThroughCut = ThroughCut.NOTHING
    weeding_margin_mm: float = 0.0
    peel_tab_mm: float = 0.0
    cutter_mark: CutterMark = CutterMark.DISC
    cutter_mark_mm: float = 5.0
    cutter_pitch_mm: float = 400.0
    cutter_inset_mm: float = 9.0
    currency: str = ""
    price_stock_m2: float | None = None
    price_ink_m2: float | None = None
    price_white_m2: float | None = None
    price_varnish_m2: float | None = None
    price_plate: float | None = None

    @property
    def press(self) -> PressProfile:
        """The press condition's profile.

        Raises:
            ColourError: no packaged one has that name.
        """
        return press_profile(self.output_condition, self.output_profile)

    @property
    def cuts_through(self) -> bool:
        """Whether anything is cut right through the stock."""
        return self.through_cut is not ThroughCut.NOTHING or self.peel_tab_mm > 0.0
