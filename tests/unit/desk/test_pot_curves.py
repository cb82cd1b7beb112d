"""The curve of a tree's own pot: aged by its years, shared by pots alike, corrected by its weighings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.pot_curves import pot_curve
from ringwise.desk.pot_weighings import pot_record
from ringwise.desk.pots import NewPot, add_pot
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.wet_pots import shows_trouble
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import MissingFieldError
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Entry

TODAY = "2027-07-15"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Workspace:
    folder: Path = tmp_path_factory.mktemp("curves") / "yard"
    workspace = open_workspace(folder, on=TODAY)
    for name in ("Old Elm", "Young Elm", "Bare Elm"):
        add_tree(workspace, NewTree(name, "Ulmus procera"))
    workspace = open_workspace(folder, on=TODAY)
    add_pot(workspace, NewPot("P1", "rect", "30x20x6 cm", tree="T01"))
    add_pot(open_workspace(folder, on=TODAY), NewPot("P2", "rect", "25x18x6 cm", tree="T02"))
    return open_workspace(folder, on=TODAY)


def entry(kind: str, day: str, tree: str = "T01", **data: object) -> Entry:
    return Entry(f"{kind}-{day}-{data}", tree, kind, parse_fuzzy_date(day, field="day"), data)  # type: ignore[arg-type]


def facts_with(yard: Workspace, *entries: Entry, repotted: str | None = "2024-04-01") -> TreeFacts:
    when = None if repotted is None else parse_fuzzy_date(repotted, field="day")
    return replace(yard.facts["T01"], entries=entries, last_repot=when)


LEVEL = entry("weight", "2027-07-10", mass_g=6500.0, moment="drained_level")
TILTED = entry("weight", "2027-07-10", mass_g=6000.0, moment="drained_tilted", tilt_deg=30.0)


def test_without_weighings_the_curve_is_that_of_the_aged_mix(yard: Workspace) -> None:
    bare = pot_curve(yard, facts_with(yard))
    assert not bare.weighed
    assert bare.curve.draws == 200
    assert "Not weighed yet" in bare.words[-1]
    one = pot_curve(yard, facts_with(yard, LEVEL))
    assert not one.weighed
    assert one.curve is bare.curve


def test_pots_of_one_mix_cut_and_age_share_their_soil(yard: Workspace) -> None:
    other = replace(yard.facts["T02"], last_repot=parse_fuzzy_date("2024-04-10", field="day"))
    assert pot_curve(yard, other).soil is pot_curve(yard, facts_with(yard)).soil


def test_an_older_soil_holds_less_air(yard: Workspace) -> None:
    air = [
        float(np.median(pot_curve(yard, facts_with(yard, repotted=day)).state.air_filled_porosity_v))
        for day in ("2027-04-01", "2024-04-01", "2018-04-01")
    ]
    assert air[0] > air[1] > air[2]
    unknown = pot_curve(yard, facts_with(yard, repotted=None))
    assert "not known" in unknown.words[1]


def test_weighings_choose_and_say_so(yard: Workspace) -> None:
    told = pot_curve(yard, facts_with(yard, LEVEL, TILTED))
    assert told.weighed
    assert told.curve.draws == 200
    assert "2 weighings" in told.words[-1]
    labels = [link.label for _depth, link in told.trace.walk()]
    assert sum(label.startswith("weighs") for label in labels) == 2
    again = pot_curve(yard, facts_with(yard, LEVEL, TILTED))
    assert again.soil is told.soil  # made once


def test_only_this_filling_and_known_days_speak(yard: Workspace) -> None:
    before = replace(LEVEL, on=parse_fuzzy_date("2024-03-01", field="day"))
    undated = replace(TILTED, on=parse_fuzzy_date("unknown", field="day"))
    assert pot_record(facts_with(yard, before, undated), yard.today).measured is None
    long_ago = [replace(e, on=parse_fuzzy_date("2024-05-01", field="day")) for e in (LEVEL, TILTED)]
    assert pot_record(facts_with(yard, *long_ago), yard.today).measured is None


def test_weighings_days_apart_are_sessions_of_their_own(yard: Workspace) -> None:
    later = [replace(e, on=parse_fuzzy_date("2027-07-14", field="day")) for e in (LEVEL, TILTED)]
    measured = pot_record(facts_with(yard, LEVEL, TILTED, *later), yard.today).measured
    assert measured is not None
    assert [each.session for each in measured.weighings] == [1, 1, 2, 2]


def test_drain_tests_of_unlike_amounts_are_not_compared(yard: Workspace) -> None:
    first = entry("drain", "2025-06-01", seconds=40.0, water_cm3=600.0)
    small = entry("drain", "2027-06-01", seconds=90.0, water_cm3=300.0)
    alike = entry("drain", "2027-06-01", seconds=200.0, water_cm3=600.0)
    assert pot_record(facts_with(yard, first, small), yard.today).trend is None
    record = pot_record(facts_with(yard, first, alike), yard.today)
    assert record.trend is not None
    assert record.trend.ratio == 5.0
    assert record.trend.slower
    assert record.years_then == pytest.approx(1.25)
    told = pot_curve(yard, facts_with(yard, first, alike))
    assert told.weighed
    assert np.median(told.soil.ageing.broken_frac) > np.median(
        pot_curve(yard, facts_with(yard)).soil.ageing.broken_frac
    )


def test_the_empty_pot_counts_for_the_pot_that_was_weighed(yard: Workspace) -> None:
    measured = {"trunk_mm": 41.0, "height_mm": 500.0}
    other = entry("weight", "2024-03-01", mass_g=2000.0, moment="pot_empty", pot="P9")
    own = entry("weight", "2024-03-01", mass_g=2000.0, moment="pot_empty", pot="P1")
    facts = replace(facts_with(yard, other, LEVEL), **measured)  # type: ignore[arg-type]
    assert pot_record(facts, yard.today).measured is None
    known = pot_record(replace(facts, entries=(own, LEVEL)), yard.today).measured
    assert known is not None
    assert known.dry_mass is not None
    assert known.dry_mass.mass_g > 2000.0


def test_a_tree_without_a_measured_pot_has_no_curve(yard: Workspace) -> None:
    with pytest.raises(MissingFieldError, match="no measured pot"):
        pot_curve(yard, yard.facts["T03"])


def test_a_day_in_spring_and_a_day_in_summer_are_not_put_together(yard: Workspace) -> None:
    def day(when: str, mass_g: float) -> Entry:
        return entry("weight", when, mass_g=mass_g, moment="after_24_h")

    spring = (entry("weight", "2027-03-02", mass_g=6500.0, moment="drained_level"), day("2027-03-03", 6440.0))
    dry = (entry("days_dry", "2027-03-20", days=20.0), entry("days_dry", "2026-07-01", days=2.0))
    record = pot_record(facts_with(yard, *dry, *spring, LEVEL, day("2027-07-11", 6100.0)), yard.today)
    assert [str(each.on.by) for each in record.weighings if each.data["moment"] == "after_24_h"] == [
        "2027-07-11"
    ]
    assert record.measured is not None
    assert record.measured.dry_days == 2.0  # of a July; that of March says nothing of a day in July
    assert [each.session for each in record.measured.weighings] == [1, 2, 2]
    curve = pot_curve(yard, facts_with(yard, *dry, *spring, LEVEL, day("2027-07-11", 6100.0)))
    assert not curve.contradicts


def test_weights_of_another_pot_say_nothing_of_this_one(yard: Workspace) -> None:
    pot = yard.facts["T01"].pot
    assert pot is not None
    mine, other = (
        [replace(each, data={**each.data, "pot": name}) for each in (LEVEL, TILTED)]
        for name in (pot.id, "P9")
    )
    assert len(pot_record(facts_with(yard, *mine), yard.today).weighings) == 2
    assert pot_record(facts_with(yard, *other), yard.today).measured is None


def test_a_pot_that_always_drained_slowly_shows_no_trouble_by_that(yard: Workspace) -> None:
    """A drain test is compared with the pot's own past alone (common practice)."""
    first = entry("drain", "2025-05-01", seconds=150.0)
    always = facts_with(yard, first, entry("drain", "2026-09-01", seconds=155.0))
    slower = facts_with(yard, first, entry("drain", "2026-09-01", seconds=400.0))
    assert not shows_trouble(replace(always, drain_seconds=155.0, vigour=4), pot_curve(yard, always))
    assert shows_trouble(replace(slower, drain_seconds=400.0, vigour=4), pot_curve(yard, slower))
