"""Laws of windows and findings: chances, shifts, order of trees, both hemispheres."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.days import GrowingYear
from ringwise.kit.trace import Trace
from ringwise.operations.base import GROUPS
from ringwise.operations.conflicts import rule
from ringwise.operations.registry import OPERATIONS
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.stages import codes_of
from ringwise.records.dates import exact_day
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Tree
from ringwise.records.taxa import taxon
from ringwise.season.conflicts import find_conflicts
from ringwise.season.need import due_list
from ringwise.season.window import Window, operation_window

TODAY = date(2027, 3, 7)
KINDS = (
    "acer_palmatum",
    "larix_kaempferi",
    "carpinus_betulus",
    "pinus_sylvestris",
    "ficus_microcarpa",
    "morus_alba",
)
WORKS = tuple(key for key in OPERATIONS if key != "leave")
kinds = st.sampled_from(KINDS)
works = st.sampled_from(WORKS)
steps = st.lists(st.floats(0.5, 30.0), min_size=15, max_size=15)


def forecast_of(
    key: str, gaps: list[float], *, south: bool = False, spread_days: float = 6.0
) -> StageForecast:
    kind = taxon(key)
    codes = codes_of(kind.group, kind.leaf_habit)
    year = GrowingYear(2027, south)
    middle = year.day_index(year.start) + 60 + np.cumsum(gaps)[: len(codes)]
    days = middle[None, :] + np.linspace(-spread_days, spread_days, 7)[:, None]
    days[:, 0] = year.day_index(year.start)
    return StageForecast(year, codes, days, "given", 0, "assumed", Trace("given", ""), 700, 7)


def tree_of(key: str, entries: list[Entry] | None = None, *, id: str = "T01", on: date = TODAY) -> TreeFacts:
    return tree_facts(Tree(id, id, key), entries=entries or [], pots=[], places=[], on=on)


def window_of(key: str, work: str, gaps: list[float], *, today: date = TODAY, south: bool = False) -> Window:
    told = forecast_of(key, gaps, south=south)
    return operation_window(OPERATIONS[work], tree_of(key, on=today), told, today=today)


@given(kinds, works, steps, st.integers(-120, 300))
def test_chance_is_a_share_and_bands_are_in_order(key: str, work: str, gaps: list[float], day: int) -> None:
    found = window_of(key, work, gaps)
    if found.opens is None or found.closes is None:
        return
    assert 0.0 <= found.chance_open(TODAY + timedelta(days=day)) <= 1.0
    assert found.opens.low <= found.opens.median <= found.opens.high
    assert found.opens.median <= found.closes.median


@given(kinds, works, steps)
def test_chances_over_all_days_add_up_to_the_mean_length(key: str, work: str, gaps: list[float]) -> None:
    found = window_of(key, work, gaps)
    if found.opens_days is None or found.closes_days is None:
        return
    start = GrowingYear(2027).start
    total = sum(found.chance_open(start + timedelta(days=day)) for day in range(900))
    assert np.isclose(total, float(np.mean(found.closes_days - found.opens_days)))


@given(kinds, works, steps)
def test_south_is_the_north_moved_to_its_own_year(key: str, work: str, gaps: list[float]) -> None:
    north, south = GrowingYear(2027), GrowingYear(2027, south=True)
    in_north = window_of(key, work, gaps)
    today = south.day_at(north.day_index(TODAY))
    # The two years start 61 and 62 days before their day 1: stages hang on that start.
    in_south = window_of(key, work, gaps, today=today, south=True)
    if in_north.closes_days is None or in_south.closes_days is None:
        assert in_north.state == in_south.state
        return
    first = in_north.closes_days - north.day_index(north.start)
    other = in_south.closes_days - south.day_index(south.start)
    assert (np.abs(first - other) <= 1).all()


@st.composite
def plans(draw: st.DrawFn) -> list[TreeFacts]:
    trees = []
    for number in range(draw(st.integers(1, 4))):
        id = f"T{number:02d}"
        entries = [Entry("V", id, "vigour", exact_day(date(2027, 2, 1)), {"score": draw(st.integers(0, 5))})]
        for each in range(draw(st.integers(0, 4))):
            on = exact_day(date(2027, 1, 1) + timedelta(days=draw(st.integers(-400, 500))))
            kind = "work" if on.by is not None and on.by < TODAY else "planned"
            data = {"operation": draw(works), "root_removed_frac": draw(st.sampled_from([None, 0.1, 0.4]))}
            entries.append(Entry(f"E{each}", id, kind, on, data))
        trees.append(tree_of(draw(kinds), entries, id=id))
    return trees


@given(plans(), st.randoms(use_true_random=False))
def test_findings_and_due_list_do_not_hang_on_the_order_of_trees(
    trees: list[TreeFacts], luck: object
) -> None:
    gaps = [8.0] * 15

    def told(tree: TreeFacts, operation: str) -> Window | None:
        assert tree.taxon is not None
        return operation_window(OPERATIONS[operation], tree, forecast_of(tree.taxon.key, gaps), today=TODAY)

    mixed = list(trees)
    luck.shuffle(mixed)  # type: ignore[attr-defined]
    assert find_conflicts(trees, today=TODAY) == find_conflicts(mixed, today=TODAY)
    first = [(line.tree, line.operation, line.line) for line in due_list(trees, told, today=TODAY)]
    other = [(line.tree, line.operation, line.line) for line in due_list(mixed, told, today=TODAY)]
    assert first == other


@given(plans())
def test_every_finding_names_its_entries_its_rule_and_a_way_out(trees: list[TreeFacts]) -> None:
    ids = {(tree.tree.id, entry.id) for tree in trees for entry in tree.entries}
    for finding in find_conflicts(trees, today=TODAY):
        assert finding.explanation
        assert finding.way_out
        assert finding.evidence == "practice"
        assert (finding.tree, finding.later_id) in ids
        assert finding.rule
        later = next(
            entry for tree in trees if tree.tree.id == finding.tree for entry in tree.entries
            if entry.id == finding.later_id
        )  # fmt: skip
        assert later.data.get("operation") not in {"root_rescue", "leave"}


@given(
    st.sampled_from(["RP_HEAVY", "CHOP", "STRUCT", "LAYER", "WIRE", "LIFT"]),
    st.sampled_from(["RP_HEAVY", "CHOP", "CUT2", "WIRE", "DEADWOOD", "FULLDEF"]),
    st.sampled_from(GROUPS),
)
def test_a_weaker_tree_never_waits_less(earlier: str, later: str, group: str) -> None:
    ranks = [rule(earlier, later, group=group, vigour=vigour).gap.rank for vigour in (5, 4, 3)]
    assert ranks == sorted(ranks)
    assert rule(earlier, later, group=group, vigour=2).gap.seasons >= 1
