"""The yard: trees and whole benches carried by mouse, finger and keyboard; places recorded and taken back."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from app.conftest import DESK, PHONE, Look
from app.serving import Served, until
from app.watching import Watched

pytestmark = pytest.mark.browser


def standing(served: Served) -> dict[str, str]:
    """Where each tree stands, by the server."""
    plan = served.get("/api/yard")
    return {spot["tree"]: bench["name"] for bench in plan["benches"] for spot in bench["spots"]}


def tree_on_plan(page: Page, name: str) -> Locator:
    """A tree of the drawing."""
    return page.get_by_role("group", name="Plan of the yard").get_by_role("button", name=f"{name}, ")


def plate(page: Page, bench: str) -> Locator:
    """The name plate of a bench."""
    return page.get_by_role("button", name=f"{bench}: size it or move its trees").first


def middle(locator: Locator) -> tuple[float, float]:
    """On screen."""
    locator.scroll_into_view_if_needed()
    box = locator.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page: Page, from_x: float, from_y: float, to_x: float, to_y: float) -> None:
    """As a hand does it, in some steps."""
    page.mouse.move(from_x, from_y)
    page.mouse.down()
    page.mouse.move(from_x + 12, from_y + 4, steps=3)
    page.mouse.move(to_x, to_y, steps=8)
    page.mouse.up()


def foot(page: Page, name: str) -> tuple[float, float]:
    """Of a tree: the middle of its pot, above its name."""
    tree = tree_on_plan(page, name)
    tree.scroll_into_view_if_needed()
    box = tree.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] - 30


def table(page: Page, bench: str) -> tuple[float, float]:
    """A point on the table, which ends where its name plate begins."""
    box = plate(page, bench).bounding_box()
    assert box is not None
    return box["x"] + 60, box["y"] - 30


def open_yard(watched: Watched) -> Page:
    """The yard, when its drawing has come to rest."""
    page: Page = watched.open("/yard")
    last = plate(page, "bench 1")
    expect(last).to_be_visible()
    seen: list[Any] = []

    def rests() -> bool:
        page.wait_for_timeout(200)
        seen.append(last.bounding_box())
        return len(seen) > 2 and seen[-1] == seen[-2] == seen[-3]

    until(rests, "the drawing")
    return page


def take_back(page: Page, served: Served, before: dict[str, str]) -> None:
    """From the notice; all stands as before."""
    page.get_by_role("button", name="Take back").filter(visible=True).first.click()
    until(lambda: standing(served) == before, "the places of before")


def tall(device: Any) -> Any:
    """A window that shows the whole plan, so that a drag needs no scrolling."""
    return {"viewport": {"width": device.width_px, "height": 2400}}


def test_a_tree_is_carried_to_another_bench_with_the_mouse(look: Look, own: Served) -> None:
    watched = look(own, DESK, **tall(DESK))
    page = open_yard(watched)
    before = standing(own)
    assert before["T01"] == "bench 1"
    expect(tree_on_plan(page, "Hollow Lane")).to_be_visible()
    x, y = foot(page, "Hollow Lane")
    to_x, to_y = table(page, "bench 3")
    drag(page, x, y, to_x, to_y)
    until(lambda: standing(own)["T01"] == "bench 3", "the tree on bench 3")
    assert {tree for tree, place in standing(own).items() if place != before[tree]} == {"T01"}
    spot = next(
        spot for bench in own.get("/api/yard")["benches"] for spot in bench["spots"] if spot["tree"] == "T01"
    )
    assert spot["given"]
    take_back(page, own, before)


def test_a_whole_bench_is_carried_onto_another_place_by_its_plate(look: Look, own: Served) -> None:
    watched = look(own, DESK, **tall(DESK))
    page = open_yard(watched)
    before = standing(own)
    shelf = {tree for tree, place in before.items() if place == "small shelf"}
    assert len(shelf) == 2
    stamp = own.get("/api/head")["stamp"]
    x, y = middle(plate(page, "small shelf"))
    to_x, to_y = table(page, "bench 1")
    drag(page, x, y, to_x, to_y)
    until(lambda: {standing(own)[tree] for tree in shelf} == {"bench 1"}, "the trees of the shelf on bench 1")
    assert own.get("/api/head")["stamp"] == stamp + 1  # one step, taken back as one
    take_back(page, own, before)


def test_a_tree_is_carried_by_keyboard(look: Look, own: Served) -> None:
    watched = look(own)
    page = open_yard(watched)
    before = standing(own)
    tree_on_plan(page, "Hollow Lane").focus()
    page.keyboard.press("m")
    sheet = page.get_by_role("dialog", name="Move to")
    sheet.get_by_role("radio", name="quarantine corner").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    until(lambda: standing(own)["T01"] == "quarantine corner", "the tree in its new place")
    expect(sheet).to_have_count(0)
    block = page.get_by_role("navigation", name="Title block")
    expect(block.get_by_role("button", name="Take back")).to_be_enabled()
    page.keyboard.press("u")
    page.get_by_role("dialog").get_by_role("button", name="Take back").press("Enter")
    until(lambda: standing(own) == before, "the places of before")


def test_a_bench_is_emptied_by_keyboard(look: Look, own: Served) -> None:
    watched = look(own)
    page = open_yard(watched)
    before = standing(own)
    plate(page, "small shelf").focus()
    page.keyboard.press("Enter")
    page.get_by_role("dialog").get_by_role("button", name="Move its 2 trees").press("Enter")
    sheet = page.get_by_role("dialog", name="Move to")
    sheet.get_by_role("radio", name="growing bed").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    until(lambda: "small shelf" not in standing(own).values(), "the empty shelf")
    empty = page.get_by_role("region", name="Places without a tree")
    expect(empty.get_by_role("button", name="small shelf")).to_be_visible()
    take_back(page, own, before)
    expect(empty).to_have_count(0)


def test_an_emptied_place_is_kept_with_its_size(look: Look, own: Served) -> None:
    watched = look(own)
    page = open_yard(watched)
    (was,) = (each for each in own.get("/api/yard")["benches"] if each["name"] == "small shelf")
    trees = [spot["tree"] for spot in was["spots"]]
    own.ask("POST", "/api/yard/move", {"trees": trees, "place": "growing bed"})
    page.get_by_role("region", name="Places without a tree").get_by_role("button", name="small shelf").click()
    page.get_by_role("dialog", name="small shelf").get_by_role("button", name="Set it so").click()
    expect(plate(page, "small shelf")).to_be_visible()
    (kept,) = (each for each in own.get("/api/yard")["benches"] if each["name"] == "small shelf")
    assert (kept["length_mm"], kept["depth_mm"]) == (was["length_mm"], was["depth_mm"])
    assert (kept["given"], kept["spots"]) == (True, [])


def test_the_arrow_keys_walk_the_trees_and_enter_opens_one(look: Look, read_only: Served) -> None:
    watched = look(read_only)
    page = open_yard(watched)
    tree_on_plan(page, "Hollow Lane").focus()
    seen = []
    for _step in range(3):
        page.keyboard.press("ArrowRight")
        seen.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
    assert len(set(seen)) == 3
    page.keyboard.press("Enter")
    card = page.get_by_role("dialog", name=seen[-1].split(",")[0])
    expect(card).to_be_visible()
    expect(card.get_by_role("link", name="Open")).to_be_visible()
    page.keyboard.press("Escape")
    expect(card).to_have_count(0)


def test_on_the_phone_a_long_press_carries_a_tree(look: Look, own: Served) -> None:
    watched = look(own, PHONE, **tall(PHONE))
    page = open_yard(watched)
    before = standing(own)
    expect(tree_on_plan(page, "Hollow Lane")).to_be_visible()
    x, y = foot(page, "Hollow Lane")
    to_x, to_y = table(page, "bench 2")
    touch = page.context.new_cdp_session(page)

    def finger(kind: str, *points: tuple[float, float]) -> None:
        where = [{"x": x_px, "y": y_px} for x_px, y_px in points]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": where})

    finger("touchStart", (x, y))
    page.wait_for_timeout(400)  # a long press is what is tested
    for part in range(1, 9):
        finger("touchMove", (x + (to_x - x) * part / 8, y + (to_y - y) * part / 8))
    finger("touchEnd")
    until(lambda: standing(own)["T01"] == "bench 2", "the tree on bench 2")
    take_back(page, own, before)
