import pytest

from livery import units


@pytest.mark.parametrize(
    ("value", "mm"),
    [
        (108, 108.0),
        ("108 mm", 108.0),
        ("4.25 in", 107.95),
        ("9in", 228.6),
        (" 10.8 cm ", 108.0),
        ("72 pt", 25.4),
        ("3 mil", 0.0762),
        ("80 \u00b5m", 0.08),
        ("80 \u03bcm", 0.08),
        ("80um", 0.08),
        ("150 micron", 0.15),
        ("-3", -3.0),
        ("1e2", 100.0),
    ],
)
def test_lengths_are_read_in_the_units_of_the_trade(value: object, mm: float) -> None:
    assert units.parse_length_mm(value) == pytest.approx(mm, abs=1e-12)


@pytest.mark.parametrize(
    "value", ["", "wide", "4 inches", "4..2 mm", True, None, [1], "nan", float("inf"), "1e9"]
)
def test_what_is_no_length_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match=r"length|unit"):
        units.parse_length_mm(value)


@pytest.mark.parametrize("mm", [-1e5, -0.1, 0.0, 1.0 / 3.0, 228.6, 1e5])
def test_points_and_inches_come_back(mm: float) -> None:
    assert units.pt_to_mm(units.mm_to_pt(mm)) == pytest.approx(mm, abs=1e-9)
    assert units.parse_length_mm(f"{units.mm_to_inch(mm):.12f} in") == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "words"),
    [("2 lb 9 oz", "2 lb 9 oz"), ("2lb", "2 lb 0 oz"), ("2 lb 9.5 oz", "2 lb 9.5 oz")],
)
def test_weights_are_read_and_said_in_pounds_and_ounces(value: str, words: str) -> None:
    assert units.format_lb_oz(units.parse_weight_g(value)) == words


def test_a_pound_is_the_international_avoirdupois_pound_of_sixteen_ounces() -> None:
    # 0.45359237 kg exactly: international yard and pound agreement, 1959 (from memory)
    assert units.parse_weight_g("1 lb") == pytest.approx(453.59237, abs=1e-9)
    assert units.parse_weight_g("0 lb 4 oz") == pytest.approx(453.59237 / 4, abs=1e-9)


@pytest.mark.parametrize("value", ["heavy", "2 kg", "-1 lb", True, None])
def test_what_is_no_weight_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="weight"):
        units.parse_weight_g(value)


def test_a_limit_is_said_both_ways() -> None:
    assert units.format_mm_and_inch(228.6) == "228.60 mm (9.000 in)"


@pytest.mark.parametrize(
    ("number", "words"), [(0, "0 sheets"), (1, "1 sheet"), (2500, "2,500 sheets")]
)
def test_one_thing_is_not_said_as_many(number: int, words: str) -> None:
    assert units.format_count(number, "sheet") == words
