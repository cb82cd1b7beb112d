"""The pot room: reached from the tree, a slider changes what is drawn and told, a weighing is stored."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from app.conftest import DESK, PHONE_DARK, Look
from app.fit import overlaps
from app.serving import Served

pytestmark = pytest.mark.browser


def water(answer: dict[str, object]) -> str:
    """The told water of a section."""
    figures = answer["figures"]
    assert isinstance(figures, list)
    return str(next(each for each in figures if each["key"] == "water")["told"]["shown"])


def test_a_slider_changes_the_pot_that_the_tree_stands_in(look: Look, read_only: Served) -> None:
    watched = look(read_only, PHONE_DARK)
    page = watched.open("/tree/T01")
    page.get_by_role("link", name="Open the pot").click()
    page.wait_for_url("**/tree/T01/pot")
    room = read_only.get("/api/trees/T01/pot")
    drawing = page.get_by_role("img", name=room["section"]["words"])
    expect(drawing).to_have_accessible_description(room["section"]["sentence"])
    numbers = page.get_by_role("table", name="Numbers of the pot")
    expect(numbers).to_contain_text(water(room["section"]))

    depth = page.get_by_role("slider", name="Inside depth")
    depth.focus()
    stands = depth.bounding_box()
    for _step in range(5):  # all at once: what is shown at the end is the answer to the last
        page.keyboard.press("ArrowRight")
    expect(depth).to_have_attribute("aria-valuetext", "10\u202fcm")
    deeper = read_only.get("/api/trees/T01/pot/tried?depth_mm=100")["section"]
    assert water(deeper) != water(room["section"])
    expect(page.get_by_role("img", name=deeper["words"])).to_have_accessible_description(deeper["sentence"])
    expect(numbers).to_contain_text(water(deeper))
    assert depth.bounding_box() == stands  # what is drawn has grown, and the slider stays under the thumb

    page.get_by_label("Beside it").select_option("now")
    expect(page.get_by_role("img")).to_have_count(2)
    expect(numbers).to_contain_text(water(room["section"]))
    for each in page.get_by_role("img").all():
        count, found = overlaps(each)
        assert count >= 7  # two shares, the axis, the wet layer in two lines, labels, the scale
        assert found == []
    page.get_by_role("button", name="As it is").click()
    expect(page.get_by_role("img")).to_have_count(1)
    expect(depth).to_have_attribute("aria-valuetext", "7.5\u202fcm")

    page.get_by_label("Mix", exact=True).select_option("parts as I write them")
    parts = page.get_by_label("Parts of the mix")
    parts.fill("pumice=2,lava=1")
    parts.press("Enter")
    expect(page.get_by_role("img")).to_have_accessible_name(
        "P-T01, oval 42 × 31 × 7.5 cm, mix pumice=2,lava=1"
    )


def test_a_weighing_takes_a_moment_and_a_number(look: Look, own: Served) -> None:
    page = look(own, DESK).open("/tree/T01/pot")
    before = len(own.get("/api/trees/T01/pot")["weighings"])
    page.get_by_role("button", name="watered and drained, tilted").click()
    expect(page.get_by_role("textbox", name="The scale shows")).to_be_focused()
    page.keyboard.type("8.35")
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="8.35 kg")).to_be_visible()
    stored = own.get("/api/trees/T01/pot")["weighings"]
    assert len(stored) == before + 1
    entry = own.get(f"/api/entries/{stored[0]['entry']}")
    assert (entry["given"]["when"], entry["given"]["value"]) == ("drained_tilted", "8.35 kg")
