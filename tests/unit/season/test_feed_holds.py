"""Who gets no feed: the weak, and those cut at the root until something was seen."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace as Some
from typing import Any

import pytest

from ringwise.operations.registry import operation
from ringwise.records.dates import exact_day
from ringwise.records.model import Entry
from ringwise.records.taxa import taxon
from ringwise.season.blockers import blockers
from ringwise.season.feeding import feed_holds

REPOTTED = date(2027, 3, 14)


def a_tree(*seen: Entry, kind: str = "acer_palmatum", vigour: int | None = 4, work: str = "repot") -> Any:
    """A tree on which a work was done in spring, with what was seen after."""
    done = Entry("e1", "T01", "work", exact_day(REPOTTED), {"operation": work, "root_removed_frac": 0.4})
    return Some(taxon=taxon(kind), vigour=vigour, works=(done,), planned=(), entries=(done, *seen))


def stage(code: str, on: date, extent: str = "most") -> Entry:
    return Entry(f"s{code}", "T01", "stage", exact_day(on), {"code": code, "extent": extent})


def holds(tree: Any, on: date) -> tuple[str, ...]:
    return tuple(hold.until for hold in feed_holds(tree, today=on))


def test_both_the_weeks_and_the_leaves_must_be_there() -> None:
    early = holds(a_tree(), REPOTTED + timedelta(days=20))
    assert early == ("4 weeks have passed and most leaves are hard (log stage H1)",)
    late = holds(a_tree(), REPOTTED + timedelta(days=70))
    assert late == ("most leaves are hard (log stage H1)",)


def test_a_date_alone_never_lets_it_back() -> None:
    assert holds(a_tree(), REPOTTED + timedelta(days=300))


def test_hard_leaves_before_the_weeks_do_not_release() -> None:
    seen = stage("H1", REPOTTED + timedelta(days=10))
    assert holds(a_tree(seen), REPOTTED + timedelta(days=20)) == ("4 weeks have passed",)


def test_most_leaves_count_and_the_first_do_not() -> None:
    on = REPOTTED + timedelta(days=60)
    assert holds(a_tree(stage("H1", on, "first")), on)
    assert holds(a_tree(stage("H1", on)), on) == ()


def test_leaves_of_the_year_before_do_not_count() -> None:
    before = stage("H1", REPOTTED - timedelta(days=250))
    assert holds(a_tree(before), REPOTTED + timedelta(days=60))


@pytest.mark.parametrize("kind", ["pinus_thunbergii", "juniperus_chinensis"])
def test_a_conifer_waits_for_roots_and_growth(kind: str) -> None:
    on = REPOTTED + timedelta(days=90)
    assert holds(a_tree(stage("H1", on), kind=kind), on) == ("active roots are logged",)
    assert holds(a_tree(stage("RA", on), kind=kind), on) == ("growth extends or hardens",)
    assert holds(a_tree(stage("RA", on), stage("15", on), kind=kind), on) == ()


def test_a_weak_tree_gets_none_whatever_was_seen() -> None:
    on = REPOTTED + timedelta(days=60)
    assert holds(a_tree(stage("H1", on), vigour=2), on) == ("vigour 3 is logged",)
    assert holds(a_tree(stage("H1", on), vigour=None), on) == ()


def test_new_leaves_after_a_full_defoliation() -> None:
    tree = a_tree(work="full_defoliation")
    assert holds(tree, REPOTTED + timedelta(days=5)) == ("new leaves are open (log stage 11)",)


def test_work_on_the_day_itself_and_work_ahead() -> None:
    assert holds(a_tree(), REPOTTED)
    assert holds(a_tree(), REPOTTED - timedelta(days=1)) == ()


def test_the_window_of_feeding_says_what_holds_it() -> None:
    tree = a_tree()
    tree.tree, tree.pot = Some(size_class="M", quarantine_until=None), None
    on = REPOTTED + timedelta(days=70)
    told = blockers(operation("feed"), tree, today=on, opens=None)
    assert told == ("after heavy repot (14 Mar 2027); again when most leaves are hard (log stage H1)",)
    assert blockers(operation("pinch"), tree, today=on, opens=None) == ()
    tree.vigour = 2
    assert blockers(operation("feed"), tree, today=on, opens=None)[0] == "weak: vigour 2, needs 3"
