"""Logging on a tree, and what follows: a window that moves, a photo in its strip, a corrected entry."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from app.conftest import PHONE, Look
from app.serving import Served, until

pytestmark = pytest.mark.browser

SLOW_MS = 60_000  # until the worker has made windows and dates anew
TREE = "T28"  # its buds are about to open on the demo yard's day, and its repotting hangs on them


def repot_window(served: Served) -> dict[str, Any]:
    """As the server tells it."""
    windows = served.get(f"/api/trees/{TREE}")["windows"]
    found: dict[str, Any] = next(each for each in windows if each["operation"] == "repot")
    return found


def window_on_screen(page: Page, sentence: str) -> Any:
    """The window's sentence, a number that opens its why."""
    return page.get_by_role("main").get_by_role("button", name=sentence).first


def test_a_stage_in_two_taps_moves_a_window_and_taking_it_back_brings_it_back(
    look: Look, own: Served
) -> None:
    watched = look(own, PHONE)
    page = watched.open(f"/tree/{TREE}")
    before = repot_window(own)
    expect(window_on_screen(page, before["sentence"])).to_be_visible()
    stamp = own.get("/api/head")["stamp"]

    page.get_by_role("main").get_by_role("button", name="Log", exact=True).first.tap()
    page.get_by_role("dialog").get_by_role("button", name=re.compile("^first green just shows")).tap()
    notice = page.get_by_role("button", name="Take back").filter(visible=True)
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert own.get("/api/head")["stamp"] == stamp + 1

    own.wait_for_almanac()
    after = repot_window(own)
    assert (after["opens"], after["closes"]) != (before["opens"], before["closes"])
    assert after["sentence"] != before["sentence"]
    # nobody loads the page again: the news of the almanac brings it
    expect(window_on_screen(page, after["sentence"])).to_be_visible(timeout=SLOW_MS)
    expect(window_on_screen(page, before["sentence"])).to_have_count(0)

    notice.first.tap()
    expect(window_on_screen(page, before["sentence"])).to_be_visible(timeout=SLOW_MS)
    assert repot_window(own) == before


def jpeg_taken(day: str) -> bytes:
    """A small photo with the day that a camera wrote into it (Exif 0x9003, DateTimeOriginal)."""
    picture = Image.new("RGB", (480, 640), (122, 140, 96))
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = f"{day.replace('-', ':')} 09:30:00"
    held = io.BytesIO()
    picture.save(held, "JPEG", exif=exif)
    return held.getvalue()


def test_a_photo_stands_in_the_strip_on_the_day_of_its_camera(look: Look, own: Served) -> None:
    watched = look(own, PHONE)
    page = watched.open(f"/tree/{TREE}?log=photo")
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("The photo").set_input_files(
        {"name": "IMG_1.jpg", "mimeType": "image/jpeg", "buffer": jpeg_taken("2027-02-14")}
    )
    sheet.get_by_role("button", name="Store").tap()
    expect(sheet).to_have_count(0)
    photos = own.get(f"/api/trees/{TREE}/photos")["strips"][0]["photos"]
    assert [photo["on"]["earliest"] for photo in photos] == ["2027-02-14"]
    page.get_by_role("heading", name="Photos", exact=True).scroll_into_view_if_needed()
    picture = page.get_by_role("main").get_by_role("img", name=re.compile("14 Feb 2027")).first
    picture.scroll_into_view_if_needed()
    until(lambda: picture.evaluate("e => e.complete && e.naturalWidth > 0"), "the small picture")


def test_a_long_strip_scrolls_within_itself(look: Look, own: Served) -> None:
    for year in range(2022, 2027):
        path = f"/api/trees/{TREE}/photos?view=front&date={year}-11-14&name=front.jpg"
        own.send_photo(path, jpeg_taken(f"{year}-11-14"))
    watched = look(own, PHONE)
    page = watched.open(f"/tree/{TREE}")
    page.get_by_role("heading", name="Photos", exact=True).scroll_into_view_if_needed()
    pictures = page.get_by_role("main").get_by_role("img", name=re.compile("14 Nov 202"))
    expect(pictures).to_have_count(5)
    pictures.last.scroll_into_view_if_needed()
    watched.fits()


def log_note(served: Served, words: str) -> str:
    """Past the browser; the entry's id."""
    done = served.ask("POST", f"/api/trees/{TREE}/entries", {"what": "note", "value": words})
    return str(done["id"])


def test_a_corrected_entry_keeps_both_wordings(look: Look, own: Served) -> None:
    entry = log_note(own, "Wire bites on the left")
    watched = look(own)
    page = watched.open(f"/tree/{TREE}?entry={entry}")
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="Edit").click()
    sheet.get_by_label("Note", exact=True).first.fill("Wire bites on the right")
    sheet.get_by_role("button", name="Store the change").click()
    sheet.get_by_role("button", name="History").click()
    expect(sheet.get_by_role("listitem")).to_have_count(2)
    expect(sheet.get_by_role("listitem").nth(0)).to_contain_text("Wire bites on the right")
    expect(sheet.get_by_role("listitem").nth(1)).to_contain_text("Wire bites on the left")


def test_a_correction_over_a_newer_one_is_told_and_nothing_is_lost(look: Look, own: Served) -> None:
    entry = log_note(own, "First words")
    watched = look(own)
    watched.expect("409")  # the refusal is what this test is about
    page = watched.open(f"/tree/{TREE}?entry={entry}")
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="Edit").click()
    sheet.get_by_label("Note", exact=True).first.fill("My words")
    given = own.get(f"/api/entries/{entry}")
    change = {"what": "note", "value": "Words of another", "date": given["on"]["typed"], "revision": 1}
    own.ask("PATCH", f"/api/entries/{entry}", change)
    sheet.get_by_role("button", name="Store the change").click()
    told = sheet.get_by_role("alert")
    expect(told).to_contain_text("Changed meanwhile")
    expect(told).to_contain_text("Words of another")
    assert own.get(f"/api/entries/{entry}")["note"] == "Words of another"
    expect(sheet.get_by_label("Note", exact=True).first).to_have_value("My words")


def test_a_refused_value_is_told_beside_the_form_and_nothing_is_stored(look: Look, own: Served) -> None:
    watched = look(own, PHONE)
    watched.expect("400")
    page = watched.open(f"/tree/{TREE}?log=girth")
    stamp = own.get("/api/head")["stamp"]
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("textbox", name="Girth").fill("9000 cm")
    sheet.get_by_role("button", name="Store").tap()
    expect(sheet.get_by_role("alert").first).to_contain_text(re.compile("girth", re.IGNORECASE))
    expect(sheet.get_by_role("textbox", name="Girth")).to_have_value("9000 cm")
    assert own.get("/api/head")["stamp"] == stamp


def test_while_the_server_is_away_an_entry_waits_in_sight_and_is_then_sent_once(
    look: Look, own: Served
) -> None:
    watched = look(own, PHONE)
    watched.expect(
        "ERR_CONNECTION_REFUSED|ERR_INCOMPLETE_CHUNKED_ENCODING|ERR_EMPTY_RESPONSE|ERR_CONNECTION_RESET"
    )
    page = watched.open(f"/tree/{TREE}?log=note")
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Note", exact=True).first.fill("Written while nobody listened")
    port = own.port
    own.stop()
    sheet.get_by_role("button", name="Store").tap()
    expect(page.get_by_text("One entry only on this device")).to_be_visible(timeout=SLOW_MS)
    page.get_by_text("One entry only on this device").tap()
    expect(page.get_by_text("Written while nobody listened").filter(visible=True).first).to_be_visible()
    page.get_by_text("One entry only on this device").tap()

    own.start(port)
    expect(page.get_by_text("One entry only on this device")).to_have_count(0, timeout=SLOW_MS)
    page.reload()  # what was sent stays sent, and is not sent again
    watched.settled()
    entries = own.get(f"/api/trees/{TREE}/entries")["entries"]
    assert sum(entry["note"] == "Written while nobody listened" for entry in entries) == 1
    expect(page.get_by_text("One entry only on this device")).to_have_count(0)


def test_two_tabs_show_the_same_without_being_loaded_again(look: Look, own: Served) -> None:
    one = look(own)
    other = look(own, beside=one)
    one.open(f"/tree/{TREE}?log=note")
    other.open(f"/tree/{TREE}")
    sheet = one.page.get_by_role("dialog")
    sheet.get_by_label("Note", exact=True).first.fill("Seen from two places")
    sheet.get_by_role("button", name="Store").click()
    there = other.page.get_by_role("main").get_by_text("Seen from two places").filter(visible=True)
    expect(there.first).to_be_visible()
    own.ask("POST", "/api/undo", {})
    for watched in (one, other):
        expect(watched.page.get_by_role("main").get_by_text("Seen from two places")).to_have_count(0)
