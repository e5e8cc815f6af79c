"""What callipers and a tape would read on a bat."""

from __future__ import annotations

from dataclasses import dataclass

from livery.errors import Fault, InputError
from livery.kit.model import KitItem


@dataclass(frozen=True, slots=True)
class BatMeasures:
    """Measurements of a finished bat.

    Attributes:
        overall_length_mm: handle's top to toe.
        blade_length_mm: handle's entry to toe.
        width_mm, depth_mm, edge_mm: the blade's greatest, below the grip.
        grip_overlap_mm: how far the grip runs over the blade from the handle's entry.
        handle_share: the handle above the blade as a share of the overall length, 0..1. The part
            let into the blade is hidden and not counted.
        back_width_mm: greatest width of the back along its curve.
    """

    overall_length_mm: float
    blade_length_mm: float
    width_mm: float
    depth_mm: float
    edge_mm: float
    grip_overlap_mm: float
    handle_share: float
    back_width_mm: float


def measure_bat(item: KitItem) -> BatMeasures:
    """Measurements of a bat, from its surfaces where they show them.

    Raises:
        InputError: the item is no bat.
    """
    dims = item.dims
    if dims is None:
        raise InputError(Fault("season", item.key, None, "it is no bat", "Measure a bat."))
    x0, _, x1, _ = item.surface("face").outline.bounds
    back_x0, _, back_x1, _ = item.surface("back").outline.bounds
    edge_x0, _, edge_x1, _ = item.surface("edge-left").outline.bounds
    # A bow shifts an edge sideways without making it thicker.
    edge = dims.edge_thickness if dims.bow else edge_x1 - edge_x0
    return BatMeasures(
        overall_length_mm=dims.overall_length,
        blade_length_mm=dims.blade_length,
        width_mm=x1 - x0,
        depth_mm=dims.spine_height,
        edge_mm=edge,
        grip_overlap_mm=dims.grip_below_entry,
        handle_share=dims.exposed_handle / dims.overall_length,
        back_width_mm=back_x1 - back_x0,
    )
