"""Hypothesis strategies shared by the property tests, in one place."""

from hypothesis import strategies as st


def lab_colours() -> st.SearchStrategy[tuple[float, float, float]]:
    """CIELAB within what surfaces and screens reach, exact greys and axes among them."""
    axis = st.one_of(st.just(0.0), st.floats(-128.0, 127.0, allow_subnormal=False))
    return st.tuples(st.floats(0.0, 100.0, allow_subnormal=False), axis, axis)


def screen_codes() -> st.SearchStrategy[tuple[int, int, int]]:
    """8-bit red, green and blue."""
    return st.tuples(*[st.integers(0, 255)] * 3)
