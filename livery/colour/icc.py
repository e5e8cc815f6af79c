"""What livery reads of an ICC profile: its header, its tags, curves, matrices and tables.

Every length and offset is checked against the data: a damaged profile is an error, not a crash.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from livery.colour.arrays import Floats
from livery.errors import ColourError

# Sizes fixed by the format. Source: icc-1
_HEADER, _TAG_ENTRY, _LARGEST_TABLE = 128, 12, 40_000_000
_PARAMETERS = (1, 3, 4, 5, 7)  # numbers of a parametric curve of type 0 to 4
Curve = Callable[[Floats], Floats]


@dataclass(frozen=True, slots=True, eq=False)
class IccTags:
    """A profile taken apart.

    Attributes:
        space, connection: four-letter signatures as the header has them.
        tags: tag signature to its element's bytes.
    """

    space: str
    connection: str
    tags: dict[str, bytes]

    def tag(self, name: str) -> bytes:
        """The element of that tag.

        Raises:
            ColourError: the profile has none.
        """
        try:
            return self.tags[name]
        except KeyError:
            raise ColourError(f"ICC profile: no {name} tag, only {', '.join(self.tags)}.") from None


@dataclass(frozen=True, slots=True, eq=False)
class IccTable:
    """A multi-dimensional table (lut8 or lut16).

    Attributes:
        inputs: one curve a channel, 0..1 to 0..1, shape (channels, entries).
        grid: shape (points,) * channels + (outputs,), 0..1.
        outputs: one curve an output, shape (outputs, entries).
        wide: true for lut16, whose Lab is encoded up to FF00 hexadecimal.
    """

    inputs: Floats
    grid: Floats
    outputs: Floats
    wide: bool


def _unpack(layout: str, data: bytes, offset: int = 0) -> tuple[int, ...]:
    try:
        return struct.unpack_from(layout, data, offset)
    except struct.error:
        raise ColourError("ICC profile: it ends too early. Embed or fetch it again.") from None


def read_tags(data: bytes) -> IccTags:
    """Take a profile apart.

    Args:
        data: the profile's bytes.

    Returns:
        Its header's signatures and its tags.

    Raises:
        ColourError: not an ICC profile, or damaged.

    Source:
        icc-1
    """
    if len(data) < _HEADER + 4 or data[36:40] != b"acsp":
        raise ColourError("ICC profile: this is not one (its signature is missing).")
    (count,) = _unpack(">I", data, _HEADER)
    tags: dict[str, bytes] = {}
    for index in range(min(count, 200)):
        name, offset, size = struct.unpack(
            ">4sII",
            _slice(data, _HEADER + 4 + _TAG_ENTRY * index, _TAG_ENTRY),
        )
        tags[name.decode("latin-1")] = _slice(data, offset, size)
    space, connection = (data[at : at + 4].decode("latin-1") for at in (16, 20))
    return IccTags(space, connection, tags)


def _slice(data: bytes, offset: int, size: int) -> bytes:
    if offset + size > len(data):
        raise ColourError("ICC profile: a tag reaches past its end. Embed or fetch it again.")
    return data[offset : offset + size]


def read_xyz(element: bytes) -> Floats:
    """An XYZ element's first triple, shape (3,).

    Raises:
        ColourError: another kind of element, or cut short.

    Source:
        icc-1
    """
    if element[:4] != b"XYZ ":
        raise ColourError(f"ICC profile: {element[:4]!r} stands where XYZ is needed.")
    return np.array(_unpack(">3i", element, 8), dtype=np.float64) / 65536.0


def read_curve(element: bytes) -> Curve:
    """A tone curve, as a function on 0..1.

    Raises:
        ColourError: neither a sampled nor a parametric curve, or cut short.

    Source:
        icc-1
    """
    if element[:4] == b"curv":
        return _sampled(element)
    if element[:4] == b"para":
        return _parametric(element)
    raise ColourError(f"ICC profile: {element[:4]!r} stands where a curve is needed.")


def _sampled(element: bytes) -> Curve:
    (count,) = _unpack(">I", element, 8)
    if count == 0:
        return lambda x: x
    if count == 1:
        gamma = _unpack(">H", element, 12)[0] / 256.0
        return lambda x: np.maximum(x, 0.0) ** gamma
    samples = _numbers(element, 12, count, ">u2") / 65535.0
    positions = np.linspace(0.0, 1.0, count)
    return lambda x: np.interp(x, positions, samples)


def _parametric(element: bytes) -> Curve:
    (kind,) = _unpack(">H", element, 8)
    if kind >= len(_PARAMETERS):
        raise ColourError(f"ICC profile: parametric curve of type {kind}, known are 0 to 4.")
    given = [v / 65536.0 for v in _unpack(f">{_PARAMETERS[kind]}i", element, 12)]
    g, a, b, c, d, e, f = _seven(kind, given)

    def curve(x: Floats) -> Floats:
        upper = np.maximum(a * x + b, 0.0) ** g + e
        result: Floats = np.where(x >= d, upper, c * x + f)
        return result

    return curve


def _seven(kind: int, given: list[float]) -> tuple[float, ...]:
    """Any of the five parametric forms as the last: (ax + b)^g + e from d on, cx + f below."""
    if kind == 0:
        return (given[0], 1.0, 0.0, 0.0, -np.inf, 0.0, 0.0)
    if kind in (1, 2):
        g, a, b = given[:3]
        if a == 0.0:
            raise ColourError("ICC profile: a parametric curve divides by zero.")
        floor = given[3] if kind == 2 else 0.0
        return (g, a, b, 0.0, -b / a, floor, floor)
    g, a, b, c, d = given[:5]
    return (g, a, b, c, d, *(given[5:7] or (0.0, 0.0)))


def _numbers(element: bytes, offset: int, count: int, kind: str) -> Floats:
    size = int(kind[-1])
    if count > _LARGEST_TABLE:
        raise ColourError(f"ICC profile: a table of {count} numbers is not believable.")
    return np.frombuffer(_slice(element, offset, count * size), dtype=kind).astype(np.float64)


def read_table_element(element: bytes) -> IccTable:
    """A lut8 or lut16 element.

    Raises:
        ColourError: another kind of element, or damaged.

    Source:
        icc-1
    """
    kind = element[:4]
    if kind not in (b"mft1", b"mft2"):
        raise ColourError(f"ICC profile: table {kind!r} is not read, only mft1 and mft2.")
    channels, outputs, points = _unpack(">3B", element, 8)
    if not (1 <= channels <= 4 and outputs >= 1 and points >= 2):
        raise ColourError(f"ICC profile: a table of {channels} channels and {points} points.")
    wide = kind == b"mft2"
    entries_in, entries_out = _unpack(">2H", element, 48) if wide else (256, 256)
    at, size, layout = (52, 2, ">u2") if wide else (48, 1, ">u1")
    if entries_in < 2 or entries_out < 2:
        raise ColourError("ICC profile: a table's curve has fewer than two entries.")
    top = 65535.0 if wide else 255.0
    parts: list[Floats] = []
    for count in (channels * entries_in, points**channels * outputs, outputs * entries_out):
        parts.append(_numbers(element, at, count, layout) / top)
        at += count * size
    return IccTable(
        parts[0].reshape(channels, entries_in),
        parts[1].reshape((points,) * channels + (outputs,)),
        parts[2].reshape(outputs, entries_out),
        wide,
    )
