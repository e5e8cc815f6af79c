"""The pages served and opened in a real browser: what the tests of both share."""

import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from chart_photograph import PIECES, chart_photograph
from signers import MAKER, SECRET
from small_season import cut_down
from targets import measured_target
from visitors import copy_season, serving

from livery.capture import TargetKind, write_target
from livery.capture.target_layout import form_of
from livery.geometry import Affine
from livery.placement import lay_out
from livery.rehearsal import Camera, Light, Pose, render, write_photograph
from livery.rehearsal.face import face_scene
from livery.scheme import load_season

SWITCHES = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync"
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
    season = cut_down(copy_season(folder), orders=6)
    photo, spots = _photograph(season, folder)
    rails = _between_rails(season, folder)
    targets = ("--target", folder / "chart.toml", "--target", folder / "rails.toml")
    with serving(season, *targets) as (url, _):
        yield Served(url, season, photo, spots, rails)


def _photograph(
    season: Path, folder: Path
) -> tuple[Path, tuple[tuple[str, str, float, float], ...]]:
    """A simulated photograph of the target with two pieces in two inks beside it."""
    camera, light = Camera(width_px=2000, height_px=1600), Light("D50", uneven=0.05)
    photo, truth = chart_photograph(season, folder, PIECES, camera, light, Pose(tilt_deg=4.0))
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
    target = measured_target(TargetKind.RAILS, scheme.palette)
    write_target(target, folder / "rails.toml")
    window = form_of(TargetKind.RAILS).window_mm
    assert window is not None
    place = Affine.translation(90.8, 26.5) @ Affine.rotation(0.5)
    scene = face_scene(target, window, bat, scheme.palette, place, {}, ())
    camera = Camera(width_px=1800, height_px=2400)
    return write_photograph(
        render(scene, camera, Light("D50"), Pose(tilt_deg=4.0), 8), folder / "rails"
    )[0]


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
def browser(chromium: str) -> Iterator[object]:
    if not os.environ.get("CI"):
        pytest.importorskip("playwright.sync_api")
    from playwright import sync_api as playwright

    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=SWITCHES.split())
        yield opened
        opened.close()


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


def button(page, name: str):
    return page.get_by_role("button", name=name, exact=True)


def sign_in(browser, served: Served, width: int):
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
    button(page, "Sign in").click()
    page.get_by_role("heading", name="What waits").wait_for()
    return page
