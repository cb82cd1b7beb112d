"""The form of the tape on a phone: drawn while typed, kept over a reload, refused at its field, stored."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from app.conftest import PHONE, Look
from app.serving import Served

pytestmark = pytest.mark.browser

TREE = "T05"
SLOW_MS = 60_000  # the first drawing waits for compiled code


def test_a_tape_is_typed_drawn_kept_over_a_reload_and_stored(look: Look, own: Served) -> None:
    before = len(own.get(f"/api/trees/{TREE}/entries?kind=tape")["entries"])
    watched = look(own, PHONE)
    watched.expect(r"answered 400: .*/shape/tape$|status of 400")  # a girth above the tree, which is refused
    page = watched.open(f"/tree/{TREE}/shape")
    page.get_by_role("button", name="With tape and calliper").tap()
    page.get_by_label("Height above the soil").fill("47")
    girth = page.get_by_role("group", name="Girth 1")
    girth.get_by_label("Girth", exact=True).fill("27")
    girth.get_by_label("At height").fill("90")
    branch = page.get_by_role("group", name="Branch 1")
    branch.get_by_label("At height").fill("14")
    face = branch.get_by_role("slider")
    box = face.bounding_box()
    assert box is not None
    face.tap(position={"x": box["width"] - 12, "y": box["height"] / 2})
    expect(branch.get_by_label("Towards, by the clock", exact=True)).to_have_value("3")
    face.press("ArrowRight")
    expect(branch.get_by_label("Towards, by the clock", exact=True)).to_have_value("3.5")

    page.get_by_role("button", name="Store the tape").tap()
    expect(girth.get_by_role("alert")).to_contain_text("460.6 mm")  # 0.98 of the height
    girth.get_by_label("At height").fill("2")
    expect(page.locator("form figure img")).to_be_visible(timeout=SLOW_MS)

    page.reload()
    page.get_by_role("button", name="With tape and calliper").tap()
    expect(page.get_by_label("Height above the soil")).to_have_value("47")
    with page.expect_response(
        lambda answer: answer.url.endswith("/shape/tape") and answer.request.method == "POST"
    ):
        page.get_by_role("button", name="Store the tape").tap()
    expect(page.get_by_role("button", name="Take back").filter(visible=True).first).to_be_visible()
    kept = own.get(f"/api/trees/{TREE}/shape/tape")["last"]
    assert (kept["height_mm"], kept["girths"]) == (470.0, [{"at_mm": 20.0, "girth_mm": 270.0}])
    assert kept["branches"][0]["clock"] == 3.5
    assert kept["branches"][0]["diameter_mm"] is None
    assert len(own.get(f"/api/trees/{TREE}/entries?kind=tape")["entries"]) == before + 1
