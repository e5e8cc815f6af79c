"""Hypothesis strategies shared by the property tests, in one place."""

from hypothesis import strategies as st

from livery.scheme.model import BladeDims


def lab_colours() -> st.SearchStrategy[tuple[float, float, float]]:
    """CIELAB within what surfaces and screens reach, exact greys and axes among them."""
    axis = st.one_of(st.just(0.0), st.floats(-128.0, 127.0, allow_subnormal=False))
    return st.tuples(st.floats(0.0, 100.0, allow_subnormal=False), axis, axis)


def screen_codes() -> st.SearchStrategy[tuple[int, int, int]]:
    """8-bit red, green and blue."""
    return st.tuples(*[st.integers(0, 255)] * 3)


@st.composite
def spoilt_bytes(draw: st.DrawFn, whole: bytes) -> bytes:
    """A file with up to three places cut, repeated or overwritten."""
    content = bytearray(whole)
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, max(0, len(content) - 1)))
        stop = min(len(content), start + draw(st.integers(0, 40)))
        kind = draw(st.sampled_from(["cut", "repeat", "overwrite"]))
        if kind == "cut":
            del content[start:stop]
        elif kind == "repeat":
            content[stop:stop] = content[start:stop]
        else:
            content[start:stop] = draw(st.binary(max_size=8))
    return bytes(content)


_TOML_KEYS = st.text("abcXYZ019-_ .\"'é", min_size=1, max_size=6)
_TOML_VALUES = st.sampled_from(
    ["1", "-2.5e3", "true", "nan", '"a # b"', "'x'", "1979-05-27", '"""\nq\n"""', "[ ]", "{}"]
)


def _toml_key(key: str) -> str:
    """A key in double quotes, escaped."""
    return '"' + key.replace("\\", "\\\\").replace('"', '\\"') + '"'


@st.composite
def located_toml(draw: st.DrawFn) -> tuple[str, dict[tuple[str | int, ...], int]]:
    """TOML, and the line on which each key and element was written."""
    lines: list[str] = []
    where: dict[tuple[str | int, ...], int] = {}

    def pairs(base: tuple[str | int, ...]) -> None:
        for key in draw(st.lists(_TOML_KEYS, max_size=3, unique=True)):
            lines.extend(["# comment"] * draw(st.integers(0, 2)))
            where[(*base, key)] = len(lines) + 1
            values = draw(st.lists(_TOML_VALUES, min_size=1, max_size=3))
            if len(values) == 1:
                lines.extend(f"{_toml_key(key)} = {values[0]}".split("\n"))
                continue
            lines.append(f"{_toml_key(key)} = [")
            for index, value in enumerate(values):
                where[(*base, key, index)] = len(lines) + 1
                lines.extend(f"  {value},  # one".split("\n"))
            lines.append("]")

    pairs(())
    for table in draw(st.lists(_TOML_KEYS, max_size=3, unique=True)):
        name = f"table {table}"
        for index in range(draw(st.integers(1, 3))):
            where[(name, index)] = len(lines) + 1
            lines.append(f"[[{_toml_key(name)}]]")
            pairs((name, index))
            lines.append(f"[{_toml_key(name)}.{_toml_key('inner ' + table)}]")
            pairs((name, index, "inner " + table))
    return "\n".join(lines) + "\n", where


@st.composite
def blade_dims(draw: st.DrawFn) -> BladeDims:
    """Dimensions of a blade that contradict nothing, plausible or not."""
    blade = draw(st.floats(300.0, 620.0))
    width = draw(st.floats(70.0, 115.0))
    taper = draw(st.floats(0.0, width / 4))
    spine = draw(st.floats(15.0, 80.0))
    shoulder = draw(st.floats(20.0, 110.0))
    return BladeDims(
        overall_length=blade * 1.5,
        blade_length=blade,
        exposed_handle=blade * 0.5,
        grip_below_entry=draw(st.floats(-10.0, 70.0)),
        shoulder_length=shoulder,
        width=width,
        edge_thickness=draw(st.floats(5.0, spine)),
        spine_height=spine,
        handle_width=draw(st.floats(20.0, 45.0)),
        spine_from_toe=draw(st.floats(60.0, blade - 60.0)),
        toe_radius=draw(st.floats(0.0, (width - taper) / 2)),
        toe_thickness=draw(st.floats(5.0, spine)),
        taper=taper,
        source="drawn",
        hollow=draw(st.floats(-1.0, 1.0)),
        swell=draw(st.floats(1.0, 4.0)),
        entry_share=draw(st.floats(0.2, 1.0)),
        shoulder_power=draw(st.floats(1.0, 6.0)),
        bow=draw(st.floats(0.0, 25.0)),
    )
