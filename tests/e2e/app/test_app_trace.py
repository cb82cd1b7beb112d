"""The tracing table: photos, scale, clicks, edges, a grip moved by keys, kept, and corrected later."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from playwright.sync_api import expect

from app import traced
from app.conftest import DESK, PHONE_DARK, Look
from app.fit import axe_violations, small_targets
from app.serving import Served

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page, Request, Response

pytestmark = pytest.mark.browser

TREE = "T05"
SLOW_MS = 60_000  # the first tree waits for compiled code
WAY = "From two photos"
NEAR_PX = 4.0
PLACE = """(e, [x, y]) => {
  const at = new DOMPoint(x, y).matrixTransform(e.getScreenCTM()), box = e.getBoundingClientRect();
  return [at.x - box.x, at.y - box.y];
}"""


def section(page: Page, name: str) -> Locator:
    return page.get_by_role("region", name=name, exact=True)


def set_places(page: Page, name: str, places: list[tuple[float, float]]) -> None:
    """Press on places of a photo, one after the other."""
    pane = section(page, name).get_by_role("application")
    for place in places:
        x, y = pane.evaluate(PLACE, place)
        pane.click(position={"x": x, "y": y})


def scale(page: Page, name: str) -> None:
    part = section(page, name)
    press = part.get_by_role("button", name="Scale")
    if press.get_attribute("aria-pressed") == "false":  # the photo that was chosen last asks for it by itself
        press.click()
    part.get_by_label("The known length is").select_option(label="a rule at the trunk")
    set_places(page, name, traced.rule(name.lower()))
    part.get_by_role("textbox", name="Its length").fill(f"{traced.RULE_MM} mm")
    part.get_by_role("textbox", name="Focal length").fill(str(traced.FOCAL_35MM_MM))
    press.click()


def trace(page: Page, pieces: list[str], names: list[str]) -> None:
    for piece in pieces:
        if piece != "trunk":
            page.get_by_role("button", name="Next branch").click()
        for name in names:
            set_places(page, name, traced.clicks(name.lower(), piece))


def shapes(server: Served) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = server.get(f"/api/trees/{TREE}/shape")["states"]
    return found


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this tree").click()
    expect(page.get_by_role("button", name="Keep this tree")).to_have_count(0)  # the table is cleared last


def drawn_edges(asked: Request) -> dict[str, Any]:
    """Widths that a person drew, by branch and photo."""
    found = asked.post_data_json["branches"]
    return {each["id"]: each["edges"] for each in found if any(each["edges"].values())}


def drawn_on(asked: Request, view: str) -> bool:
    """Whether edges of a photo are asked for on which a person drew some."""
    return (
        asked.url.endswith("/trace/edges")
        and asked.post_data_json["view"] == view
        and bool(drawn_edges(asked))
    )


def lay_both_photos(page: Page, side: Path) -> None:
    """One photo of the record and one from a file, each with its scale."""
    page.get_by_role("button", name=WAY).click()
    section(page, "Front").get_by_role("button", name="Photo of 14 Feb 2027").click()
    with page.expect_file_chooser() as choosing:
        section(page, "Side").get_by_text("Add a photo").click()
    choosing.value.set_files(side)
    section(page, "Side").get_by_role("application").wait_for()
    for name in ("Side", "Front"):
        scale(page, name)


def wait_until_drawn(page: Page, branches: int) -> None:
    """The tree is drawn once both photos' edges were looked at."""
    told = page.get_by_text(f"{branches} branches traced")
    expect(told).to_contain_text(re.compile(f"{traced.HEIGHT_CM} cm high"), timeout=SLOW_MS)


def move_an_edge_by_keys(page: Page) -> None:
    """Walk to an edge under other wood, move it and put it back, then move it for good."""
    front = section(page, "Front").get_by_role("application")
    page.get_by_role("combobox", name="Branch", exact=True).select_option(label="Branch 1")
    edges = front.get_by_role("button", name="Edge under other wood")
    expect(edges).to_have_count(2)
    page.keyboard.press("Tab")  # away from the list
    front.focus()
    for _point in traced.clicks("front", "right"):
        page.keyboard.press("PageDown")
    expect(front.get_by_role("button", name="Point 2 of 2")).to_be_focused()
    page.keyboard.press("PageDown")
    grip = front.get_by_role("button", name="Edge under other wood, 1 of 2")
    expect(grip).to_be_focused()
    expect(grip).to_have_css("outline-style", "solid")
    assert axe_violations(page) == []
    try_and_put_back(page, front, grip)
    with page.expect_response(lambda answer: drawn_on(answer.request, "front")) as answering:
        page.keyboard.press("Enter")
    assert_clean_beside_the_edge(answering.value)
    expect(page.get_by_role("button", name="Keep this tree")).to_be_enabled()
    page.keyboard.press("Escape")  # the hand stayed on the photo
    expect(front).to_be_focused()


def try_and_put_back(page: Page, front: Locator, grip: Locator) -> None:
    """Escape puts a moved grip back; then the same grip again, moved."""
    before = str(grip.get_attribute("transform"))
    page.keyboard.press("ArrowUp")
    expect(grip).not_to_have_attribute("transform", before)
    page.keyboard.press("Escape")  # as it was
    expect(front).to_be_focused()
    expect(grip).to_have_attribute("transform", before)
    page.keyboard.press("PageUp")  # none is before the first
    for _grip in range(3):
        page.keyboard.press("PageDown")
    page.keyboard.press("ArrowUp")


def assert_clean_beside_the_edge(answer: Response) -> None:
    """Where an edge was drawn, other wood no longer lies over the branch."""
    ((branch, views),) = drawn_edges(answer.request).items()
    (pair,) = views["front"]
    middle = np.mean(pair, axis=0)
    (edge,) = (each for each in answer.json()["branches"] if each["id"] == branch)
    there = [
        clean
        for clean, *ends in zip(edge["clean"], edge["left"], edge["right"], strict=True)
        if all(ends) and np.linalg.norm(np.mean(ends, axis=0) - middle) < NEAR_PX
    ]
    assert there  # where other wood lay over it
    assert all(there)


def correct_the_trace(page: Page) -> None:
    """Lay the kept trace on the table again, take a branch off and keep it anew."""
    page.get_by_role("button", name=WAY).click()
    page.get_by_role("button", name="Correct the trace of 7 Mar 2027").click()
    expect(section(page, "Side").get_by_role("application")).to_be_visible()
    wait_until_drawn(page, 3)
    page.get_by_role("combobox", name="Branch", exact=True).select_option(label="Branch 2")
    page.get_by_role("button", name="Remove this branch").click()
    expect(page.get_by_text("2 branches traced")).to_be_visible(timeout=SLOW_MS)
    keep(page)


def test_two_photos_are_traced_an_edge_moved_by_keys_and_the_trace_corrected(
    look: Look, own: Served, tmp_path: Path
) -> None:
    own.send_photo(f"/api/trees/{TREE}/photos?view=front&date=2027-02-14", traced.photo("front"))
    side = tmp_path / "side.jpg"
    side.write_bytes(traced.photo("side"))
    page = look(own, DESK, bypass_csp=True).open(f"/tree/{TREE}/shape")
    lay_both_photos(page, side)
    trace(page, ["trunk", "right", "left", "crossing"], ["Front", "Side"])
    wait_until_drawn(page, 3)
    move_an_edge_by_keys(page)
    keep(page)
    count = len(shapes(own))
    page.reload()  # the same day, another look
    correct_the_trace(page)
    last = own.get(f"/api/trees/{TREE}/shape/trace")["last"]
    assert len(last["branches"]) == 3
    assert [list(each["edges"]) for each in last["branches"] if each["edges"]] == [["front"]]
    assert len(shapes(own)) == count + 1


def test_one_photo_is_traced_on_a_phone_in_the_dark(look: Look, own: Served) -> None:
    own.send_photo(f"/api/trees/{TREE}/photos?view=front&date=2027-02-14", traced.photo("front"))
    page = look(own, PHONE_DARK, bypass_csp=True).open(f"/tree/{TREE}/shape")
    page.get_by_role("button", name=WAY).tap()
    section(page, "Front").get_by_role("button", name="Photo of 14 Feb 2027").tap()
    expect(page.get_by_role("status").filter(has_text="two ends of a known length")).to_be_visible()
    scale(page, "Front")
    expect(page.get_by_role("status").filter(has_text="the trunk")).to_be_visible()
    trace(page, ["trunk", "left"], ["Front"])
    expect(page.get_by_text("one photo: slopes")).to_be_visible(timeout=SLOW_MS)
    assert axe_violations(page) == []
    assert small_targets(page, 44) == []
    page.reload()  # what was clicked is kept on the device
    page.get_by_role("button", name=WAY).tap()
    expect(page.get_by_text("1 branch traced")).to_be_visible(timeout=SLOW_MS)
    keep(page)
    assert len(own.get(f"/api/trees/{TREE}/shape/trace")["last"]["branches"]) == 2
