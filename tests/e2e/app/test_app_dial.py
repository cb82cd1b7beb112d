"""The ring dial at its narrowest and widest: labels that do not lie on each other, and print."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from app.conftest import Device, Look
from app.fit import overlaps
from app.serving import Served

pytestmark = pytest.mark.browser

SMALL = Device("small", 360, 740, "light", True)
LARGE = Device("large", 1600, 1000, "light", False)
TREES = ("T01", "T13", "T38", "T32")


def dial_of(page: Page) -> Locator:
    """The drawing, by its role, once the day is written on it: the day comes with the page's head."""
    dial = page.get_by_role("region", name="Ring dial").get_by_role("listbox")
    expect(dial.locator(".handname")).to_have_text(re.compile(r"\d"))
    return dial


@pytest.mark.parametrize("device", [SMALL, LARGE], ids=lambda device: device.name)
@pytest.mark.parametrize("tree", TREES)
def test_labels_do_not_lie_on_each_other(look: Look, read_only: Served, tree: str, device: Device) -> None:
    watched = look(read_only, device)
    page = watched.open(f"/tree/{tree}")
    dial = dial_of(page)
    count, found = overlaps(dial)
    assert count >= 13  # twelve months and today
    assert found == []


@pytest.mark.parametrize("device", [SMALL, LARGE], ids=lambda device: device.name)
def test_a_tree_without_data_has_a_dial_too(look: Look, own: Served, device: Device) -> None:
    done = own.ask(
        "POST", "/api/trees", {"name": "A tree with a very long name for a label", "species": "Ulmus procera"}
    )
    watched = look(own, device)
    page = watched.open(f"/tree/{done['id']}")
    count, found = overlaps(dial_of(page))
    assert count >= 13
    assert found == []


def test_overlaps_are_found(look: Look, read_only: Served) -> None:
    """The measure can fail: two labels laid on each other are told."""
    watched = look(read_only, LARGE)
    page = watched.open("/tree/T01")
    dial = dial_of(page)
    dial.evaluate("""svg => {
      const [a, b] = [...svg.querySelectorAll('text')].filter(e => e.hasAttribute('x'));
      for (const n of ['x', 'y']) b.setAttribute(n, a.getAttribute(n)); }""")
    assert overlaps(dial)[1]


def test_the_dial_is_printed(look: Look, read_only: Served) -> None:
    watched = look(read_only, LARGE)
    page = watched.open("/tree/T01")
    dial = dial_of(page)
    page.emulate_media(media="print")
    expect(dial).to_be_visible()
    box = dial.bounding_box()
    assert box is not None
    assert box["width"] > 300
    assert box["height"] > 300
    assert page.pdf(prefer_css_page_size=True)[:5] == b"%PDF-"
    expect(page.get_by_role("navigation", name="Title block")).not_to_be_visible()


def test_the_arrow_keys_walk_the_marks_in_the_order_of_time(look: Look, read_only: Served) -> None:
    watched = look(read_only, LARGE)
    page = watched.open("/tree/T01")
    marks = read_only.get("/api/trees/T01/dial")["marks"]
    in_time = [mark["text"] for mark in sorted(marks, key=lambda mark: mark["year"] + mark["frac"])]
    dial = dial_of(page)
    dial.focus()
    for text in in_time:
        page.keyboard.press("ArrowRight")
        expect(dial.get_by_role("option", selected=True)).to_have_attribute("aria-label", text)
