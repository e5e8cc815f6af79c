import struct

import pytest


def _fixed(values):
    return struct.pack(f">{len(values)}i", *(round(v * 65536) for v in values))


@pytest.fixture
def build_profile():
    """A matrix and curves profile made by hand: ``build_profile(columns, curve_element)``."""

    def build(columns, curve, space=b"RGB ", connection=b"XYZ "):
        elements = {f"{c}XYZ": b"XYZ \0\0\0\0" + _fixed(columns[i]) for i, c in enumerate("rgb")}
        elements |= {f"{c}TRC": curve for c in "rgb"}
        head = b"\0" * 12 + b"mntr" + space + connection + b"\0" * 12 + b"acsp" + b"\0" * 88
        table, body = struct.pack(">I", len(elements)), b""
        start = len(head) + 4 + 12 * len(elements)
        for name, element in elements.items():
            table += struct.pack(">4sII", name.encode(), start + len(body), len(element))
            body += element + b"\0" * (-len(element) % 4)
        return head + table + body

    return build


@pytest.fixture
def parametric():
    """A parametric curve element: ``parametric(kind, values)``."""
    return lambda kind, values: b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + _fixed(values)


@pytest.fixture
def sampled():
    """A sampled curve element, or one gamma: ``sampled(codes)``."""
    return lambda codes: b"curv\0\0\0\0" + struct.pack(f">I{len(codes)}H", len(codes), *codes)
