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
    page.get_by_role("group", name="Course").get_by_text("A Accept the base", exact=True).click()
    page.get_by_label("Why").fill("The flare is even enough.")
    page.get_by_label("Look at it again on").fill("2028-03-01")
    page.get_by_role("button", name="Store the decision").click()
    expect(page.get_by_role("heading", name="Decided")).to_be_visible()
    page.reload()
    expect(page.get_by_text("The flare is even enough.")).to_be_visible()
    expect(page.get_by_text("To be looked at again on 1 Mar 2028")).to_be_visible()
    decision = own.get("/api/trees/T01/turning")["decision"]
    assert (decision["key"], decision["review_on"]) == ("accept", "2028-03-01")


def test_a_decision_answers_its_question_on_today(look: Look, own: Served) -> None:
    page = look(with_a_result(own), PHONE).open("/")
    question = "open question: What to do about the one-sided base"
    expect(page.get_by_text(question)).to_be_visible()
    page.get_by_role("listitem").filter(has_text=question).get_by_role("link", name="Hollow Lane").click()
    page.wait_for_url("**/tree/T01/futures")
    page.get_by_role("group", name="Course").get_by_text("A Accept the base", exact=True).click()
    page.get_by_label("Look at it again on").fill("2027-03-07")  # today: at once it is to be looked at
    page.get_by_role("button", name="Store the decision").click()
    expect(page.get_by_text("It is time to look at this decision again")).to_be_visible()
    own.wait_for_almanac()
    page.get_by_role("link", name="Today").first.click()
    expect(page.get_by_text("look again at what was decided: Accept the base")).to_be_visible()
    expect(page.get_by_text(question)).to_have_count(0)


def test_a_mistake_in_a_course_stands_at_its_field(look: Look, own: Served) -> None:
    watched = look(own, PHONE)
    page = watched.open("/tree/T01/futures")
    page.get_by_role("button", name="Write a course of your own").click()
    form = page.get_by_role("dialog")
    form.get_by_label("Name", exact=True).fill("Two steps")
    form.get_by_role("button", name="Add a step").click()
    first, second = (form.get_by_role("group", name=f"Step {n}") for n in (1, 2))
    years = second.get_by_label("After how many years")
    years.fill("soon")
    expect(second.get_by_text("is no whole number").first).to_be_visible()
    expect(years).to_have_attribute("aria-invalid", "true")
    expect(years).to_have_accessible_description("is no whole number")
    expect(first.locator("[aria-invalid]")).to_have_count(0)
    watched.fits()
    form.get_by_role("button", name="Store the course").click()
    expect(years).to_be_focused()  # nothing was sent: the first mistake is shown instead
    years.fill("2")
    expect(form.locator("[aria-invalid]")).to_have_count(0)
    form.get_by_role("button", name="Store the course").click()
    expect(form).to_have_count(0)
    expect(page.get_by_text("Two steps", exact=True).first).to_be_visible()


def test_aims_are_changed_and_a_mistake_stands_at_its_measure(look: Look, own: Served) -> None:
    watched = look(with_a_result(own), PHONE)
    watched.expect("400")
    page = watched.open("/tree/T01/futures")
    expect(page.get_by_text("What would change the answer")).to_be_visible()
    expect(page.get_by_text("chance that a ring roots: below 4 in 10 B, above it A")).to_be_visible()
    page.get_by_role("button", name="Change what is aimed at").click()
    form = page.get_by_role("dialog")
    form.get_by_label("Ready-made set").select_option("fine")
    height = form.get_by_role("group", name="Height", exact=True)
    height.get_by_label("To").fill("tall")
    form.get_by_role("button", name="Store the aims").click()
    expect(height.get_by_role("alert")).to_contain_text("tall")
    expect(height.get_by_label("From")).to_be_focused()
    height.get_by_label("To").fill("25 cm")
    height.get_by_label("Weight").fill("4")
    expect(height).to_contain_text("27% of all that counts")
    form.get_by_role("button", name="Store the aims").click()
    expect(form).to_have_count(0)
    expect(page.get_by_text("Your aims have changed since")).to_be_visible()
    aims = own.get("/api/trees/T01/turning")["aims"]
    (kept,) = [wish for wish in aims["wishes"] if wish["measure"] == "height_mm"]
    assert (aims["own"], kept["weight"], kept["high"]) == (True, "4", "25 cm")


def test_a_course_written_without_the_server_is_sent_later(look: Look, own: Served) -> None:
    watched = look(own, DESK)
    watched.expected += ["Failed to load resource", "request failed", "ERR_"]
    page = watched.open("/tree/T01/futures")
    page.get_by_role("button", name="Write a course of your own").click()
    form = page.get_by_role("dialog")
    form.get_by_label("Name").fill("Wait a year")
    port = own.port
    own.stop()
    form.get_by_label("Work", exact=True).select_option("rest")
    form.get_by_role("button", name="Store the course").click()
    expect(page.get_by_text("only on this device")).to_be_visible()
    own.start(port)
    expect(page.get_by_text("Wait a year", exact=True).first).to_be_visible(timeout=60_000)


def test_the_room_speaks_german(look: Look, own: Served) -> None:
    page = look(with_a_result(own), DESK, locale="de-DE").open("/tree/T01/futures")
    expect(page.get_by_role("heading", name="Zukunft von Hollow Lane")).to_be_visible()
    expect(page.get_by_role("slider", name="Gezeigtes Jahr")).to_be_visible()
