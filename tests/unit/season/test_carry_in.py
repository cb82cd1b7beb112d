"""Carrying in: the coldest tenth, how long roots count as cut, the ground, frost that cannot be told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from stands_of_values import DAYS, WORK, at, mild, stand
from yard_of_values import TODAY, entry, facts, forecast, work

from ringwise.operations.registry import OPERATIONS
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Place, Pot, Tree
from ringwise.season.after import after_work
from ringwise.season.carry import ALARM, CARRY, NONE, carry_in, frost_not_told, in_ground, roots_cut


@pytest.mark.parametrize(("coldest", "state"), [(0.5, NONE), (-0.5, CARRY), (-2.5, ALARM)])
def test_the_coldest_tenth_decides(coldest: float, state: str) -> None:
    core = np.full((11, DAYS), 5.0)
    core[:2, at(4)] = [-20.0, coldest]  # of eleven years the tenth percentile is the second coldest
    told = carry_in(stand(np.full((11, DAYS), 5.0), core_degC=core), WORK)
    assert told is not None
    assert (told.state, told.by_core) == (state, True)
    assert told.coldest_degC == pytest.approx(coldest)
    assert bool(told.words) is (state != NONE)


def test_bench_air_stands_in_for_an_unknown_core() -> None:
    nights = np.full((11, DAYS), -1.0)
    told = carry_in(stand(nights), WORK)
    assert told is not None
    assert (told.state, told.by_core) == (CARRY, False)
    assert "not known" in told.words
    assert carry_in(stand(nights, cut=False), WORK) is None


def test_roots_are_cut_until_they_are_seen_active() -> None:
    cut = work("repot", "2027-02-20")
    assert roots_cut(facts("acer_palmatum", cut), TODAY)
    seen = entry("stage", "2027-03-05", {"code": "RA"})
    assert not roots_cut(facts("acer_palmatum", cut, seen), TODAY)
    early = entry("stage", "2027-02-10", {"code": "RA"})
    assert roots_cut(facts("acer_palmatum", cut, early), TODAY)
    assert not roots_cut(facts("acer_palmatum", work("wire", "2027-02-20")), TODAY)


def in_autumn(on: date, *more: Entry) -> TreeFacts:
    return facts("acer_palmatum", work("repot", "2026-10-25"), *more, today=on)


def test_rest_does_not_end_the_watch_over_cut_roots() -> None:
    """Common practice: no timer runs out before the first leaf is open."""
    told = forecast("acer_palmatum", spread_days=[-10, 0, 10])  # first leaf on day 98; 9 in 10 by day 106
    wait = timedelta(days=120)
    for on in (date(2026, 10, 30), date(2027, 2, 22), date(2027, 2, 23), date(2027, 4, 20)):
        assert roots_cut(in_autumn(on), on, told), on
    by = date(2027, 4, 16)
    assert roots_cut(in_autumn(by + wait), by + wait, told)
    assert not roots_cut(in_autumn(by + wait + timedelta(days=1)), by + wait + timedelta(days=1), told)
    seen = entry("stage", "2027-04-01", {"code": "11"})  # what was seen goes before what was expected
    on = date(2027, 4, 1) + wait
    assert roots_cut(in_autumn(on, seen), on, told)
    on += timedelta(days=1)
    assert roots_cut(in_autumn(on), on, told)
    assert not roots_cut(in_autumn(on, seen), on, told)


def test_without_a_forecast_the_watch_is_counted_from_the_warm_part_of_the_year() -> None:
    """Day 60 of the count is 1 March in the north and 29 August in the south; 120 days follow."""
    assert roots_cut(in_autumn(date(2027, 6, 29)), date(2027, 6, 29))
    assert not roots_cut(in_autumn(date(2027, 6, 30)), date(2027, 6, 30))
    down = facts("acer_palmatum", work("repot", "2027-04-25"), today=date(2027, 12, 28))
    assert roots_cut(down, date(2027, 12, 27), south=True)
    assert not roots_cut(down, date(2027, 12, 28), south=True)


def test_a_cut_in_leaf_is_counted_from_the_cut_and_over_before_the_next_rest() -> None:
    told = forecast("acer_palmatum")
    cut = work("repot", "2027-06-10")
    for on, still in ((date(2027, 10, 8), True), (date(2027, 10, 9), False), (date(2027, 12, 1), False)):
        assert roots_cut(facts("acer_palmatum", cut, today=on), on, told) is still
    late = facts("acer_palmatum", work("repot", "2027-08-10"), today=date(2027, 12, 20))
    assert roots_cut(late, date(2027, 12, 20), told)  # 120 days later it rests


def standing(kind: str, *entries: Entry, since: str = "2020", pots: tuple[Pot, ...] = ()) -> TreeFacts:
    place = Place("L1", "T01", "Row", kind, parse_fuzzy_date(since, field="since"))
    made = Tree("T01", "Maple", "acer_palmatum")
    return tree_facts(made, entries=entries, pots=pots, places=(place,), on=TODAY)


def test_a_tree_in_the_ground_is_known_by_pot_place_or_work() -> None:
    ground = Pot("P1", "ground", None, None, None, tree="T01")
    tray = Pot("P2", "oval", 300, 220, 60, tree="T01")
    repot, lift, root = OPERATIONS["repot"], OPERATIONS["lift"], OPERATIONS["root_prune_in_ground"]
    assert in_ground(facts("acer_palmatum", pots=[ground]))
    assert in_ground(standing("ground"))
    assert not in_ground(standing("bench"))
    assert in_ground(standing("bench"), stated="ground")
    assert not in_ground(facts("acer_palmatum", pots=[tray]))
    cut = work("root_prune_in_ground", "2026-03-10")
    assert in_ground(facts("acer_palmatum", cut))
    assert not in_ground(facts("acer_palmatum", cut, pots=[tray]), repot)
    assert in_ground(facts("acer_palmatum"), root)
    # Lifted, it goes into a pot, whatever its place says since before.
    lifted = work("lift", "2027-03-01")
    assert not in_ground(standing("ground"), lift)
    assert not in_ground(standing("ground", cut, lifted))
    assert not in_ground(facts("acer_palmatum", cut, lifted))
    assert in_ground(standing("ground", lifted, since="2027-03-05"))


def test_an_unknown_core_leaves_the_bench_air_to_tell() -> None:
    nights = np.full((11, DAYS), -1.0)
    where = stand(nights, core_degC=np.full((11, DAYS), np.nan))
    told = carry_in(where, WORK)
    assert told is not None
    assert (told.state, told.by_core, told.lag) == (CARRY, False, None)
    assert "not known" in told.words


def test_frost_that_cannot_be_told_is_said() -> None:
    unknown = stand(np.full((4, DAYS), np.nan))
    assert carry_in(unknown, WORK) is None
    assert frost_not_told(unknown, WORK) == "frost on cut roots cannot be told: no daily minima"
    assert frost_not_told(replace(unknown, cut=False), WORK) == ""
    assert frost_not_told(stand(mild()), WORK) == ""
    assert frost_not_told(unknown, unknown.weather.last) == ""  # beyond the weather years
    after = after_work(unknown, WORK, OPERATIONS["repot"], near=True)
    assert after.carry_words == frost_not_told(unknown, WORK)
