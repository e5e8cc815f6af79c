import pytest

from livery.proof.setting import Column, Flow, table_height


def test_a_long_table_goes_on_over_pages_with_its_heading():
    flow = Flow(100.0, 20.0)
    columns = (Column("Name", 40), Column("Words", 60))
    rows = [[f"row {n}", "word " * 30] for n in range(12)]
    flow.table(columns, rows)
    texts = [[label.text for label in page if hasattr(label, "text")] for page in flow.pages]
    assert len(flow.pages) > 2
    assert all(page[:2] == ["Name", "Words"] for page in texts)
    assert sum(page.count(f"row {n}") for page in texts for n in range(12)) == 12
    assert all(e.y_mm >= 20.0 for page in flow.pages for e in page if hasattr(e, "y_mm"))


def test_a_table_is_as_tall_as_it_says():
    flow = Flow(200.0, 0.0)
    columns = (Column("Name", 40), Column("Words", 60))
    rows = [["one", "word " * 30], ["two", "word"]]
    flow.table(columns, rows, 7.0)
    assert 200.0 - flow.y == pytest.approx(table_height(columns, rows, 7.0))
