"""Every shown number tells where it comes from."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, Device, Look
from app.serving import Served

pytestmark = pytest.mark.browser

MOST_OPENED = 6  # opened by hand; all others are asked for by name


@pytest.mark.parametrize(("path", "device"), [("/", DESK), ("/tree/T01", PHONE)], ids=["today", "tree"])
def test_every_shown_number_has_a_chain(look: Look, read_only: Served, path: str, device: Device) -> None:
    watched = look(read_only, device)
    page = watched.open(path)
    for folded in page.get_by_role("main").locator("details").all():
        folded.evaluate("e => e.open = true")
    numbers = page.get_by_role("main").locator("button[data-why]")
    expect(numbers.first).to_be_attached()
    names = numbers.evaluate_all("all => all.map(e => e.dataset.why)")
    assert len(names) >= 10
    for name in sorted(set(names)):
        status, why = read_only.try_to("GET", f"/api/why?of={name.replace(' ', '%20')}")
        assert status == 200, (name, why)
        assert why["chain"], name
        assert why["value"], name

    every = max(1, len(names) // MOST_OPENED)
    for index in range(0, len(names), every):
        number = numbers.nth(index)
        number.scroll_into_view_if_needed()
        number.focus()
        page.keyboard.press("Enter")
        sheet = page.get_by_role("dialog")
        expect(sheet.get_by_role("listitem").first).to_be_visible()
        page.keyboard.press("Escape")
        expect(sheet).to_have_count(0)
        expect(number).to_be_focused()


def test_an_unknown_why_is_told_in_the_sheet(look: Look, read_only: Served) -> None:
    watched = look(read_only)
    watched.expect("404|400")
    page = watched.open("/")
    page.route(
        "**/api/why*", lambda route: route.continue_(url=f"{read_only.address}api/why?of=T99:repot:opens")
    )
    page.locator("main button[data-why]").first.click()
    expect(page.get_by_role("dialog")).to_contain_text("T99")
