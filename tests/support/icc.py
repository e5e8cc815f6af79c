"""Colour profiles put together by hand, as ICC.1 lays them out: a header, a table of tags, tags."""

import struct
from collections.abc import Mapping, Sequence


def fixed(*values: float) -> bytes:
    """Numbers as s15Fixed16."""
    return struct.pack(f">{len(values)}i", *(round(value * 65536) for value in values))


def xyz(*values: float) -> bytes:
    """An XYZ tag."""
    return b"XYZ \0\0\0\0" + fixed(*values)


def parametric(kind: int, values: Sequence[float]) -> bytes:
    """A parametric curve."""
    return b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + fixed(*values)


def sampled(codes: Sequence[int]) -> bytes:
    """A curve through 16-bit codes; one code is a gamma in 256ths, none a straight line."""
    return b"curv\0\0\0\0" + struct.pack(f">I{len(codes)}H", len(codes), *codes)


def matrix_profile(
    columns: Sequence[Sequence[float]],
    curve: bytes,
    space: bytes = b"RGB ",
    connection: bytes = b"XYZ ",
) -> bytes:
    """A display's profile: the XYZ of red, green and blue under D50, and one curve for all."""
    tags = {b"%cXYZ" % name: xyz(*column) for name, column in zip(b"rgb", columns, strict=True)}
    tags |= {b"%cTRC" % name: curve for name in b"rgb"}
    return profile_of(tags, b"mntr", space, connection)


def profile_of(tags: Mapping[bytes, bytes], kind: bytes, space: bytes, connection: bytes) -> bytes:
    """A profile of any kind from its tags, each filled up to four bytes."""
    at, table, body = 128 + 4 + 12 * len(tags), b"", b""
    for name, tag in tags.items():
        table += name + struct.pack(">2I", at + len(body), len(tag))
        body += tag + b"\0" * (-len(tag) % 4)
    whole = struct.pack(">I", len(tags)) + table + body
    size, version = 128 + len(whole), 0x02400000
    head = struct.pack(">I4sI4s4s4s", size, b"none", version, kind, space, connection)
    return head + b"\0" * 12 + b"acsp" + b"\0" * 88 + whole
