"""The season line at its narrowest and widest: names lie apart, bands are drawn, numbers told."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from app.conftest import Device, Look
from app.fit import overlaps
from app.serving import Served

pytestmark = pytest.mark.browser

SMALL = Device("small", 360, 740, "light", True)
LARGE = Device("large", 1600, 1000, "dark", False)
TREES = ("T01", "T21", "T38")


@pytest.mark.parametrize("device", [SMALL, LARGE], ids=lambda device: device.name)
def test_the_season_is_drawn_and_told(look: Look, read_only: Served, device: Device) -> None:
    watched = look(read_only, device)
    for tree in TREES:
        told = read_only.get(f"/api/trees/{tree}/season")
        page = watched.open(f"/tree/{tree}")
        season = page.get_by_role("region", name="This growing year")
        line = season.get_by_role("img", name=told["sentence"])
        expect(line).to_be_visible()
        count, found = overlaps(line)
        assert count >= 13  # twelve months and today
        assert found == [], tree
        for work in told["works"]:
            row = season.get_by_role("listitem").filter(has_text=work["sentence"])
            expect(row).to_contain_text(work["operation_words"])
            if work["chance_by_day"] and not work["beyond"]:
                expect(row.locator("path.stroke")).not_to_have_count(0)
        season.locator("summary").focus()
        page.keyboard.press("Enter")
        for stage in told["stages"]:
            expect(season.get_by_role("row").filter(has_text=stage["words"]).first).to_be_visible()

    page.emulate_media(media="print")
    expect(line).to_be_visible()
    box = line.bounding_box()
    assert box is not None
    assert box["width"] > 300
