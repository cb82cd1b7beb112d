"""From an empty collection to the first tree with an outlook; and a yard where March is autumn."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, Device, Look
from app.serving import Served

pytestmark = pytest.mark.browser


def test_from_nothing_to_a_first_outlook_with_the_keyboard(look: Look, empty: Served) -> None:
    watched = look(empty, DESK)
    page = watched.open("/start")
    expect(page.get_by_role("heading", level=1, name="Where do the trees stand?")).to_be_visible()
    page.get_by_role("textbox", name="Name of the yard").fill("Behind the Mill")
    page.keyboard.press("Tab")
    page.keyboard.type("52.4 N")
    expect(page.get_by_text(re.compile("^Longest day .* in June"))).to_be_visible()
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", level=1, name="How does the year run there?")).to_be_visible()
    page.get_by_role("textbox", name="Coldest month").fill("1")
    page.get_by_role("textbox", name="Warmest month").fill("19")
    page.keyboard.press("Enter")

    expect(page.get_by_role("heading", level=1, name="Which tree comes first?")).to_be_visible()
    page.get_by_role("textbox", name="Name of the tree").fill("Old Elm")
    page.get_by_role("combobox", name="Species").focus()
    page.keyboard.type("ulmus")
    expect(page.get_by_role("option").first).to_contain_text("Ulmus")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Add the tree").press("Enter")

    expect(page.get_by_role("heading", level=1, name="Its outlook")).to_be_visible()
    window = page.get_by_role("region", name="Repot")
    expect(window).to_be_visible(timeout=60_000)
    expect(window.get_by_role("button", name=re.compile(r"\d")).first).to_be_visible()
    head = empty.get("/api/head")
    assert (head["name"], head["trees"], head["weather"], head["next"]) == (
        "Behind the Mill",
        1,
        "described",
        "done",
    )
    (opens,) = (
        each["opens"] for each in empty.get("/api/trees/T01")["windows"] if each["operation"] == "repot"
    )
    assert "2027-02-01" < opens["median"] < "2027-05-15"


def test_a_newcomer_is_led_to_the_first_steps_and_taps_through_them(look: Look, empty: Served) -> None:
    watched = look(empty, PHONE)
    page = watched.open("/")
    expect(page.get_by_role("heading", level=1, name="Where do the trees stand?")).to_be_visible()
    page.get_by_role("textbox", name="Latitude").fill("33 52 S")
    expect(page.get_by_text(re.compile("^Longest day .* in December"))).to_be_visible()
    page.get_by_role("button", name="Keep and go on").tap()
    expect(page.get_by_role("heading", level=1, name="How does the year run there?")).to_be_visible()
    page.get_by_role("button", name="Keep and go on").tap()  # the guess from the latitude will do
    page.get_by_role("textbox", name="Name of the tree").fill("Seedling 3")
    page.get_by_role("combobox", name="Species").fill("acer pal")
    page.get_by_role("option").first.tap()
    page.get_by_role("button", name="Add the tree").tap()
    expect(page.get_by_role("heading", level=1, name="Its outlook")).to_be_visible()
    expect(page.get_by_text("Seedling 3").first).to_be_visible()
    page.get_by_role("link", name="Its ring dial").tap()
    expect(page.get_by_role("heading", level=1, name="Seedling 3")).to_be_visible()
    expect(page.get_by_role("region", name="Ring dial").get_by_role("listbox")).to_be_visible()
    assert empty.get("/api/head")["south"]


def test_a_latitude_that_is_none_is_told_at_its_field(look: Look, empty: Served) -> None:
    watched = look(empty, PHONE)
    watched.expect("400")
    page = watched.open("/start")
    page.get_by_role("textbox", name="Latitude").fill("152 N")
    page.get_by_role("button", name="Keep and go on").tap()
    expect(page.get_by_role("textbox", name="Latitude")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("alert").filter(visible=True).first).to_contain_text("90")
    assert empty.get("/api/settings")["latitude_deg"] is None


@pytest.mark.parametrize("device", [PHONE, DESK], ids=lambda device: device.name)
def test_the_southern_half_of_the_earth_has_the_same_app(look: Look, empty: Served, device: Device) -> None:
    empty.ask("PATCH", "/api/settings", {"latitude": "-34", "coldest": "9 C", "warmest": "23 C"})
    tree = {"name": "Old Elm", "species": "Ulmus procera", "girth": "22 cm", "place": "bench 1"}
    empty.ask("POST", "/api/trees", tree)
    empty.wait_for_almanac()
    assert empty.get("/api/head")["south"]
    watched = look(empty, device)
    for path in ("/", "/yard", "/tree/T01", "/settings", "/start"):
        watched.open(path)
        watched.fits()
    page = watched.open("/tree/T01")
    expect(page.get_by_role("region", name="Ring dial").get_by_role("listbox")).to_be_visible()
    # repotting comes before the buds open, and buds open from August to October there (common practice)
    repot = next(each for each in empty.get("/api/trees/T01")["windows"] if each["operation"] == "repot")
    if repot["opens"] is not None:
        assert repot["opens"]["median"][5:7] in {"07", "08", "09", "10"}
