"""Water on the page of the day: a line for what is due, the tap that writes it down, else nothing at all."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from app.conftest import PHONE, Look
from app.serving import Served, until

pytestmark = pytest.mark.browser

TREE, NAME = "T09", "Corkwing"  # dries in about a day by its own measured days
TARGET_PX = 44
SLOW_MS = 60_000  # until the worker has told the yard anew


@pytest.fixture
def summer(ready_yard: Path, tmp_path: Path, started: list[Served]) -> Served:
    """The demo yard in July."""
    folder = tmp_path / "yard"
    shutil.copytree(ready_yard, folder)
    started.append(Served(folder, "--on", "2027-07-20"))
    started[-1].wait_for_almanac()
    return started[-1]


def due(served: Served) -> set[str]:
    rows = served.get("/api/today")["water"]["rows"]
    return {each["tree"] for row in rows for each in row["trees"]}


def test_a_tap_writes_down_a_watering_and_the_line_goes(look: Look, summer: Served) -> None:
    assert TREE in due(summer)
    page = look(summer, PHONE).open("/")
    band = page.get_by_role("region", name="Water", exact=True)
    button = band.get_by_role("button", name=f"Watered: {NAME}")
    box: Any = button.bounding_box()
    assert min(box["width"], box["height"]) >= TARGET_PX
    button.tap()
    expect(button).to_have_count(0)
    entries = until(
        lambda: summer.get(f"/api/trees/{TREE}/entries?kind=watered&limit=3")["entries"], "the watering"
    )
    assert entries[0]["on"]["latest"] == "2027-07-20"
    summer.wait_for_almanac()
    assert TREE not in due(summer)
    expect(band.get_by_role("link", name=NAME)).to_have_count(0, timeout=SLOW_MS)


def test_in_march_the_page_says_nothing_of_watering(look: Look, read_only: Served) -> None:
    assert due(read_only) == set()
    page = look(read_only, PHONE).open("/")
    expect(page.get_by_role("button", name="Watered")).to_have_count(0)
