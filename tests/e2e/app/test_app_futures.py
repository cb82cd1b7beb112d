"""The room Futures: reached from the dial, one scrubber for all courses, own courses, a decision; offline."""

from __future__ import annotations

import pytest
from kept_turning import RESULT, keep_a_result
from playwright.sync_api import expect

from app.conftest import DESK, PHONE, Look
from app.serving import Served
from ringwise.desk.living import LivingYard

pytestmark = pytest.mark.browser


def with_a_result(server: Served) -> Served:
    """A run of two courses is kept, as the worker would leave it."""
    with LivingYard(server.folder) as yard:
        keep_a_result(yard.workspace(), "T01", RESULT)
    return server


def test_one_scrubber_moves_all_courses(look: Look, own: Served) -> None:
    page = look(with_a_result(own), DESK).open("/tree/T01")
    page.get_by_role("link", name="Open its futures").click()
    page.wait_for_url("**/tree/T01/futures")
    expect(page.get_by_role("article")).to_have_count(2)
    scrubber = page.get_by_role("slider", name="Year shown")
    expect(scrubber).to_have_attribute("aria-valuetext", "after 10 years")
    base = page.get_by_role("article", name="A Accept the base")
    expect(base.get_by_role("img", name="One possible future, number 7")).to_be_visible()
    expect(base).to_contain_text("The tree is lost in about 1 in 20 (10 of 200 futures).")
    base.get_by_role("button", name="Show future 8").click()  # lost in its tenth year
    expect(base.get_by_role("img", name="One possible future, number 8")).to_have_accessible_name(
        "Accept the base, after 10 years. One possible future, number 8. lost by then"
    )
    scrubber.focus()
    page.keyboard.press("ArrowLeft")
    for article in page.get_by_role("article").all():
        expect(article.get_by_role("img", name="after 5 years")).to_be_visible()
    expect(page.get_by_text("B thicker than A: likely, about 6 in 10")).to_be_visible()
    page.get_by_role("button", name="Course B, now: show it large").click()
    expect(scrubber).to_have_attribute("aria-valuetext", "now")


def test_a_decision_is_kept_with_its_why(look: Look, own: Served) -> None:
    page = look(with_a_result(own), PHONE).open("/tree/T01/futures")
    page.get_by_text("A Accept the base", exact=True).last.click()
    page.get_by_label("Why").fill("The flare is even enough.")
    page.get_by_label("Look at it again on").fill("2028-03-01")
    page.get_by_role("button", name="Store the decision").click()
    expect(page.get_by_role("heading", name="Decided")).to_be_visible()
    page.reload()
    expect(page.get_by_text("The flare is even enough.")).to_be_visible()
    expect(page.get_by_text("To be looked at again on 1 Mar 2028")).to_be_visible()
    decision = own.get("/api/trees/T01/turning")["decision"]
    assert (decision["key"], decision["review_on"]) == ("accept", "2028-03-01")


def test_a_course_written_without_the_server_is_sent_later(look: Look, own: Served) -> None:
    watched = look(own, DESK)
    watched.expected += ["Failed to load resource", "request failed", "ERR_"]
    page = watched.open("/tree/T01/futures")
    page.get_by_role("button", name="Write a course of your own").click()
    form = page.get_by_role("dialog")
    form.get_by_label("Name").fill("Wait a year")
    port = own.port
    own.stop()
    form.get_by_label("Work").select_option("rest")
    form.get_by_role("button", name="Store the course").click()
    expect(page.get_by_text("only on this device")).to_be_visible()
    own.start(port)
    expect(page.get_by_text("Wait a year", exact=True).first).to_be_visible(timeout=60_000)


def test_the_room_speaks_german(look: Look, own: Served) -> None:
    page = look(with_a_result(own), DESK, locale="de-DE").open("/tree/T01/futures")
    expect(page.get_by_role("heading", name="Zukunft von Hollow Lane")).to_be_visible()
    expect(page.get_by_role("slider", name="Gezeigtes Jahr")).to_be_visible()
