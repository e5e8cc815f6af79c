"""The pages in a real browser, from a bat to a signature, with no barrier on the way."""

import json
import os
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from bench_day import marked
from small_season import cut_down

from livery.capture import TargetKind, make_target, with_measured, write_target
from livery.capture.target_layout import form_of
from livery.colour import WAVELENGTHS_NM, spectrum_for_lab
from livery.geometry import Affine
from livery.jobs.signing import begin_signing
from livery.placement import lay_out
from livery.rehearsal import (
    Camera,
    Light,
    Material,
    Pose,
    SceneRegion,
    make_scene,
    render,
    write_photograph,
)
from livery.rehearsal.face import face_scene
from livery.scheme import load_season
from livery.scheme.model import Spectrum

ROOT = Path(__file__).parents[2]
MAKER, SECRET = "Wren Halloway", "reeds in the wind"
SWITCHES = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
)
PIECES = (
    ("sedge-gloves", "tarn", -60.0, 10.0),
    ("sedge-gloves", "ember", -60.0, 60.0),
    ("sedge-pads", "tarn", 20.0, -60.0),
    ("sedge-pads", "ember", 80.0, -60.0),
)


@dataclass(frozen=True)
class Served:
    """A running server, the photograph to take to it, and what lies where in it, px."""

    url: str
    season: Path
    photo: Path
    spots: tuple[tuple[str, str, float, float], ...]
    rails: Path


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("pages")
    shutil.copytree(ROOT / "artwork_demo", folder / "artwork_demo")
    shutil.copytree(ROOT / "palettes", folder / "palettes")
    season = cut_down(folder / "artwork_demo" / "season.toml", orders=6)
    begin_signing(season, MAKER, SECRET, "2027-01-19", None)
    photo, spots = _photograph(season, folder)
    rails = _between_rails(season, folder)
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    targets = ("--target", folder / "chart.toml", "--target", folder / "rails.toml")
    words = ("serve", season, "--port", port, *targets)
    server = subprocess.Popen(
        [sys.executable, "-m", "livery", *map(str, words)], stderr=subprocess.PIPE
    )
    url = f"http://127.0.0.1:{port}"
    try:
        _wait_for(url, server)
        yield Served(url, season, photo, spots, rails)
    finally:
        server.terminate()
        server.communicate(timeout=30)


def _photograph(
    season: Path, folder: Path
) -> tuple[Path, tuple[tuple[str, str, float, float], ...]]:
    """A simulated photograph of the target with two pieces in two inks beside it."""
    palette = load_season(season).palette
    target, _ = make_target("chart", palette)
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    write_target(target, folder / "chart.toml")
    regions = []
    for item, ink, x, y in PIECES:
        ring = np.array([[x, y], [x + 40, y], [x + 40, y + 40], [x, y + 40]])
        spectrum = Spectrum(WAVELENGTHS_NM, spectrum_for_lab(palette.ink(ink).lab))
        regions.append(SceneRegion(f"{item} {ink}", ink, item, (ring,), spectrum, Material.SMOOTH))
    scene = make_scene(target, over=regions)
    camera = Camera(width_px=2000, height_px=1600)
    photo, truth = write_photograph(
        render(scene, camera, Light("D50", uneven=0.05), Pose(tilt_deg=4.0), seed=7),
        folder / "kit",
    )
    told = json.loads(Path(truth).read_text("utf-8"))["regions"]
    spots = tuple(
        (one["item"], one["ink"], *np.array(one["rings_px"][0]).mean(axis=0).tolist())
        for one in told
    )
    return photo, spots


def _between_rails(season: Path, folder: Path) -> Path:
    """A simulated photograph of the first order's bat between rails."""
    scheme = load_season(season)
    bat = next(one for one in lay_out(scheme) if one.order == "Q-101" and not one.item.side)
    target, _ = make_target(TargetKind.RAILS, scheme.palette)
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    write_target(target, folder / "rails.toml")
    window = form_of(TargetKind.RAILS).window_mm
    assert window is not None
    place = Affine.translation(90.8, 26.5) @ Affine.rotation(0.5)
    scene = face_scene(target, window, bat, scheme.palette, place, {}, ())
    camera = Camera(width_px=1800, height_px=2400)
    return write_photograph(
        render(scene, camera, Light("D50"), Pose(tilt_deg=4.0), 8), folder / "rails"
    )[0]


def _wait_for(url: str, server: subprocess.Popen[bytes]) -> None:
    for _ in range(240):
        try:
            urllib.request.urlopen(f"{url}/enter", timeout=5).close()
            return
        except OSError:
            assert server.poll() is None, server.stderr and server.stderr.read()
            time.sleep(0.25)
    pytest.fail("the pages did not come up")


@pytest.fixture(scope="module")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The accessibility checker's script."""
    npm = shutil.which("npm")
    folder = tmp_path_factory.mktemp("axe")
    done = npm and subprocess.run(
        [npm, "install", "--silent", "--no-audit", "--no-fund", "axe-core@4"],
        cwd=folder,
        capture_output=True,
        check=False,
        timeout=180,
    )
    script = folder / "node_modules" / "axe-core" / "axe.min.js"
    if not done or not script.is_file():
        message = "axe-core cannot be had: npm is missing or cannot reach its registry"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return script.read_text("utf-8")


@pytest.fixture(scope="module")
def browser(chromium_path: str) -> Iterator[object]:
    if not os.environ.get("CI"):
        pytest.importorskip("playwright.sync_api")
    from playwright import sync_api as playwright

    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium_path, args=SWITCHES.split())
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def chromium_path() -> str:
    found = shutil.which("chromium")
    if found is None:
        message = "chromium is not installed: bash .ci/test installs it"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return found


@pytest.fixture
def look(axe: str, tmp_path: Path) -> Callable[[object, str], None]:
    """Checks a page for barriers and overflow, and keeps a picture of one that has them."""

    def check(page, name: str) -> None:
        page.wait_for_load_state("networkidle")
        page.evaluate(axe)
        found = page.evaluate("axe.run()")["violations"]
        grave = [v["id"] for v in found if v["impact"] in ("serious", "critical")]
        box = "document.documentElement"
        fits = page.evaluate(f"{box}.scrollWidth <= {box}.clientWidth")
        if grave or not fits:
            page.screenshot(path=tmp_path / f"{name}.png", full_page=True)
        assert grave == [], (name, [n["html"] for v in found for n in v["nodes"]])
        assert fits, f"{name} is too wide"

    return check


def _button(page, name: str):
    return page.get_by_role("button", name=name, exact=True)


def _drag(page, served: Served, x: float, y: float) -> None:
    overlay = page.locator("[data-overlay]")
    overlay.evaluate("e => e.scrollIntoView({block: 'center', behavior: 'instant'})")
    box = overlay.bounding_box()
    scale = box["width"] / float(page.locator("[data-photo]").get_attribute("data-width"))
    page.mouse.move(box["x"] + (x - 35) * scale, box["y"] + (y - 35) * scale)
    page.mouse.down()
    page.mouse.move(box["x"] + (x + 35) * scale, box["y"] + (y + 35) * scale, steps=3)
    page.mouse.up()


@pytest.mark.parametrize(("width", "order"), [(1280, "Q-101"), (390, "Q-102")])
def test_from_a_bat_to_a_signature(browser, served: Served, look, width: int, order: str) -> None:
    light = "dark" if width == 390 else "light"
    size = {"width": width, "height": 850}
    context = browser.new_context(viewport=size, bypass_csp=True, color_scheme=light)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda m: faults.append(m.text) if m.type == "error" else None)

    page.goto(served.url)
    look(page, "enter")
    page.get_by_label("Name").fill(MAKER)
    page.get_by_label("Passphrase").fill(SECRET)
    _button(page, "Sign in").click()
    page.get_by_role("heading", name="What waits").wait_for()
    look(page, "season")
    page.goto(f"{served.url}/kit?light=A")
    look(page, "kit")

    page.goto(f"{served.url}/bench")
    look(page, "choose")
    page.get_by_label("Order or player, typed or scanned").fill(f"{served.url}/bench/{order}")
    _button(page, "Go").click()
    page.get_by_label("Bench").fill("by the window")
    taken = served.photo.with_name(f"{order}.jpg")  # a photograph is of one bat alone
    taken.write_bytes(marked(served.photo.read_bytes(), order))
    page.set_input_files("[name=photo]", str(taken))
    look(page, "bench")
    _button(page, "Check the photograph").click()
    page.get_by_text("The photograph is good.").wait_for()
    for number, (item, ink, x, y) in enumerate(served.spots):
        _drag(page, served, x, y)
        region = page.locator("[data-region]").nth(number)
        region.get_by_label("Item").select_option(item)
        region.get_by_label("Ink").select_option(ink)
    look(page, "marked")
    _button(page, "Measure").click()
    page.get_by_text("It matches.").wait_for()
    assert page.locator(".verdicts li").count() == 6  # four aims, two pairs
    look(page, "verdict")
    _button(page, "Keep photograph and verdict").click()
    page.get_by_text("is kept").wait_for()
    look(page, "kept")

    page.goto(f"{served.url}/proof/{order}")
    page.get_by_role("link", name="Next page").click()
    page.get_by_text("Page 2 of").wait_for()
    look(page, "proof")
    page.get_by_label("Your passphrase").fill(SECRET)
    _button(page, "Offer revision 1").click()
    page.get_by_label("Your passphrase, as maker").fill(SECRET)
    look(page, "offered")
    _button(page, "Make the link").click()
    link = page.get_by_label("Address").input_value()
    look(page, "link")

    other = browser.new_context(viewport=size, bypass_csp=True, color_scheme=light)
    player = other.new_page()
    player.goto(link)
    look(player, "answer")
    _button(player, "I agree that it be made so").click()
    with player.expect_download() as receipt:
        player.get_by_role("link", name=re.compile("Receipt")).click()
    look(player, "answered")

    page.goto(f"{served.url}/ledger")
    page.get_by_text("all stands").wait_for()
    look(page, "ledger")
    assert faults == []
    words = ("records", "verify", served.season, "--receipt", receipt.value.path())
    done = subprocess.run([sys.executable, "-m", "livery", *map(str, words)], check=False)
    assert done.returncode == 0
    other.close()
    context.close()


def test_the_bench_works_by_keyboard_and_by_corners(
    browser, served: Served, look, tmp_path
) -> None:
    from PIL import Image

    blank = tmp_path / "blank.jpg"
    Image.radial_gradient("L").convert("RGB").resize((1200, 900)).save(blank)
    context = browser.new_context(viewport={"width": 390, "height": 850}, bypass_csp=True)
    page = context.new_page()
    page.goto(f"{served.url}/enter?then=/bench/Q-103")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
    page.get_by_label("Name").focus()
    page.keyboard.type(MAKER)
    page.keyboard.press("Tab")
    page.keyboard.type(SECRET)
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Photograph it").wait_for()
    page.set_input_files("[name=photo]", str(blank))
    _button(page, "Check the photograph").focus()
    page.keyboard.press("Enter")
    page.get_by_text("The target was not found.").wait_for()
    look(page, "not-found")
    handle = page.locator("circle").first
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] - 20, box["y"] - 20, steps=3)
    page.mouse.up()
    typed = page.locator("[data-corners]").input_value()
    assert len(typed.split()) == 4
    _button(page, "Look again").click()
    page.get_by_label("Item").wait_for()
    look(page, "by-hand")
    context.close()


def _signed_in(browser, served: Served, width: int):
    context = browser.new_context(
        viewport={"width": width, "height": 850},
        bypass_csp=True,
        timezone_id="Asia/Kolkata",
        locale="en-GB",
    )
    page = context.new_page()
    page.goto(f"{served.url}/enter")
    page.get_by_label("Name").fill(MAKER)
    page.get_by_label("Passphrase").fill(SECRET)
    _button(page, "Sign in").click()
    page.get_by_role("heading", name="What waits").wait_for()
    return page


@pytest.mark.parametrize("width", [390, 1280])
def test_a_gloved_hand_drags_nothing(browser, served: Served, look, width: int) -> None:
    page = _signed_in(browser, served, width)
    page.goto(f"{served.url}/bench/Q-101")
    page.get_by_label("Target in the picture").select_option("rails")
    page.set_input_files("[name=photo]", str(served.rails))
    _button(page, "Check the photograph").click()
    page.get_by_text("The photograph is good.").wait_for()
    large = _button(page, "Measure the face")
    assert large.bounding_box()["height"] >= 70
    look(page, f"rails-{width}")
    large.click()
    page.get_by_text("It matches.").wait_for()
    assert page.locator("polygon.named").count() >= 5
    look(page, f"rails-verdict-{width}")
    _button(page, "Keep photograph and verdict").click()
    page.get_by_text("is kept").wait_for()
    kept = page.locator("time").first
    moment = datetime.fromisoformat(kept.get_attribute("datetime"))
    assert kept.get_attribute("title") == f"{moment:%Y-%m-%d %H:%M} UTC"
    here = moment.astimezone(ZoneInfo("Asia/Kolkata"))
    assert kept.inner_text() == f"{here.day} {here:%b %Y, %H:%M}"
    page.goto(f"{served.url}/trends")
    look(page, f"trends-{width}")
    page.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_what_changed_is_drawn_beside_what_was(browser, served: Served, look, width: int) -> None:
    page = _signed_in(browser, served, width)
    text = served.season.read_text("utf-8")
    key = "Q-104" if width == 390 else "Q-106"
    try:
        page.goto(f"{served.url}/proof/{key}")
        page.get_by_label("Your passphrase").fill(SECRET)
        _button(page, "Offer revision 1").click()
        page.get_by_role("heading", name="A link to answer with").wait_for()
        changed = text.replace('width = "58 mm"', 'width = "50 mm"').replace("= 1\n", "= 2\n", 1)
        served.season.write_text(changed, "utf-8")
        page.goto(f"{served.url}/proof/{key}")
        look(page, f"changed-{width}")
        page.get_by_role("link", name="See the revisions beside each other").click()
        page.get_by_role("heading", name="Drawn, what differs ringed").wait_for()
        look(page, f"compare-{width}")
        drawn = page.get_by_alt_text(re.compile("Each changed surface")).first
        assert drawn.evaluate("e => e.complete && e.naturalWidth > 0")
    finally:
        served.season.write_text(text, "utf-8")
    page.context.close()
