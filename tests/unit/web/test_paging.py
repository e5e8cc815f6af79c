from livery.web.paging import find_part


def test_a_long_list_is_shown_a_part_at_a_time_and_searched() -> None:
    rows = [f"Q-{n} {'Zoë' if n % 50 == 0 else 'Ada'}" for n in range(150)]
    first = find_part(rows, str)
    assert (len(first.rows), first.pages, first.fit, first.is_long) == (60, 3, 150, True)
    assert find_part(rows, str, number=99).rows[-1] == "Q-149 Ada"
    assert find_part(rows, str, number=-3) == first
    found = find_part(rows, str, "  ZOË q-1 ")
    assert found.rows == ("Q-100 Zoë",)
    assert found.asked == "ZOË q-1"


def test_a_short_list_needs_no_search() -> None:
    assert not find_part(["a"], str).is_long
    assert find_part([], str).pages == 1
    assert find_part(["a"], str, "b").rows == ()
