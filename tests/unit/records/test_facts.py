"""What is known of a tree on a day."""

from __future__ import annotations

from datetime import date

from ringwise.records.dates import exact_day, parse_fuzzy_date
from ringwise.records.facts import tree_facts
from ringwise.records.model import Entry, JsonValue, Place, Pot, Tree

TREE = Tree("T14", "Churchyard", "Carpinus betulus")
TODAY = date(2027, 3, 7)


def _entry(number: int, kind: str, when: str, data: dict[str, JsonValue], tree: str = "T14") -> Entry:
    return Entry(f"E{number}", tree, kind, parse_fuzzy_date(when, field="on"), data)


ENTRIES = [
    _entry(1, "vigour", "2025-06-01", {"score": 4}),
    _entry(2, "vigour", "2026-06-01", {"score": 3}),
    _entry(3, "vigour", "2027-06-01", {"score": 0}),
    _entry(4, "vigour", "2026-09-01", {"score": 5}, tree="T15"),
    _entry(5, "trunk", "2026", {"diameter_mm": 165.0}),
    _entry(6, "trunk", "unknown", {"diameter_mm": 12.0}),
    _entry(7, "girth", "2026-10-01", {"girth_mm": 520.0}),
    _entry(8, "height", "2026-10-01", {"height_mm": 720.0}),
    _entry(9, "drain", "2026-10", {"seconds": 80.0}),
    _entry(10, "days_dry", "2026-07", {"days": 3.0}),
    _entry(11, "work", "spring 21", {"operation": "repot", "root_removed_frac": 0.5}),
    _entry(12, "work", "2026-06-10", {"operation": "cut_back"}),
    _entry(13, "planned", "spring 2027", {"operation": "repot"}),
    _entry(14, "question", "2026-11-01", {"title": "Rot", "courses": ["clean", "leave"]}),
]
POTS = [Pot("P1", "oval", 600.0, 420.0, 110.0, tree="T14"), Pot("P2", "oval", 300.0, 200.0, 60.0)]
PLACES = [
    Place("L1", "T14", "B1", "bench", exact_day(date(2025, 1, 1)), exact_day(date(2026, 10, 31))),
    Place("L2", "T14", "Shed", "shed", exact_day(date(2026, 11, 1))),
    Place("L3", "T14", "Hall", "show", exact_day(date(2027, 5, 1))),
]


def test_newest_of_each_measure_and_nothing_of_the_future() -> None:
    facts = tree_facts(TREE, entries=ENTRIES, pots=POTS, places=PLACES, on=TODAY)
    assert facts.vigour == 3
    assert (facts.trunk_mm, facts.girth_mm, facts.height_mm) == (165.0, 520.0, 720.0)
    assert (facts.drain_seconds, facts.days_to_dry) == (80.0, 3.0)
    assert [entry.id for entry in facts.works] == ["E11", "E12"]
    assert [entry.id for entry in facts.planned] == ["E13"]
    assert [entry.id for entry in facts.questions] == ["E14"]
    assert "E3" not in [entry.id for entry in facts.entries]
    assert "E4" not in [entry.id for entry in facts.entries]


def test_last_repot_stays_a_range() -> None:
    repot = tree_facts(TREE, entries=ENTRIES, pots=POTS, places=PLACES, on=TODAY).last_repot
    assert repot is not None
    assert (repot.typed, repot.earliest, repot.latest) == ("spring 21", date(2021, 3, 1), date(2021, 5, 31))


def test_species_pot_and_place() -> None:
    facts = tree_facts(TREE, entries=ENTRIES, pots=POTS, places=PLACES, on=TODAY)
    assert facts.taxon is not None
    assert facts.taxon.key == "carpinus_betulus"
    assert facts.pot == POTS[0]
    assert facts.place == PLACES[1]
    earlier = tree_facts(TREE, entries=ENTRIES, pots=POTS, places=PLACES, on=date(2026, 10, 31))
    assert earlier.place == PLACES[0]


def test_nothing_known_is_none_and_never_zero() -> None:
    facts = tree_facts(
        Tree("T99", "", "Planta incognita"), entries=ENTRIES, pots=POTS, places=PLACES, on=TODAY
    )
    unknown = (facts.taxon, facts.pot, facts.place, facts.vigour, facts.last_repot, facts.trunk_mm)
    assert unknown == (None,) * 6
    assert facts.entries == ()


def test_of_two_pots_the_one_of_the_last_repotting() -> None:
    both = [POTS[0], Pot("P9", "round", 300.0, 300.0, 90.0, tree="T14")]
    moved = [*ENTRIES, _entry(20, "work", "2026-03-20", {"operation": "repot", "pot": "P9"})]
    facts = tree_facts(TREE, entries=moved, pots=both, places=PLACES, on=TODAY)
    assert facts.pot is not None
    assert facts.pot.id == "P9"


def test_a_repotting_of_an_unknown_day_is_the_oldest() -> None:
    works = [*ENTRIES, _entry(21, "work", "unknown", {"operation": "repot"})]
    repot = tree_facts(TREE, entries=works, pots=POTS, places=PLACES, on=TODAY).last_repot
    assert repot is not None
    assert repot.typed == "spring 21"
