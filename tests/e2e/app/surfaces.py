"""The rooms and sheets of the app, and how one gets there by name."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from app.watching import Watched

Step = Callable[["Page"], None]


def press(name: str) -> Step:
    """Press the first button of that name; it opens a sheet."""

    def pressed(page: Page) -> None:
        page.get_by_role("button", name=name, exact=True).first.click()
        page.get_by_role("dialog").first.wait_for()

    return pressed


def in_sheet(name: str) -> Step:
    """Press a button of the sheet that is open."""
    return lambda page: page.get_by_role("dialog").get_by_role("button", name=name, exact=True).click()


def _log(page: Page) -> None:
    press("Log")(page)
    page.get_by_role("dialog").get_by_role("button", name="Girth").wait_for()


def _log_stages(page: Page) -> None:
    _log(page)
    page.get_by_role("dialog").get_by_role("button", name="Stage", exact=True).click()
    page.get_by_role("dialog").get_by_text("All other stages").click()


def _log_girth(page: Page) -> None:
    _log(page)
    page.get_by_role("dialog").get_by_role("button", name="Girth").click()
    page.get_by_role("dialog").get_by_role("textbox", name="Girth").wait_for()


def _why(page: Page) -> None:
    page.locator("main button[data-why]").first.click()
    page.get_by_role("dialog").get_by_role("list").first.wait_for()


def _move(page: Page) -> None:
    page.get_by_role("button", name="bench 1: size it or move its trees").first.click()
    page.get_by_role("dialog").get_by_role("button", name="Move its").click()
    page.get_by_role("dialog").get_by_role("group", name="Where to").wait_for()


def _pot(page: Page) -> None:
    page.get_by_label("Beside it").select_option("mix:A")
    page.get_by_role("figure").nth(1).wait_for()
    page.get_by_role("heading", name="Order of work").wait_for()


def _shape(page: Page) -> None:
    page.locator("[data-detail=full]").wait_for()
    cut = page.get_by_role("slider", name="Cut through the trunk")
    cut.focus()
    for _step in range(8):
        page.keyboard.press("PageDown")
    page.get_by_role("table", name="Both parts of the tree").wait_for()
    page.get_by_role("button", name=re.compile(r"^at \d.* thick")).first.click()
    page.get_by_text("The trunk as a table").first.click()


def _futures(page: Page) -> None:
    page.get_by_role("article").nth(1).wait_for()
    page.get_by_text("Aim by aim", exact=True).click()
    page.get_by_text("Steps Accept the base").click()
    page.get_by_text("measures", exact=False).first.click()
    page.get_by_text("What the numbers rest on").click()
    scrubber = page.get_by_role("slider", name="Year shown")
    scrubber.focus()
    page.keyboard.press("ArrowLeft")


def _own_course(page: Page) -> None:
    press("Write a course of your own")(page)
    form = page.get_by_role("dialog")
    form.get_by_role("button", name="Add a check").click()
    form.get_by_role("group", name="Step 1").get_by_label("Work", exact=True).select_option("wire")
    form.get_by_role("group", name="Step 1").get_by_label("At which side").fill("noon")
    form.get_by_role("group", name="Step 1").get_by_text("Again after some years").click()
    form.get_by_text("is no number").first.wait_for()


@dataclass(frozen=True)
class Surface:
    """Something on screen that is looked at as a whole."""

    name: str
    path: str
    step: Step | None = None

    def reach(self, watched: Watched) -> Page:
        """Go there."""
        watched.open(self.path)
        page = watched.page
        if self.step is not None:
            self.step(page)
        return page


ROOMS = (
    Surface("today", "/"),
    Surface("yard", "/yard"),
    Surface("tree-T01", "/tree/T01"),
    Surface("tree-T13", "/tree/T13"),
    Surface("pot-T01", "/tree/T01/pot", _pot),
    Surface("shape-T01", "/tree/T01/shape", _shape),
    Surface("futures-T01", "/tree/T01/futures", _futures),
    Surface("start-place", "/start?page=place"),
    Surface("start-weather", "/start?page=weather"),
    Surface("start-tree", "/start?page=tree"),
    Surface("start-outlook", "/start?page=outlook&tree=T28"),
    Surface("start-done", "/start"),
    Surface("settings", "/settings"),
    Surface("weather", "/weather"),
)
SHEETS = (
    Surface("goto", "/", press("Go to")),
    Surface("take-back", "/", press("Take back")),
    Surface("why", "/", _why),
    Surface("why-of-a-tree", "/tree/T01", _why),
    Surface("log", "/tree/T01", _log),
    Surface("log-stages", "/tree/T01", _log_stages),
    Surface("log-girth", "/tree/T01", _log_girth),
    Surface("entry", "/tree/T01?entry=T01-height-1"),
    Surface("entry-edit", "/tree/T01?entry=T01-height-1", in_sheet("Edit")),
    Surface("entry-history", "/tree/T01?entry=T01-height-1", in_sheet("History")),
    Surface("edit", "/tree/T01", press("Edit")),
    Surface("move", "/yard", _move),
    Surface("own-course", "/tree/T01/futures", _own_course),
    Surface("aims", "/tree/T01/futures", press("Change what is aimed at")),
    Surface("add-a-place", "/yard", press("Add a place")),
    Surface("add-a-tree", "/yard", press("Add a tree")),
)
