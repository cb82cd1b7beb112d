"""The review of a turn: photos chosen, measured as long work, looked over one by one, kept or thrown away."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import turn_photos
from playwright.sync_api import expect

from app.conftest import DESK, PHONE_DARK, Look
from app.fit import axe_violations, small_targets
from app.serving import Served

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

pytest.importorskip("cv2")
pytestmark = pytest.mark.browser

TREE = "T05"
WAY = "From a turn of photos"
PHOTOS = 9
SOIL = 3  # which field of the form, from 0
REFUSED = r"answered 400: .*/measure$|status of 400"  # what does not read
SLOW_MS = 120_000  # reading and measuring, with compiled code still to be made


@pytest.fixture(scope="module")
def photos(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Nine good photos and one with a hand before the lens."""
    folder = tmp_path_factory.mktemp("turn")
    found = turn_photos.round_of_photos(folder / "good", PHOTOS)
    dark = turn_photos.drawn(turn_photos.Pose(300.0)) // 40
    return [*found, turn_photos.save(folder / "z-dark.jpg", dark)]


def choose(
    page: Page, files: list[Path], *, way: str = WAY, press: str = "Choose photos", noun: str = "photos"
) -> None:
    """Open the way and hand photos over."""
    page.get_by_role("button", name=way).click()
    with page.expect_file_chooser() as choosing:
        page.get_by_text(press, exact=True).click()
    choosing.value.set_files(files)
    expect(page.get_by_role("heading", name=f"{len(files)} {noun}")).to_be_visible(timeout=SLOW_MS)


def assert_refused_at_each_field(page: Page, button: str) -> None:
    """What does not read is told beside its field and by the field's own label; the last one is left so."""
    form = page.locator("form").filter(has=page.get_by_role("button", name=button, exact=True))
    measure(page, button)
    expect(page.get_by_role("alert")).to_contain_text(label_of(form, SOIL), ignore_case=True)  # it is needed
    for number in range(form.get_by_role("textbox").count()):
        form.get_by_role("textbox").nth(SOIL).fill("4 cm")
        box = form.get_by_role("textbox").nth(number)
        box.fill("low")
        measure(page, button)
        expect(box).to_have_attribute("aria-invalid", "true")
        expect(page.get_by_role("alert")).to_have_count(1)
        expect(page.get_by_role("alert")).to_contain_text(label_of(form, number), ignore_case=True)
        expect(page.get_by_role("alert")).not_to_contain_text("--")
        box.fill("")


def label_of(form: Locator, number: int) -> str:
    return str(form.locator("label").nth(number).inner_text())


def measure(page: Page, button: str = "Measure") -> None:
    page.get_by_role("button", name=button, exact=True).click()


def stop_and_go_on(page: Page) -> None:
    """Stopped work is taken up again with what was typed, also by a page that was opened anew."""
    expect(page.get_by_role("progressbar", name="How far the measuring is")).to_be_visible()
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_text("Stopped. What was read is kept")).to_be_visible()
    page.reload()
    page.get_by_role("button", name=WAY).click()
    expect(page.get_by_role("textbox", name="Height of the soil")).to_have_value(
        f"{turn_photos.SOIL_MM:g} mm"
    )
    measure(page, "Measure again")
    expect(page.get_by_role("button", name="Stop")).to_be_visible()
    page.reload()  # the work goes on without the page
    page.get_by_role("button", name=WAY).click()
    page.get_by_role("button", name="Keep this tree").wait_for(timeout=SLOW_MS)


def look_over(page: Page) -> None:
    """Each photo has its verdict, and the measured tree lies over those that were used."""
    verdicts = page.locator(".turn ol").get_by_role("listitem")
    expect(verdicts).to_have_count(PHOTOS + 1)
    expect(verdicts.get_by_text("used", exact=True)).to_have_count(PHOTOS)
    left_out = verdicts.filter(has_text="left out: ")
    expect(left_out).to_have_count(1)
    expect(left_out).to_contain_text("z-dark")
    flanks = page.get_by_role("img", name="The flanks of the measured branches")
    expect(flanks.locator("polyline")).not_to_have_count(0)
    expect(page.get_by_role("img", name="Photo p00")).to_be_visible()
    page.get_by_role("button", name="Next photo").click()
    expect(page.get_by_text(f"2 of {PHOTOS}")).to_be_visible()
    expect(flanks.locator("polyline")).not_to_have_count(0)
    page.get_by_role("button", name="Photo alone").click()
    expect(flanks).to_have_count(0)
    assert axe_violations(page) == []


def test_a_turn_is_stopped_measured_looked_over_and_kept(look: Look, own: Served, photos: list[Path]) -> None:
    watched = look(own, DESK, bypass_csp=True)
    watched.expect(REFUSED)
    page = watched.open(f"/tree/{TREE}/shape")
    choose(page, photos)
    assert_refused_at_each_field(page, "Measure")
    for label, typed in {
        "Side of a square": f"{turn_photos.SQUARE_MM:g} mm",
        "Squares from left to right": str(turn_photos.COLUMNS),
        "Squares from back to front": str(turn_photos.ROWS),
        "Height of the soil": f"{turn_photos.SOIL_MM:g} mm",
        "Outside width of the pot": f"{turn_photos.POT_MM / 10:g}",  # in cm, as the form says
    }.items():
        page.get_by_role("textbox", name=label).fill(typed)
    measure(page)
    stop_and_go_on(page)
    look_over(page)
    page.get_by_role("button", name="Keep this tree").click()
    expect(page.get_by_role("button", name="Keep this tree")).to_have_count(0, timeout=SLOW_MS)
    shown = own.get(f"/api/trees/{TREE}/shape")["shown"]
    top_mm = max(end[2] for _start, end, *_radii in turn_photos.BRANCHES) - turn_photos.SOIL_MM
    assert shown["apex_mm"][2] == pytest.approx(top_mm, rel=0.03)
    assert list((own.folder / "turns").iterdir()) == []


def test_a_turn_on_a_german_phone_is_thrown_away(look: Look, own: Served, photos: list[Path]) -> None:
    own.ask("PATCH", "/api/settings", {"language": "de"})
    watched = look(own, PHONE_DARK, bypass_csp=True)
    watched.expect(REFUSED)
    page = watched.open(f"/tree/{TREE}/shape")
    choose(page, photos[:2], way="Aus einer Runde Fotos", press="Fotos wählen", noun="Fotos")
    assert_refused_at_each_field(page, "Messen")
    assert axe_violations(page) == []
    assert small_targets(page, 44) == []
    page.get_by_role("button", name="Verwerfen").tap()
    expect(page.get_by_role("heading", name="2 Fotos")).to_have_count(0)
    assert list((own.folder / "turns").iterdir()) == []
    page.reload()
    page.get_by_role("button", name="Aus einer Runde Fotos").tap()
    expect(page.get_by_text("Fotos wählen", exact=True)).to_be_visible()
