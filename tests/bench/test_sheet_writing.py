"""Writing a sheet, beside reportlab alone drawing the same paths to a plain file."""

import io
from dataclasses import replace
from time import process_time

import pytest
from drawings import badge, sheet
from pytest_benchmark.fixture import BenchmarkFixture
from reportlab.pdfgen.canvas import Canvas

from livery.drawing import Drawing, Layer, LayerKind, Shape, Use
from livery.geometry import Affine
from livery.output import pdf_content, render_pdf, render_svg

COPIES = 500
PLACES = [Affine.translation(10.0 + n % 25 * 7, 10.0 + n // 25 * 7) for n in range(COPIES)]
SMALL = Affine.scaling(0.15)


def _sheet() -> Drawing:
    drawing = sheet()
    uses = tuple(Use("badge", place @ SMALL) for place in PLACES)
    layer = Layer("inks", LayerKind.INK, uses, plates=True)
    return replace(drawing, pages=(replace(drawing.pages[0], layers=(layer,)),))


def _flat_sheet() -> Drawing:
    shapes = tuple(
        Shape(shape.path.transformed(place @ SMALL), shape.fill, shape.stroke)
        for place in PLACES
        for shape in badge().elements
        if isinstance(shape, Shape)
    )
    layer = Layer("inks", LayerKind.INK, shapes, plates=True)
    return replace(_sheet(), pages=(replace(_sheet().pages[0], layers=(layer,)),))


def _plain(drawing: Drawing) -> bytes:
    """The same paths by reportlab's own path objects: no plates, layers, standard or Lab."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(540, 432), invariant=1)
    canvas.scale(72 / 25.4, 72 / 25.4)
    for shape in drawing.pages[0].layers[0].elements:
        assert isinstance(shape, Shape)
        path = canvas.beginPath()
        for verb, points in shape.path.commands():
            numbers = points.ravel().tolist()
            if verb == "M":
                path.moveTo(*numbers)
            elif verb == "L":
                path.lineTo(*numbers)
            elif verb == "C":
                path.curveTo(*numbers)
            else:
                path.close()
        canvas.drawPath(path, fill=int(shape.fill is not None), stroke=int(bool(shape.stroke)))
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


@pytest.mark.benchmark(group="500 decals on a sheet")
def test_pdf_with_symbols(benchmark: BenchmarkFixture) -> None:
    assert len(benchmark(render_pdf, _sheet())) < 200_000


@pytest.mark.benchmark(group="500 decals on a sheet")
def test_svg_with_symbols(benchmark: BenchmarkFixture) -> None:
    benchmark(render_svg, _sheet())


@pytest.mark.benchmark(group="2,500 paths drawn one by one", timer=process_time)
def test_pdf_without_symbols(benchmark: BenchmarkFixture) -> None:
    benchmark.extra_info.update(peer="reportlab", peer_test="test_reportlab_alone", bar=2.0)

    def forget() -> tuple[tuple[Drawing], dict[str, object]]:
        """A sheet not written before, so that nothing of it is remembered."""
        pdf_content.path_operators.cache_clear()
        pdf_content._number.cache_clear()
        return (_flat_sheet(),), {}

    benchmark.pedantic(render_pdf, setup=forget, rounds=10)


@pytest.mark.benchmark(group="2,500 paths drawn one by one", timer=process_time)
def test_reportlab_alone(benchmark: BenchmarkFixture) -> None:
    benchmark(_plain, _flat_sheet())
