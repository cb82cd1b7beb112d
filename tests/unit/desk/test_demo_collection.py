"""The demo yard: forty trees, their pots to the tenth of a litre, the planted conflicts, dates as typed."""

from __future__ import annotations

import math
from collections import Counter
from datetime import UTC, date, datetime

import pytest

from ringwise.desk.demo.collection import DemoCollection, demo_values
from ringwise.futures.catalogue import ready_course
from ringwise.kit.tables import load_rows
from ringwise.records.checking import checked_change
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Pot
from ringwise.records.taxa import taxon
from ringwise.structure.tape import Tape, tape_from_json

# Litres and size class as in the scenario's table of trees, typed by hand; F stands in the ground.
LITRES = {
    "T01": (6.1, "M"),
    "T02": (9.1, "L"),
    "T03": (9.4, "L"),
    "T04": (4.5, "M"),
    "T05": (9.6, "L"),
    "T06": (13.2, "L"),
    "T07": (15.8, "L"),
    "T08": (None, "F"),
    "T09": (4.2, "M"),
    "T10": (0.5, "XS"),
    "T11": (12.2, "L"),
    "T12": (4.5, "M"),
    "T13": (4.9, "M"),
    "T14": (23.2, "L"),
    "T15": (None, "F"),
    "T16": (5.2, "M"),
    "T17": (9.3, "L"),
    "T18": (7.2, "M"),
    "T19": (10.9, "L"),
    "T20": (8.8, "L"),
    "T21": (6.1, "M"),
    "T22": (None, "F"),
    "T23": (17.3, "L"),
    "T24": (8.1, "L"),
    "T25": (7.8, "M"),
    "T26": (5.9, "M"),
    "T27": (4.4, "M"),
    "T28": (9.9, "L"),
    "T29": (0.7, "S"),
    "T30": (17.7, "L"),
    "T31": (2.9, "M"),
    "T32": (22.7, "L"),
    "T33": (4.9, "M"),
    "T34": (8.8, "L"),
    "T35": (11.5, "L"),
    "T36": (11.7, "L"),
    "T37": (16.6, "L"),
    "T38": (43.3, "XL"),
    "T39": (4.2, "M"),
    "T40": (5.7, "M"),
}
_TAPER = 0.92  # the scenario's share of plan area times depth that is filled
_RIM_MM = 10.0  # and the depth it leaves out
_KG_PER_LITRE = 1.15  # its weight of wet substrate


@pytest.fixture(scope="module")
def demo() -> DemoCollection:
    return demo_values()


def _litres(pot: Pot) -> float:
    assert pot.length_mm is not None
    assert pot.width_mm is not None
    assert pot.depth_mm is not None
    share = 1.0 if pot.shape == "rectangle" else math.pi / 4.0
    return _TAPER * share * pot.length_mm * pot.width_mm * (pot.depth_mm - _RIM_MM) / 1e6


def _facts(demo: DemoCollection, tree_id: str) -> TreeFacts:
    tree = next(each for each in demo.trees if each.id == tree_id)
    return tree_facts(tree, entries=demo.entries, pots=demo.pots, places=demo.places, on=demo.today)


def _planned(demo: DemoCollection, tree_id: str) -> dict[str, Entry]:
    return {str(each.data["operation"]): each for each in _facts(demo, tree_id).planned}


def test_forty_trees_of_known_taxa(demo: DemoCollection) -> None:
    assert [tree.id for tree in demo.trees] == list(LITRES)
    assert {tree.id: tree.size_class for tree in demo.trees} == {k: size for k, (_l, size) in LITRES.items()}
    assert all(taxon(tree.species) for tree in demo.trees)
    parents = {tree.parent for tree in demo.trees if tree.parent}
    assert parents <= {tree.id for tree in demo.trees}


@pytest.mark.parametrize("tree_id", LITRES)
def test_litres_follow_from_the_inside_measures(demo: DemoCollection, tree_id: str) -> None:
    pots = [pot for pot in demo.pots if pot.tree == tree_id]
    printed = LITRES[tree_id][0]
    if printed is None:
        assert pots == []
    else:
        assert _litres(pots[0]) == pytest.approx(printed, abs=0.1)


def test_the_yards_file_repeats_those_litres_and_weighs_more_than_wet_substrate() -> None:
    for row in load_rows("ringwise.desk.demo", "trees"):
        printed = LITRES[row["id"]][0]
        assert (float(row["litres"]) if row["litres"] else None) == printed
        if printed is not None:
            extra_kg = float(row["wet_kg"]) - _KG_PER_LITRE * printed
            assert 0.0 < extra_kg < 22.0  # pot and tree: under a kilo for the smallest, a big trunk for T14


def test_mixes_for_the_season_add_up_to_the_scenarios_table(demo: DemoCollection) -> None:
    """Litres of the destination pots by mix: D 111.9, V 35.6, C 44.9, W 17.3; T37 and T38 half a pot."""
    pots = {pot.id: pot for pot in demo.pots}
    litres: Counter[str] = Counter()
    for window in demo.windows:
        planned = _planned(demo, window.tree)[window.operation]
        if window.operation == "repot":
            share = 0.5 if window.tree in {"T37", "T38"} else 1.0
            litres[window.mix] += share * _litres(pots[str(planned.data["pot"])])
            assert planned.data["mix"] == window.mix
    assert litres == pytest.approx({"D": 111.9, "V": 35.6, "C": 44.9, "W": 17.3}, abs=0.15)


def test_every_value_may_be_stored(demo: DemoCollection) -> None:
    for value in demo.values:
        checked_change(value)


def test_ids_are_unique_and_the_same_every_time(demo: DemoCollection) -> None:
    for values in (demo.trees, demo.pots, demo.places, demo.mixes, demo.entries):
        ids = [value.id for value in values]
        assert len(ids) == len(set(ids))
        assert all(ids)
    assert demo_values() == demo


def test_entries_are_in_the_order_in_which_they_were_written(demo: DemoCollection) -> None:
    written = [each.recorded_at for each in demo.entries]
    known = [each for each in written if each is not None]
    assert len(known) == len(written)
    assert known == sorted(known)
    assert known[-1] <= datetime(2027, 3, 7, 23, 59, tzinfo=UTC)
    for each in demo.entries:
        if each.kind not in {"planned", "question"} and each.on.latest is not None:
            assert each.recorded_at is not None
            assert each.recorded_at.date() == each.on.latest


def test_people_are_roles(demo: DemoCollection) -> None:
    assert {each.by for each in demo.entries} == {"grower", "helper"}
    assert all(each.confirmed_by == "grower" for each in demo.entries if each.by == "helper")


def test_dates_are_kept_as_typed(demo: DemoCollection) -> None:
    mulberry = _facts(demo, "T01").last_repot
    assert mulberry is not None
    assert (mulberry.typed, mulberry.earliest, mulberry.latest) == (
        "2023-04",
        date(2023, 4, 1),
        date(2023, 4, 30),
    )
    olive = _facts(demo, "T32").last_repot
    assert olive is not None
    assert not olive.known


@pytest.mark.parametrize(
    ("tree_id", "days"),
    [
        ("T21", ["2023-03-18", "2024-03-06", "2025-03-14", "2026-03-09"]),
        ("T26", ["2023-03-27", "2024-03-15", "2025-03-22"]),
        ("T28", ["2023-03-22", "2024-03-11", "2025-03-17", "2026-03-14"]),
        ("T03", ["2023-04-04", "2024-03-24", "2025-03-30", "2026-03-27"]),
        ("T05", ["2023-04-02", "2024-03-21", "2026-03-25"]),
        ("T12", ["2023-04-06", "2024-03-27", "2025-04-01", "2026-03-29"]),
        ("T14", ["2023-04-03", "2024-03-25", "2025-03-30", "2026-03-28"]),
        ("T17", ["2023-04-16", "2024-04-10", "2025-04-13", "2026-04-24"]),
        ("T01", ["2023-04-19", "2024-04-09", "2025-04-14", "2026-04-12"]),
        ("T20", ["2023-04-17", "2024-04-09", "2025-04-13"]),
        ("T23", ["2023-04-24", "2024-04-17", "2026-04-19"]),
    ],
)
def test_first_green_tips_as_seen(demo: DemoCollection, tree_id: str, days: list[str]) -> None:
    seen = [each for each in _facts(demo, tree_id).entries if each.kind == "stage"]
    assert [each.on.typed for each in seen] == days
    assert {(each.data["code"], each.data["extent"]) for each in seen} == {("07", "first")}


def test_the_weak_beech_was_weak_when_it_was_late(demo: DemoCollection) -> None:
    facts = _facts(demo, "T17")
    assert facts.vigour == 2
    late = next(each for each in facts.entries if each.kind == "stage" and each.on.typed == "2026-04-24")
    assert late.note == "weak"
    scores = [each.data["score"] for each in facts.entries if each.kind == "vigour"]
    assert scores == [3, 3, 3, 2, 2]


def test_drains_days_dry_and_graft_pairs(demo: DemoCollection) -> None:
    assert (_facts(demo, "T17").drain_seconds, _facts(demo, "T36").drain_seconds) == (210.0, 9.0)
    assert (_facts(demo, "T10").days_to_dry, _facts(demo, "T17").days_to_dry) == (0.5, 6.0)
    assert sum(each.kind == "drain" for each in demo.entries) == 10
    assert sum(each.kind == "days_dry" for each in demo.entries) == 10
    pairs = [(e.data["before_mm"], e.data["after_mm"]) for e in demo.entries if e.kind == "graft_check"]
    assert pairs == [(5.1, 5.0), (5.6, 5.4), (6.0, 5.7), (6.3, 5.9)]


def test_planted_conflicts_are_in_the_plan(demo: DemoCollection) -> None:
    """The nine of the scenario, each as the two events that collide."""
    for tree_id, operations in {
        "T01": {"repot", "ground_layer"},
        "T13": {"chop", "repot"},
        "T11": {"chop", "repot"},
        "T14": {"repot", "deadwood"},
        "T35": {"repot", "deadwood"},
        "T21": {"repot", "wire"},
        "T17": {"repot"},
        "T32": {"repot"},
        "T19": {"repot"},
    }.items():
        assert operations <= set(_planned(demo, tree_id)), tree_id
    assert _planned(demo, "T14")["repot"].data["root_removed_frac"] == 0.35
    assert _planned(demo, "T21")["wire"].data["amount"] == "heavy"
    quarantine = next(tree.quarantine_until for tree in demo.trees if tree.id == "T32")
    root_check = _planned(demo, "T32")["repot"].on.latest
    assert quarantine is not None
    assert root_check is not None
    assert root_check < quarantine
    oak, juniper = _planned(demo, "T19")["repot"], _planned(demo, "T35")["repot"]
    assert oak.data["pot"] == "P-T35"
    assert oak.on.latest is not None
    assert juniper.on.earliest is not None
    assert oak.on.latest < juniper.on.earliest


def test_planned_work_goes_into_pots_that_exist(demo: DemoCollection) -> None:
    pots = {pot.id for pot in demo.pots}
    named = [
        each.data["pot"] for each in demo.entries if each.kind in {"planned", "work"} and "pot" in each.data
    ]
    assert set(named) <= pots
    assert {"P-21", "P-22", "P-23", "P-24", "P-25", "B-1", "B-2"} <= pots


def test_windows_fit_the_day_that_is_today(demo: DemoCollection) -> None:
    assert demo.today == date(2027, 3, 7)
    assert len(demo.windows) == 23
    assert sum(window.minutes_min for window in demo.windows) == 55.5 * 60  # the scenario's total of hours
    for window in demo.windows:
        assert window.opens < window.closes
        planned = _planned(demo, window.tree)[window.operation].on.latest
        assert planned is not None
        assert planned <= window.closes


def test_holes_lie_in_the_floor(demo: DemoCollection) -> None:
    for pot in demo.pots:
        assert pot.holes
        for hole in pot.holes:
            assert pot.length_mm is not None
            assert pot.width_mm is not None
            across = math.hypot(2 * hole.x_mm / pot.length_mm, 2 * hole.y_mm / pot.width_mm)
            assert across < 0.75


def _tapes(demo: DemoCollection) -> dict[str, Tape]:
    return {str(each.tree): tape_from_json(each.data) for each in demo.entries if each.kind == "tape"}


def test_tapes_agree_with_trunk_and_height(demo: DemoCollection) -> None:
    tapes = _tapes(demo)
    assert set(tapes) == {"T01", "T03", "T04", "T08", "T11", "T13"}
    for tree_id, tape in tapes.items():
        facts = _facts(demo, tree_id)
        at_3_cm = next(girth for girth in tape.girths if girth.at_mm == 30)
        assert at_3_cm.girth_mm / math.pi == pytest.approx(facts.trunk_mm, abs=0.5)
        assert tape.height_mm == facts.height_mm
        assert 6 <= len(tape.branches) <= 14
        girths = [girth.girth_mm for girth in tape.girths]
        assert girths == sorted(girths, reverse=True)


def test_tapes_hold_what_the_turnings_are_about(demo: DemoCollection) -> None:
    tapes = _tapes(demo)
    sectors = tapes["T01"].root_sectors
    assert sectors is not None
    empty = [hour for hour, root in enumerate(sectors, start=1) if not root]
    assert empty == [1, 10, 11, 12]
    graft = tapes["T04"].branches[0]
    assert (graft.clock, graft.diameter_mm) == (3.0, 5.9)
    assert any(branch.height_mm == 220 for branch in tapes["T11"].branches)


def test_questions_name_their_courses(demo: DemoCollection) -> None:
    courses = {each.tree: each.data["courses"] for each in demo.entries if each.kind == "question"}
    assert courses["T01"] == ["ground_layer", "root_grafts", "accept"]
    assert courses["T04"] == ["keep", "redo", "abandon"]
    assert courses["T08"] == ["lift_now", "lift_in_a_year"]
    assert courses["T11"] == ["chop@24cm", "air_layer@30cm", "as_it_is"]


def test_every_course_of_a_question_can_be_lived_as_it_is_named(demo: DemoCollection) -> None:
    for each in demo.entries:
        if each.kind == "question":
            courses = each.data["courses"]
            assert isinstance(courses, list)
            for key in map(str, courses):
                assert not ready_course(key).chosen, (each.tree, key)


def test_the_elm_is_cut_and_ringed_so_that_its_leader_stays(demo: DemoCollection) -> None:
    tape = _tapes(demo)["T11"]
    leader = next(branch for branch in tape.branches if branch.height_mm == 220)
    assert leader.diameter_mm is not None
    above_mm = leader.height_mm + leader.diameter_mm / 2
    chop, layer = ready_course("chop@24cm"), ready_course("air_layer@30cm")
    assert chop.height_mm > above_mm
    # A ring on wood this thick is at most 50 mm wide (common practice); its height is that of its upper edge.
    assert layer.height_mm - 50.0 > above_mm


def test_places_fill_the_yard_without_overflow(demo: DemoCollection) -> None:
    now = Counter(place.place for place in demo.places if place.until is None)
    assert sum(now.values()) == 40
    assert now["growing bed"] == 3
    assert now["quarantine corner"] == 1
    assert sum(n for place, n in now.items() if place.startswith("bench")) == int(demo.yard["bench_places"])
    assert now["shade house"] <= int(demo.yard["shade_places"])


def test_lots_and_events(demo: DemoCollection) -> None:
    assert [(lot.id, lot.count) for lot in demo.lots] == [("L1", 60), ("L2", 24), ("L3", 12), ("L4", 8)]
    frost = next(event for event in demo.events if event.kind == "frost")
    assert (frost.first, frost.tmin_degC) == (date(2027, 3, 17), -3.5)
    assert demo.notebook.startswith("spring 21: big hornbeam")
    assert demo.settings["latitude_deg"] == "52.4"
