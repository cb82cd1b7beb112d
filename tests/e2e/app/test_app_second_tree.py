"""The second tree of a layered course and the box it moved into: one scale on phone and desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from kept_turning import BOX, STUMP
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, PHONE_DARK, Device, Look
from app.serving import Served
from ringwise.structure.silhouette import silhouette
from ringwise.structure.table import single_segment

if TYPE_CHECKING:
    from playwright.sync_api import Locator

pytestmark = pytest.mark.browser

DESK_DARK = Device("desk-dark", 1280, 800, "dark", False)

MEASURED = """svg => {
  const box = e => svg.querySelector(e).getBoundingClientRect();
  const soil = box('.soil'), wood = box('.wood');
  const pot = svg.querySelector('.pot')?.getBoundingClientRect();
  const ink = e => e ? getComputedStyle(e).stroke : '';
  return { tall: soil.top - wood.top, pot: pot ? pot.width : 0, below: pot ? pot.top - soil.top : 0,
    hatch: svg.querySelectorAll('.thin').length, ink: ink(svg.querySelector('.wood')),
    ground: getComputedStyle(document.documentElement).backgroundColor };
}"""


def measured(drawing: Locator) -> dict[str, float]:
    expect(drawing.locator(".wood")).to_have_count(1)
    found: dict[str, float] = drawing.evaluate(MEASURED)
    return found


@pytest.mark.parametrize("device", [PHONE, PHONE_DARK, DESK, DESK_DARK], ids=lambda each: each.name)
def test_both_trees_and_the_box_stand_at_one_scale(look: Look, read_only: Served, device: Device) -> None:
    watched = look(read_only, device)
    page = watched.open("/tree/T01/futures")
    first = page.get_by_role("article", name="A Accept the base")
    layered = page.get_by_role("article", name="B Leave it as it is")
    layered.scroll_into_view_if_needed()
    grown = measured(layered.get_by_role("img", name="One possible future, number 7"))
    stump = measured(layered.get_by_role("img", name="The second tree of the same future"))
    before = measured(first.get_by_role("img", name="One possible future, number 7"))
    alike = single_segment(length_mm=400.0 + 10 * 10 + 7, diameter_mm=50.0)  # as `kept_turning` made it up
    scale = grown["tall"] / silhouette(alike).top_mm
    assert stump["tall"] / scale == pytest.approx(silhouette(STUMP).top_mm, abs=3.0)
    assert before["tall"] == pytest.approx(grown["tall"], abs=1.0)
    assert stump["pot"] / scale == pytest.approx(BOX.length_mm, abs=8.0), "the stump keeps the box"
    assert before["pot"] / scale == pytest.approx(320.0, abs=8.0)  # its own pot, as `kept_turning` says
    assert abs(stump["below"]) < 2.5, "its rim is at the soil"
    assert grown["pot"] == 0, "what the top moves into is still open"
    assert stump["ink"] != stump["ground"], "it is seen against the page in this theme"
    expect(layered).to_contain_text(
        "The stump lives on as a second tree in 150 of 200 futures; no tree is left in 2."
    )
    expect(first.get_by_role("img", name="The second tree")).to_have_count(0)
    watched.fits()


def test_an_earlier_year_has_one_tree_in_its_own_pot(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T01/futures")
    layered = page.get_by_role("article", name="B Leave it as it is")
    expect(layered.get_by_role("img", name="The second tree")).to_have_count(1)
    page.get_by_role("slider", name="Year shown").focus()
    page.keyboard.press("ArrowLeft")
    expect(layered.get_by_role("img", name="The second tree")).to_have_count(0)
    expect(layered.get_by_text("second tree")).to_have_count(0)


def test_all_years_show_the_second_tree_below_the_first(look: Look, read_only: Served) -> None:
    page = look(read_only, DESK).open("/tree/T01/futures")
    last = page.get_by_role("button", name="Course B, after 10 years: show it large")
    expect(last.locator("svg")).to_have_count(2)
    top, stump = (last.locator("svg").nth(place).bounding_box() for place in (0, 1))
    assert top is not None
    assert stump is not None
    assert stump["y"] >= top["y"] + top["height"] - 1
    earlier = page.get_by_role("button", name="Course B, after 5 years: show it large")
    expect(earlier.locator("svg")).to_have_count(1)
