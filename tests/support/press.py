"""A press profile that is not the packaged one."""

import struct

from livery.colour import press_profile


def darker_press(share: float = 0.8) -> bytes:
    """The packaged profile for a stock that gives back only a share of its light."""
    icc = bytearray(press_profile("FOGRA39L").data)
    (count,) = struct.unpack_from(">I", icc, 128)
    entries = [struct.unpack_from(">4sII", icc, 132 + 12 * n) for n in range(count)]
    (start,) = [offset for signature, offset, _ in entries if signature == b"wtpt"]
    white = struct.unpack_from(">3i", icc, start + 8)
    struct.pack_into(">3i", icc, start + 8, *(round(share * one) for one in white))
    return bytes(icc)
