"""The pages in a real browser, from a bat to a signature, with no barrier on the way."""

import re
import subprocess
import sys
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from bench_day import marked
from in_browser import (
    Served,
    axe,
    browser,
    button,
    look,
    served,
    sign_in,
)
from signers import MAKER, SECRET

__all__ = ["axe", "browser", "look", "served"]


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
    button(page, "Sign in").click()
    page.get_by_role("heading", name="What waits").wait_for()
    look(page, "season")
    page.goto(f"{served.url}/kit?light=A")
    look(page, "kit")

    page.goto(f"{served.url}/bench")
    look(page, "choose")
    page.get_by_label("Order or player, typed or scanned").fill(f"{served.url}/bench/{order}")
    button(page, "Go").click()
    page.get_by_label("Bench").fill("by the window")
    taken = served.photo.with_name(f"{order}.jpg")  # a photograph is of one bat alone
    taken.write_bytes(marked(served.photo.read_bytes(), order))
    page.set_input_files("[name=photo]", str(taken))
    look(page, "bench")
    button(page, "Check the photograph").click()
    page.get_by_text("The photograph is good.").wait_for()
    for number, (item, ink, x, y) in enumerate(served.spots):
        _drag(page, served, x, y)
        region = page.locator("[data-region]").nth(number)
        region.get_by_label("Item").select_option(item)
        region.get_by_label("Ink").select_option(ink)
    look(page, "marked")
    button(page, "Measure").click()
    page.get_by_text("It matches.").wait_for()
    assert page.locator(".verdicts li").count() == 6  # four aims, two pairs
    look(page, "verdict")
    button(page, "Keep photograph and verdict").click()
    page.get_by_text("is kept").wait_for()
    look(page, "kept")

    page.goto(f"{served.url}/proof/{order}")
    page.get_by_role("link", name="Next page").click()
    page.get_by_text("Page 2 of").wait_for()
    look(page, "proof")
    page.get_by_label("Your passphrase").fill(SECRET)
    button(page, "Offer revision 1").click()
    page.get_by_label("Your passphrase, as maker").fill(SECRET)
    look(page, "offered")
    button(page, "Make the link").click()
    link = page.get_by_label("Address").input_value()
    look(page, "link")

    other = browser.new_context(viewport=size, bypass_csp=True, color_scheme=light)
    player = other.new_page()
    player.goto(link)
    look(player, "answer")
    button(player, "I agree that it be made so").click()
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
    button(page, "Check the photograph").focus()
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
    button(page, "Look again").click()
    page.get_by_label("Item").wait_for()
    look(page, "by-hand")
    context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_gloved_hand_drags_nothing(browser, served: Served, look, width: int) -> None:
    page = sign_in(browser, served, width)
    page.goto(f"{served.url}/bench/Q-101")
    page.get_by_label("Target in the picture").select_option("rails")
    page.set_input_files("[name=photo]", str(served.rails))
    button(page, "Check the photograph").click()
    page.get_by_text("The photograph is good.").wait_for()
    large = button(page, "Measure the face")
    assert large.bounding_box()["height"] >= 70
    look(page, f"rails-{width}")
    large.click()
    page.get_by_text("It matches.").wait_for()
    assert page.locator("polygon.named").count() >= 5
    look(page, f"rails-verdict-{width}")
    button(page, "Keep photograph and verdict").click()
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
    page = sign_in(browser, served, width)
    text = served.season.read_text("utf-8")
    key = "Q-104" if width == 390 else "Q-106"
    try:
        page.goto(f"{served.url}/proof/{key}")
        page.get_by_label("Your passphrase").fill(SECRET)
        button(page, "Offer revision 1").click()
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
