import pytest


@pytest.fixture(scope="session")
def season(demo):
    """The demonstration season and its layouts."""
    return demo.scheme, demo.layouts


@pytest.fixture(scope="session")
def first(season):
    """Scheme, first order and its own layouts."""
    scheme, layouts = season
    order = scheme.orders[0]
    return scheme, order, tuple(layout for layout in layouts if layout.order == order.key)


@pytest.fixture(scope="session")
def boxes():
    """Where each label of a page stands: (x0, y0, x1, y1, text), unturned labels only."""
    from livery.artwork.fonts import font_heights
    from livery.artwork.shaping import measure_text
    from livery.units import pt_to_mm

    def find(page_labels):
        found = []
        for label in page_labels:
            if label.rotation_deg or not label.text:
                continue
            size = pt_to_mm(label.size_pt)
            wide = measure_text(label.text, label.font, size)
            shift = {"start": 0.0, "middle": -wide / 2, "end": -wide}[label.anchor]
            x0, top = label.x_mm + shift, label.y_mm + font_heights(label.font).x * size
            found.append((x0, label.y_mm, x0 + wide, top, label.text))
        return found

    return find
