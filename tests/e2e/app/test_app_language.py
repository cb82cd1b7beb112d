"""German and inches: what a room says follows the settings at once, and back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, Look
from app.serving import Served, until

pytestmark = pytest.mark.browser


def test_rooms_follow_language_and_units_and_come_back(look: Look, own: Served) -> None:
    watched = look(own, DESK)
    page = watched.open("/settings")
    page.get_by_role("radio", name="Deutsch").check()
    expect(page.get_by_role("heading", level=1, name="Einstellungen")).to_be_visible()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    page.get_by_role("radio", name=re.compile("^Zoll")).check()
    until(lambda: own.get("/api/settings")["units"] == "inch", "the setting")
    expect(
        page.get_by_role("navigation", name="Schriftfeld").get_by_role("link", name="Garten")
    ).to_be_visible()

    watched.open("/tree/T01")
    main = page.get_by_role("main")
    expect(page.get_by_role("heading", name="Dieses Wachstumsjahr", exact=True)).to_be_visible()
    expect(main.get_by_text(re.compile(r"14\.\sNov\.?\s2026")).filter(visible=True).first).to_be_visible()
    # 52 cm are 20.47 in (25.4 mm to the inch, by definition), read as a tape has it
    expect(main.get_by_role("button", name=re.compile(r"20 1.2\sin")).first).to_be_visible()
    expect(main.get_by_text(re.compile(r"\b52[\s\u202f]?cm"))).to_have_count(0)

    watched.open("/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("7. März 2027")
    watched.open("/yard")
    expect(page.get_by_role("heading", level=1, name="Garten")).to_be_visible()

    watched.open("/settings")
    page.get_by_role("radio", name=re.compile("^cm")).check()
    page.get_by_role("radio", name="English").check()
    expect(page.get_by_role("heading", level=1, name="Settings")).to_be_visible()
    until(lambda: own.get("/api/settings")["units"] == "metric", "the setting")
    watched.open("/tree/T01")
    expect(page.get_by_role("heading", name="This growing year", exact=True)).to_be_visible()
    expect(main.get_by_role("button", name=re.compile(r"^52\scm")).first).to_be_visible()
    assert own.get("/api/settings")["units"] == "metric"


def test_a_german_browser_is_answered_in_german_before_anything_is_set(look: Look, empty: Served) -> None:
    watched = look(empty, DESK, locale="de-DE")
    page = watched.open("/settings")
    expect(page.get_by_role("heading", level=1, name="Einstellungen")).to_be_visible()
