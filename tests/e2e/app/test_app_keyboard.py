"""Without a mouse: every room, a log, a why, a step taken back; the focus is seen and never caught."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from app.conftest import PHONE, Look
from app.serving import Served

pytestmark = pytest.mark.browser

MOST_STOPS = 400
# What has the focus, and whether a line of at least 2 px shows it: its own, or that of what encloses it.
FOCUS = """() => {
  const e = document.activeElement;
  if (!e || e === document.body) return null;
  const line = el => {
    const style = getComputedStyle(el);
    if (el instanceof SVGRectElement) return style.stroke !== 'none' && parseFloat(style.strokeWidth) >= 2;
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  };
  window.stops ??= new Map();
  if (!window.stops.has(e)) window.stops.set(e, window.stops.size);
  return {
    number: window.stops.get(e),
    name: `${e.tagName} ${(e.ariaLabel ?? e.textContent ?? '').trim().slice(0, 40)}`,
    path: e.tagName === 'A' ? e.pathname : '',
    seen: [e, e.parentElement, e.parentElement?.parentElement, ...e.querySelectorAll(':scope > rect')]
      .some(el => el && line(el)),
  };
}"""


def stops(page: Page) -> list[dict[str, object]]:
    """All stops of Tab, from the top of the page until it is left."""
    found: list[dict[str, object]] = []
    page.evaluate("() => { document.activeElement?.blur(); scrollTo(0, 0); window.stops = new Map(); }")
    for _stop in range(MOST_STOPS):
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUS)
        if here is None or here["number"] < len(found):
            return found
        found.append(here)
    raise AssertionError(f"more than {MOST_STOPS} stops")


@pytest.mark.parametrize("path", ["/", "/yard", "/tree/T01", "/start", "/settings"])
def test_tab_walks_through_a_room_and_out_of_it_and_is_always_seen(
    look: Look, read_only: Served, path: str
) -> None:
    watched = look(read_only)
    page = watched.open(path)
    found = stops(page)
    assert [stop["name"] for stop in found if not stop["seen"]] == []
    assert {"/", "/yard", "/settings"} <= {stop["path"] for stop in found}
    # every control that can be reached by a pointer is a stop, or is walked by arrows from one
    assert len(found) >= 5


def tab_to(page: Page, name: str) -> None:
    """Press Tab until a control of that name has the focus."""
    for _stop in range(MOST_STOPS):
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUS)
        if here is not None and str(here["name"]).partition(" ")[2] == name:
            return
    raise AssertionError(f"{name} was not reached")


def test_a_day_without_a_mouse(look: Look, own: Served) -> None:
    watched = look(own)
    page = watched.open("/")
    tab_to(page, "Yard")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="Yard")).to_be_visible()

    page.keyboard.press("/")
    line = page.get_by_role("dialog").get_by_role("combobox")
    expect(line).to_be_focused()
    page.keyboard.type("May Day")
    expect(page.get_by_role("dialog").get_by_role("option").first).to_contain_text("May Day")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="May Day")).to_be_visible()

    stamp = own.get("/api/head")["stamp"]
    page.keyboard.press("l")
    sheet = page.get_by_role("dialog")
    expect(sheet).to_be_visible()
    tab_to(page, "Note")
    page.keyboard.press("Enter")
    expect(sheet.get_by_role("textbox").first).to_be_visible()
    sheet.get_by_role("textbox").first.focus()
    page.keyboard.type("Written with ten fingers")
    tab_to(page, "Store")
    page.keyboard.press("Enter")
    expect(sheet).to_have_count(0)
    expect(
        page.get_by_role("main").get_by_text("Written with ten fingers").filter(visible=True).first
    ).to_be_visible()
    assert own.get("/api/head")["stamp"] == stamp + 1

    block = page.get_by_role("navigation", name="Title block")
    expect(block.get_by_role("button", name="Take back")).to_be_enabled()
    page.keyboard.press("u")
    page.get_by_role("dialog").get_by_role("button", name="Take back").press("Enter")
    expect(page.get_by_role("main").get_by_text("Written with ten fingers")).to_have_count(0)


def test_a_why_the_keys_and_the_settings_without_a_mouse(look: Look, read_only: Served) -> None:
    watched = look(read_only)
    page = watched.open("/tree/T01")
    number = page.get_by_role("main").locator("button[data-why]").first
    number.focus()
    page.keyboard.press("w")
    expect(page.get_by_role("dialog").get_by_role("listitem").first).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(number).to_be_focused()

    page.keyboard.press("?")
    expect(page.get_by_role("dialog", name="Keys")).to_be_visible()
    page.keyboard.press("Escape")
    tab_to(page, "Settings")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="Settings")).to_be_visible()


def test_an_open_sheet_keeps_the_focus_inside_and_gives_it_back(look: Look, read_only: Served) -> None:
    watched = look(read_only)
    page = watched.open("/tree/T01")
    button = page.get_by_role("main").get_by_role("button", name="Log", exact=True).first
    button.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog").get_by_role("button", name="Girth")).to_be_visible()
    for _stop in range(40):
        page.keyboard.press("Tab")
        inside = page.evaluate(
            "document.activeElement === document.body || document.activeElement.closest('dialog') !== null"
        )
        assert inside
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(button).to_be_focused()


@pytest.mark.parametrize(("wish", "moves"), [("reduce", False), ("no-preference", True)])
def test_with_less_motion_nothing_moves(look: Look, read_only: Served, wish: str, moves: bool) -> None:
    """The second case shows that the measure sees motion where there is some."""
    watched = look(read_only, PHONE, reduced_motion=wish)
    page = watched.open("/tree/T01")
    running = page.evaluate("""async () => {
      const seen = new Set();
      const note = () => document.getAnimations().forEach(each => {
        if (each.playState !== 'running' || each.effect.getComputedTiming().duration <= 0) return;
        seen.add(each.animationName ?? each.transitionProperty);
      });
      [...document.querySelectorAll('nav button')].find(e => e.textContent.includes('Go to')).click();
      for (let frame = 0; frame < 12; frame += 1) {
        await new Promise(done => requestAnimationFrame(done));
        note();
      }
      return [...seen];
    }""")
    expect(page.get_by_role("dialog")).to_be_visible()
    assert bool(running) is moves, running
