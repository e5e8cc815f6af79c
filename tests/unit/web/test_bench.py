"""A bat between rails: photographed, measured by what its layout names, kept."""

import re
from pathlib import Path

import pytest
from targets import measured_target

from livery.capture import TargetKind, read_target, with_measured, write_target
from livery.capture.target_layout import form_of
from livery.geometry import Affine
from livery.rehearsal import Camera, Light, Pose, make_scene, render, write_photograph
from livery.rehearsal.face import face_scene
from livery.scheme.model import ItemKind
from livery.web.post import Post


@pytest.fixture(scope="module")
def rails(post: Post, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A simulated photograph of the first order's bat; the post knows its target as ``rails``."""
    folder = tmp_path_factory.mktemp("rails")
    found = post.found()
    layouts = found.of_order(found.scheme.orders[0])
    bat = next(one for one in layouts if one.item.kind is ItemKind.BAT)
    target = measured_target(TargetKind.RAILS, found.scheme.palette)
    write_target(target, folder / "rails.toml")
    post._targets["rails"] = folder / "rails.toml"
    window = form_of(TargetKind.RAILS).window_mm
    assert window is not None
    place = Affine.translation(90.8, 26.5) @ Affine.rotation(0.5)
    scene = face_scene(target, window, bat, found.scheme.palette, place, {}, ())
    camera = Camera(width_px=1800, height_px=2400)
    photo, _ = write_photograph(
        render(scene, camera, Light("D50"), Pose(tilt_deg=4.0), 8), folder / "a"
    )
    return photo


def _send(bench, photo: bytes, target: str = "rails"):
    form = {"csrf": bench.token("/bench/Q-101"), "target": target, "bench": "window"}
    return bench.post("/bench/Q-101/photo", data=form, files={"photo": ("a.jpg", photo)})


def test_a_bat_between_rails_needs_no_pointing(bench, rails: Path, post: Post) -> None:
    page = _send(bench, rails.read_bytes())
    assert "The photograph is good." in page.text
    (named,) = re.findall(r'name="named" value="([^"]+)"', page.text)
    way = str(page.url.path)
    form = {"csrf": bench.token(f"{way}?target=rails"), "target": "rails", "named": named}
    verdict = bench.post(f"{way}/verdict", data=form)
    assert verdict.text.count('<polygon class="named"') >= 5
    assert "It matches." in verdict.text
    assert verdict.text.count("against its aim") >= 4
    kept = bench.post(f"{way}/verdict", data={**form, "keep": "yes", "bench": "window"})
    assert re.search(r"is kept: <strong>pass</strong>. <a href=\"/bench\">Next bat", kept.text)
    assert post.store.verify() == ()


def test_a_photograph_is_decoded_once_until_its_gates_are_shown(
    bench, rails: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from livery.jobs import shelf

    decoded = []
    read = shelf.read_photograph
    monkeypatch.setattr(shelf, "read_photograph", lambda p: decoded.append(p) or read(p))
    page = _send(bench, rails.read_bytes())
    assert "The photograph is good." in page.text
    assert bench.get(str(page.url)).status_code == 200
    assert len(decoded) == 1


def test_where_no_blade_is_found_the_page_says_so_and_asks_to_point(bench, rails: Path) -> None:
    scene = make_scene(read_target(rails.with_name("rails.toml")))
    camera = Camera(width_px=1200, height_px=1600)
    blank, _ = write_photograph(render(scene, camera, Light("D50"), Pose(), 8), rails.parent / "b")
    page = _send(bench, blank.read_bytes())
    way = str(page.url.path)
    form = {"csrf": bench.token(str(page.url)), "target": "rails", "named": "sedge short-handle"}
    done = bench.post(f"{way}/verdict", data=form)
    assert done.status_code == 400
    assert "It could not be measured so." in done.text
    assert "data-regions" in done.text


def test_a_target_that_tells_no_place_asks_to_point(bench, jpeg: bytes) -> None:
    page = _send(bench, jpeg, "rendition-24")
    assert 'name="named"' not in page.text
    way = str(page.url.path)
    form = {"csrf": bench.token("/bench/Q-101"), "target": "rendition-24", "named": "sedge nowhere"}
    done = bench.post(f"{way}/verdict", data=form)
    assert "no evidence as it is" in done.text


def test_a_target_measured_anew_is_what_the_next_verdict_rests_on(
    bench, rails: Path, post: Post
) -> None:
    page = _send(bench, rails.read_bytes())
    way = str(page.url.path)
    (named,) = re.findall(r'name="named" value="([^"]+)"', page.text)
    form = {"csrf": bench.token(f"{way}?target=rails"), "target": "rails", "named": named}
    assert "It matches." in bench.post(f"{way}/verdict", data=form).text
    file = rails.with_name("rails.toml")
    was, target = file.read_bytes(), read_target(file)
    try:
        darker = {patch.name: (0.8 * patch.lab[0], *patch.lab[1:]) for patch in target.patches}
        write_target(with_measured(target, darker), file)
        assert "It matches." not in bench.post(f"{way}/verdict", data=form).text
    finally:
        file.write_bytes(was)


def test_a_region_that_lacks_a_part_is_not_measured_as_another(bench, jpeg: bytes) -> None:
    page = _send(bench, jpeg, "rendition-24")
    form = {"csrf": bench.token("/bench/Q-101"), "target": "rendition-24", "ink": "tarn"}
    rows = {"item": ["sedge", "sedge"], **{key: ["9", "9"] for key in "xywh"}}
    done = bench.post(f"{page.url.path}/verdict", data={**form, **rows})
    assert done.status_code == 422
    assert "Part of the form is missing" in done.text
