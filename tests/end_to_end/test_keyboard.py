"""Every page by keyboard alone, and by a gloved finger: reachable, seen, large enough, no trap."""

from collections.abc import Iterator

import pytest
from in_browser import Served, browser, button, served
from PIL import Image
from reader_seeds import captures
from signers import MAKER, SECRET
from small_season import SmallSeason

from livery.jobs.season_records import open_records
from livery.jobs.signing import add_signer
from livery.records.people import Office

__all__ = ["browser", "served"]

LEAST_PX = 44  # a side of what is touched: WCAG 2.2, 2.5.5 (from memory)
WALK = """
() => {
  const sort = "a[href], button, input, select, textarea, summary, [tabindex='0']";
  const stops = [...document.querySelectorAll(sort)].filter((e) =>
    e.type !== "hidden" && !e.disabled && e.checkVisibility({ visibilityProperty: true }));
  stops.forEach((e, index) => { e.dataset.stop = index; });
  return stops.length;
}
"""
STOP = """
(least) => {
  const e = document.activeElement;
  if (!e || e === document.body) return null;
  const box = e.getBoundingClientRect(), style = getComputedStyle(e);
  const room = (e.closest("label") || e).getBoundingClientRect();
  const inside = box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
  const small = box.height < least || Math.max(box.width, room.width) < least;
  return {
    stop: e.dataset.stop === undefined ? null : Number(e.dataset.stop),
    html: e.outerHTML.slice(0, 160),
    ringed: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2,
    seen: box.width > 0 && inside,
    small: small && !e.matches("[tabindex='0']") ? [box.width, box.height] : null,
  };
}
"""


def walk(page, name: str, least_px: int = LEAST_PX) -> list[str]:
    """Tab through a page once; returns what is amiss, as ``page: element: fault``."""
    page.wait_for_load_state("networkidle")
    count = page.evaluate(WALK)
    amiss, met = [], set()
    page.evaluate("document.body.tabIndex = -1, document.body.focus()")
    for _ in range(3 * count + 9):  # a date or number may take several stops
        page.keyboard.press("Tab")
        found = page.evaluate(STOP, least_px)
        if found is None or (found["stop"] == 0 and met):
            break
        if found["stop"] is None or found["stop"] in met:
            continue
        met.add(found["stop"])
        amiss += [f"{name}: {found['html']}: no ring"] if not found["ringed"] else []
        amiss += [f"{name}: {found['html']}: out of sight"] if not found["seen"] else []
        amiss += [f"{name}: {found['html']}: small {found['small']}"] if found["small"] else []
    else:
        amiss.append(f"{name}: Tab never comes round")
    for stop in sorted(set(range(count)) - met):
        html = page.locator(f"[data-stop='{stop}']").evaluate("e => e.outerHTML.slice(0, 160)")
        amiss.append(f"{name}: {html}: not reached")
    return amiss


@pytest.fixture
def page(browser, served: Served) -> Iterator[object]:
    context = browser.new_context(
        viewport={"width": 820, "height": 1180},
        bypass_csp=True,
        has_touch=True,
        reduced_motion="reduce",  # so that what is scrolled to is there at once
    )
    yield context.new_page()
    context.close()


def _press(page, name: str, key: str = "Enter") -> None:
    button(page, name).focus()
    page.keyboard.press(key)


def _enter(page, served: Served, way: str) -> None:
    page.goto(f"{served.url}/enter?then={way}")
    page.get_by_label("Name").focus()
    page.keyboard.type(MAKER)
    page.keyboard.press("Tab")
    page.keyboard.type(SECRET)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{served.url}{way}")


def test_a_designers_pages_are_walked_by_tab(page, served: Served) -> None:
    store = open_records(served.season)
    add_signer(store, SECRET, "Bench One", Office.BENCH, "planed by the window", "2027-01-19")
    store.close()
    page.goto(f"{served.url}/enter")
    amiss = walk(page, "enter")
    _enter(page, served, "/")
    for way in (
        "/",
        "/kit",
        "/trends",
        "/ledger",
        "/bench",
        "/bench/Q-105",
        "/proof",
        "/proof/Q-105",
        "/proof/Q-105/compare",
        "/account",
        "/nowhere",
        "/bench/Q-105/photo/0",
    ):
        page.goto(f"{served.url}{way}")
        amiss += walk(page, way)
    page.goto(f"{served.url}/proof/Q-105")
    page.get_by_label("Your passphrase").focus()
    page.keyboard.type(SECRET)
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="A link to answer with").wait_for()
    amiss += walk(page, "offered")
    page.get_by_label("Your passphrase, as maker").focus()
    page.keyboard.type(SECRET)
    page.keyboard.press("Enter")
    page.get_by_label("Address").wait_for()
    amiss += walk(page, "link")
    page.goto(page.get_by_label("Address").input_value())
    amiss += walk(page, "answer")
    assert not amiss, "\n".join(dict.fromkeys(amiss))


def test_a_bat_is_photographed_measured_and_kept_by_keyboard(
    page, served: Served, tmp_path
) -> None:
    _enter(page, served, "/bench/Q-104")
    page.set_input_files("[name=photo]", str(served.photo))
    _press(page, "Check the photograph", "Space")
    page.get_by_text("The photograph is good.").wait_for()
    amiss = walk(page, "photograph")
    for number, (item, ink, x, y) in enumerate(served.spots[:2]):
        if number:
            _press(page, "Add a region", "Space")
        region = page.locator("[data-region]").nth(number)
        region.get_by_label("Item").focus()
        page.keyboard.type(item.replace("-", " "))
        page.keyboard.press("Tab")
        page.keyboard.type(ink)
        for value in (x - 30, y - 30, 60, 60):
            page.keyboard.press("Tab")
            page.keyboard.type(f"{value:.0f}")
        assert region.get_by_label("Item").input_value() == item
        assert region.get_by_label("Ink").input_value() == ink
    amiss += walk(page, "regions")
    _press(page, "Measure")
    page.get_by_text("It matches.").wait_for()
    amiss += walk(page, "verdict")
    _press(page, "Keep photograph and verdict", "Space")
    page.get_by_text("is kept").wait_for()
    amiss += walk(page, "kept")
    blank = tmp_path / "blank.jpg"
    Image.radial_gradient("L").convert("RGB").resize((1200, 900)).save(blank)
    page.set_input_files("[name=photo]", str(blank))
    _press(page, "Check the photograph")
    page.get_by_text("The target was not found.").wait_for()
    amiss += walk(page, "not found")
    page.locator("[data-corners]").focus()
    page.keyboard.type("1,2 3")
    page.keyboard.press("Enter")
    page.get_by_text("is not four points").wait_for()
    amiss += walk(page, "mistyped")
    assert not amiss, "\n".join(dict.fromkeys(amiss))


@pytest.mark.parametrize("width", [1180, 320])
def test_the_pages_that_a_build_and_a_match_leave_are_walked_by_tab(
    browser, run, tmp_path, width: int
) -> None:
    season = SmallSeason().write(tmp_path / "season")
    (tmp_path / "kit.json").write_bytes(captures()[0])
    assert run("build", season, "-o", "built").returncode == 0
    assert run("match", season, "kit.json", "-o", "report").returncode in (0, 1)
    context = browser.new_context(viewport={"width": width, "height": 800})
    page, amiss = context.new_page(), []
    for way in ("built/index.html", "report/match.html"):
        page.goto((tmp_path / way).as_uri())
        assert page.locator("[role='region']").count()
        amiss += walk(page, way, least_px=0)  # words in lines, for a desk: no finger's target
    context.close()
    assert not amiss, "\n".join(amiss)


def test_choosing_by_arrow_keys_changes_no_page(page, served: Served) -> None:
    _enter(page, served, "/kit")
    page.get_by_label("Seen under").focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    chosen = page.get_by_label("Seen under").input_value()
    page.wait_for_load_state("networkidle")
    assert page.url == f"{served.url}/kit"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{served.url}/kit?light={chosen}")
