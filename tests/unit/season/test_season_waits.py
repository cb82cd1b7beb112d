"""Whether a wait is kept by dates, growing years and timing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from yard_of_values import TODAY, facts, planned, work

from ringwise.operations.gaps import parse_gap
from ringwise.season.jobs import Job, jobs_of
from ringwise.season.waits import certainly_before, kept


def pair(first: str, second: str, operations: tuple[str, str] = ("repot", "wire")) -> list[Job]:
    tree = facts("acer_palmatum", planned(operations[0], first), planned(operations[1], second))
    found = jobs_of(tree, today=TODAY)
    return sorted(found, key=lambda job: operations.index(job.operation.key))


@pytest.mark.parametrize(
    ("gap", "first", "second", "is_kept"),
    [
        ("0", "2027-03-10", "2027-03-10", True),
        ("-", "2027-03-10", "2027-03-10", True),
        ("4w", "2027-03-10", "2027-04-06", False),
        ("4w", "2027-03-10", "2027-04-07", True),
        ("4w", "2027-03-10", "unknown", False),
        ("4w", "March 2027", "2027-04-20", False),
        ("4w", "March 2027", "2027-04-28", True),
        ("N", "2027-03-10", "2027-10-20", False),
        ("N", "2027-03-10", "2027-11-20", True),
        ("2N", "2027-03-10", "2028-03-10", False),
        ("2N", "2027-03-10", "2029-03-10", True),
        ("H", "2027-03-10", "2027-04-20", False),
        ("H", "2027-03-10", "2027-05-10", True),
        ("8w&roots", "2027-05-20", "2027-06-20", False),
        ("until_11", "2027-06-01", "2027-07-06", True),
    ],
)
def test_kept(gap: str, first: str, second: str, is_kept: bool) -> None:
    earlier, later = pair(first, second)
    assert kept(parse_gap(gap), earlier, later) is is_kept


def test_wait_for_hard_leaves_is_kept_by_work_that_waits_for_them_itself() -> None:
    earlier, later = pair("2027-03-10", "unknown", ("repot", "full_defoliation"))
    assert kept(parse_gap("H"), earlier, later, species="acer_palmatum")
    assert not kept(parse_gap("H"), later, later, species="acer_palmatum")


def test_dates_that_overlap_settle_no_order() -> None:
    earlier, later = pair("March 2027", "2027-03-20")
    assert not certainly_before(earlier, later)
    assert not certainly_before(later, earlier)
    done = jobs_of(facts("acer_palmatum", work("chop", "2027-03-01")), today=TODAY)[0]
    assert certainly_before(done, earlier)


def test_jobs_reach_back_two_growing_years_and_take_undated_plans_for_this_one() -> None:
    tree = facts(
        "acer_palmatum",
        work("repot", "2024-03-10"),
        work("repot", "2025-03-10"),
        work("repot", "unknown"),
        planned("chop", "unknown"),
    )
    found = jobs_of(tree, today=TODAY)
    assert [(job.operation.key, job.year_label) for job in found] == [("repot", 2025), ("chop", 2027)]


def test_plan_that_was_carried_out_or_is_past_is_no_plan_any_more() -> None:
    repot = work("repot", "2027-03-02", root_removed_frac=0.4)
    tree = facts("acer_palmatum", planned("repot", root_removed_frac=0.4), repot)
    assert [job.done for job in jobs_of(tree, today=TODAY)] == [True]
    stale = facts("acer_palmatum", planned("chop", "2026-03-20"), planned("repot"))
    assert [job.operation.key for job in jobs_of(stale, today=TODAY)] == ["repot"]


def test_a_second_plan_made_after_the_work_stays_a_plan() -> None:
    done = work("repot", "2027-03-02", root_removed_frac=0.4)
    again = replace(planned("repot"), recorded_at=datetime(2027, 3, 5, 9, 0, tzinfo=UTC))
    assert [job.done for job in jobs_of(facts("acer_palmatum", again, done), today=TODAY)] == [True, False]
    before = replace(planned("repot"), recorded_at=datetime(2027, 2, 5, 9, 0, tzinfo=UTC))
    assert [job.done for job in jobs_of(facts("acer_palmatum", before, done), today=TODAY)] == [True]


def test_one_work_fulfils_one_plan_of_several() -> None:
    plans = (planned("cut_back", "2027-06-01"), planned("cut_back", "2027-07-10"))
    tree = facts("acer_palmatum", *plans, work("cut_back", "2027-03-01"))
    assert [job.done for job in jobs_of(tree, today=TODAY)] == [True, False]


def test_unwritten_amount_is_never_taken_as_none() -> None:
    job = jobs_of(facts("acer_palmatum", planned("repot")), today=TODAY)[0]
    assert job.root_removed_frac is None
    assert job.heavy_roots
    assert job.words == "repot (20 Mar 2027)"
