"""Key paths and their lines."""

from livery.scheme.locator import format_place, locate_keys

TEXT = '''\
a = 1
b.c."d e" = { x = 1, y = [1, 2] }  # comment
multi = """
one
two"""

[[bats]]  # first
key = "x"
sizes = [
  "a", # not "b"
  """
c""",
]
[bats.dims.short-handle]
s = "1"
[[bats]]
dims."size 5".s = 1979-05-27
[[bats.parts]]
p = 1
[[bats.parts]]
p = 2
[t.'lit'."esc\\u0041"]
q = [{ z = 1 }, { z = [
  5,
] }]
'''


def test_every_kind_of_key_is_located() -> None:
    lines = locate_keys(TEXT)
    expected = {
        ("a",): 1,
        ("b",): 2,
        ("b", "c", "d e", "x"): 2,
        ("b", "c", "d e", "y", 1): 2,
        ("multi",): 3,
        ("bats",): 7,
        ("bats", 0): 7,
        ("bats", 0, "key"): 8,
        ("bats", 0, "sizes"): 9,
        ("bats", 0, "sizes", 0): 10,
        ("bats", 0, "sizes", 1): 11,
        ("bats", 0, "dims"): 14,
        ("bats", 0, "dims", "short-handle"): 14,
        ("bats", 0, "dims", "short-handle", "s"): 15,
        ("bats", 1): 16,
        ("bats", 1, "dims", "size 5", "s"): 17,
        ("bats", 1, "parts", 0): 18,
        ("bats", 1, "parts", 0, "p"): 19,
        ("bats", 1, "parts", 1, "p"): 21,
        ("t", "lit", "escA"): 22,
        ("t", "lit", "escA", "q", 0, "z"): 23,
        ("t", "lit", "escA", "q", 1, "z", 0): 24,
    }
    assert {key: lines.get(key) for key in expected} == expected


def test_places_read_as_people_write_them() -> None:
    assert format_place(("bats", 0, "dims", "short-handle")) == "bats[0].dims.short-handle"
    assert format_place(("a", "size 5")) == "a.'size 5'"
    assert format_place(()) == ""
