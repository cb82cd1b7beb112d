"""How a room opens: what it reads is asked for once, before the app has come, and nothing moves after."""

from __future__ import annotations

import time
from collections import Counter
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, Route

from app.conftest import DESK, PHONE, Device, Look
from app.serving import Served

pytestmark = pytest.mark.browser

ROOMS = {
    "/": ["/api/today"],
    "/yard": ["/api/yard"],
    "/tree/T02": ["/api/trees/T02", "/api/trees/T02/dial"],
    "/settings": ["/api/settings"],
}
SHIFTS = """
window.shifts = 0;
new PerformanceObserver(list => list.getEntries().forEach(each => {
  if (!each.hadRecentInput) window.shifts += each.value;
})).observe({ type: 'layout-shift', buffered: true });
"""
MOST_SHIFT = 0.02


def asked_on_opening(page: Page) -> Counter[str]:
    """Listen to what a page asks of the API."""
    asked: Counter[str] = Counter()
    page.on("request", lambda each: asked.update([urlsplit(each.url).path]))
    return asked


@pytest.mark.parametrize("path", ROOMS)
def test_a_room_reads_each_thing_once(look: Look, read_only: Served, path: str) -> None:
    while read_only.ask("GET", "/api/trees/T02/dial")["ahead_state"] == "making":
        time.sleep(0.2)  # the dial is rightly read again when the years ahead have been worked out
    watched = look(read_only)
    asked = asked_on_opening(watched.page)
    page = watched.open(path)
    page.wait_for_timeout(600)  # the stream of events opens and tells how things stand, which is no news
    assert {each: asked[each] for each in ROOMS[path]} == dict.fromkeys(ROOMS[path], 1)
    assert asked["/api/head"] == 1
    assert asked["/api/events"] == 1


@pytest.mark.parametrize("path", ROOMS)
@pytest.mark.parametrize("device", [PHONE, DESK], ids=lambda device: device.name)
def test_nothing_moves_once_it_stands_there(look: Look, read_only: Served, path: str, device: Device) -> None:
    watched = look(read_only, device)
    watched.page.add_init_script(SHIFTS)
    page = watched.open(path)
    assert page.evaluate("shifts") <= MOST_SHIFT


@pytest.mark.parametrize("path", ROOMS)
def test_nothing_moves_when_the_letters_come_late(look: Look, read_only: Served, path: str) -> None:
    watched = look(read_only, PHONE)
    watched.page.add_init_script(SHIFTS)
    late: list[Route] = []
    watched.page.route("**/*.woff2", lambda route: late.append(route))
    page = watched.page
    page.goto(read_only.address.rstrip("/") + path, wait_until="commit")  # loaded comes after the fonts
    page.get_by_role("heading", level=1).first.wait_for(state="attached")
    page.wait_for_timeout(500)  # the room stands, in the letters of the machine
    assert late, "the fonts were not asked for, so this looks at nothing"
    while late:
        late.pop().continue_()
        page.wait_for_timeout(50)
    page.evaluate("document.fonts.ready")
    page.wait_for_timeout(200)
    assert page.evaluate("shifts") <= MOST_SHIFT


def test_a_tab_told_of_a_change_reads_again(look: Look, own: Served) -> None:
    watched = look(own)
    page = watched.open("/tree/T02")
    page.wait_for_timeout(600)
    with page.expect_response(lambda each: urlsplit(each.url).path == "/api/trees/T02"):
        own.ask("POST", "/api/trees/T02/entries", {"what": "note", "value": "Moss lifted at the rim"})
