"""The turning's desk: what is old when something changed, what waits for a decision, which lane does what."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from living_yards import small_yard

from ringwise.desk.aims import AimsWish, aims_answer
from ringwise.desk.almanac_making import almanac_mark, tree_mark
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.living import LivingYard
from ringwise.desk.long_work import OFFERS, Wanted, is_short, job_id, put_in_book
from ringwise.desk.own_courses import faults_of, own_course_data
from ringwise.desk.turning_kept import TurningWish
from ringwise.desk.turning_room import turning_room
from ringwise.desk.turning_weighed import weighed_told
from ringwise.desk.worker import Worker
from ringwise.futures.weighed_view import CourseMet, PairMet, WeighedView, WishMet
from ringwise.kit.errors import FileFormatError, NotFoundError
from ringwise.kit.ranged import Ranged
from ringwise.kit.reading import Reading


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[LivingYard]:
    """The small yard, open; nothing is begun in its worker here."""
    with LivingYard(small_yard(tmp_path / "yard")) as found:
        yield found


def test_a_decision_answers_the_question_and_changes_today_but_no_future(yard: LivingYard) -> None:
    log_entry(yard.workspace(), "T1", Given("question", "Which leader"))
    asked = yard.workspace().facts_of("T1")
    assert [entry.data["title"] for entry in asked.open_questions] == ["Which leader"]
    log_entry(yard.workspace(), "T1", Given("decision", "accept", review="2030-01-01"))
    facts = yard.workspace().facts_of("T1")
    assert facts.open_questions == ()
    assert facts.question is not None  # the room still says what it was about
    assert tree_mark(facts) == tree_mark(asked)
    assert almanac_mark(facts) != almanac_mark(asked)


def test_other_aims_are_another_run_of_the_same_lives(yard: LivingYard) -> None:
    run = Wanted("futures", "T1", TurningWish(("accept",), 50, 3).text())
    before, mark = job_id(yard.workspace(), run), tree_mark(yard.workspace().facts_of("T1"))
    aims_answer(yard.workspace(), AimsWish("T1", "fine"))
    assert job_id(yard.workspace(), run) != before
    assert tree_mark(yard.workspace().facts_of("T1")) == mark  # what was lived is still that of this tree


def test_what_a_page_waits_for_stands_behind_no_run(
    yard: LivingYard, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Offers take seconds and a run minutes: they have processes of their own."""
    orders: list[tuple[str, str]] = []
    worker: Worker = yard.worker
    for name, lane in worker._lanes.items():
        monkeypatch.setattr(lane, "order", _noting(orders, name))
    how = Reading("en", "metric")
    worker.start_job("futures", "T1", how, TurningWish(("accept",), 50, 3).text())
    worker.start_job(OFFERS, "T1", how)
    assert [lane for lane, _id in orders] == ["futures", "offers"]
    assert [is_short(id_) for _lane, id_ in orders] == [False, True]
    assert not put_in_book(yard.workspace(), OFFERS, "T1").ended


def _noting(orders: list[tuple[str, str]], name: str) -> object:
    from concurrent.futures import Future

    def order(task: dict[str, str]) -> Future[object]:
        orders.append((name, task["id"]))
        return Future()

    return order


def test_the_room_offers_its_aims_and_says_that_nothing_is_open(yard: LivingYard) -> None:
    room = turning_room(yard.workspace(), "T2")  # it lacks a height: no course is found out for it
    assert (room["is_open"], room["offers_state"]) == (False, "none")
    assert room["aims"]["revision"] == 0
    assert {each["key"] for each in room["aims"]["sets"]} >= {"meadow", "fine"}
    kept = {each["measure"] for each in room["aims"]["wishes"]}
    assert kept <= {each["key"] for each in room["aims"]["measures"]}


def test_a_check_without_a_name_is_told_at_its_name() -> None:
    bad = (
        'key = "a"\ntitle = "A"\n[[check]]\nafter_years = 1\nhalf = "summer"\nlook = "rooted"\n'
        '[[step]]\nafter_years = 0\nhalf = "spring"\noperation = "rest"\nclock = "noon"\n'
    )
    assert [(each.part, each.number, each.field) for each in faults_of(bad)] == [
        ("check", 1, "name"),
        ("step", 1, "clock"),
    ]


def weighed(*courses: CourseMet) -> WeighedView:
    """Numbers written by hand."""
    return WeighedView(
        title="a small tree",
        time_words="early, middle and late years count 1 : 2 : 2",
        today_frac=0.714,
        wishes=(WishMet("Height", "30 cm to 45 cm", 0.4, 1.0, (("A", 0.5),)),),
        courses=courses,
        pairs=(PairMet("A", "B", 0.7, "A meets more than B"),),
        turns=("below 4 in 10 B",),
        waits=("Wait 1 year",),
        knowing="Knowing adds 1%",
        verdict="A meets more.",
    )


def met(first: float, most: float, now: float) -> CourseMet:
    years = ((0, Ranged(0.7, 0.7, 0.7)), (5, Ranged(0.6, 0.5, 0.8)))
    return CourseMet("A", Ranged(0.6, 0.5, 0.7), (0.5, 0.7), years, "in 5 years", first, most, now)


def test_a_weighed_run_is_told_in_words_before_digits() -> None:
    told = weighed_told(weighed(met(0.7, 0.13, 0.041)))
    (course,) = told["courses"]
    assert course["first_words"] == "comes first under other weights: likely, about 7 in 10"
    assert course["regret_words"] == "gives up 4% of the aims by your weights, at most 13% by any others"
    assert [year["when"] for year in course["by_year"]] == ["now", "after 5 years"]
    assert (told["today_shown"], told["wishes"][0]["courses"][0]["shown"]) == ("71%", "50%")


def test_what_gives_up_nothing_says_so() -> None:
    sure, nearly = (weighed_told(weighed(met(0.97, most, 0.0)))["courses"][0] for most in (0.004, 0.05))
    assert sure["regret_words"] == "gives up nothing, whatever the weights"
    assert nearly["regret_words"].startswith("gives up nothing by your weights, at most 5%")


@pytest.mark.parametrize("value", ["9" * 5000, "[" * 3000 + "]" * 3000, "9" * 400])
def test_a_course_text_that_no_number_fits_is_one_fault(value: str) -> None:
    text = f'key = "a"\ntitle = "A"\n[[step]]\noperation = "repot"\nlitres = {value}\n'
    assert len(faults_of(text)) == 1


def test_what_is_no_course_and_no_file_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match="no course"):
        own_course_data("~nobody-of-that-name")
    latin = tmp_path / "a.toml"
    latin.write_bytes('title = "\xdc"'.encode("latin-1"))
    with pytest.raises(FileFormatError, match="UTF-8"):
        own_course_data(str(latin), files=True)
