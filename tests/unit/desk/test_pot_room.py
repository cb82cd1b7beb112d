"""The pot room: drawn is the water that is told, what is tried changes it, and it says what it assumes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from living_yards import entry, save, small_yard

from ringwise.desk.almanac import AlmanacView
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.pot_cut import cut_empty, cut_now, cut_tried
from ringwise.desk.pot_drawing import WIDE, drawing_of, pot_drawn
from ringwise.desk.pot_room import pot_room, pot_tried
from ringwise.desk.pot_season import Job, pot_season, work_order
from ringwise.desk.pot_section import litre_span, spread_of, state_of
from ringwise.desk.pot_sheet import show_pot
from ringwise.desk.pot_soil import DRAWS, Tried, thinned
from ringwise.desk.why import why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes.pot import PotRoom, PotTried, SeasonPots
from ringwise.kit.errors import InputError, MissingFieldError, RangeError
from ringwise.records.model import Pot
from ringwise.rootzone.mix import grain_for, recipe


def _opened(folder: Path, *, weather: bool = True) -> Workspace:
    with_pots = open_workspace(small_yard(folder, weather=weather))
    empty = Pot("P9", "rectangle", 250.0, 180.0, 90.0)
    save(with_pots.store, empty, Pot("PG", "ground", None, None, None, tree="T10"))
    with_pots.store.close()
    return open_workspace(folder)


WET_AND_DRY = ((6900.0, "drained_level"), (5200.0, "before_watering"))


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    """Read by all tests that change nothing."""
    workspace = _opened(tmp_path_factory.mktemp("pots") / "yard")
    yield workspace
    workspace.store.close()


@pytest.fixture(scope="module")
def almanac(yard: Workspace) -> AlmanacView:
    return AlmanacView("ready", make_almanac(yard, "key"))


def value(section: dict[str, Any], key: str) -> float:
    return float(next(each for each in section["figures"] if each["key"] == key)["told"]["value"])


def tried(workspace: Workspace, beside: str = "", **change: Any) -> dict[str, Any]:
    answer = pot_tried(workspace, "T1", Tried(**change), beside)
    PotTried.model_validate(answer)
    return dict(answer)


def test_the_drawn_water_is_the_told_water(yard: Workspace) -> None:
    room = pot_room(yard, "T1")
    PotRoom.model_validate(room)
    section = room["section"]
    heights = np.array([layer["height_mm"] for layer in section["layers"]])
    shares = np.array([layer["median_v"] for layer in section["layers"]])
    # an oval of 40 x 30 cm, upright, of which 92 % counts as filled: one area at every height
    area_mm2 = np.pi / 4 * 400 * 300 * 0.92
    drawn_cm3 = float(np.trapezoid(shares, heights)) * area_mm2 / 1000
    assert heights[-1] == pytest.approx(70 - 5 - 5)
    assert drawn_cm3 == pytest.approx(value(section, "water"), rel=0.01)
    assert value(section, "volume") == pytest.approx(area_mm2 * 60 / 1000, rel=1e-9)


def test_water_falls_with_height_and_its_span_lies_around_it(yard: Workspace) -> None:
    layers = pot_room(yard, "T1")["section"]["layers"]
    medians = [layer["median_v"] for layer in layers]
    assert medians == sorted(medians, reverse=True)
    assert medians[0] > medians[-1] + 0.1
    assert all(layer["low_v"] < layer["median_v"] < layer["high_v"] for layer in layers)


def test_a_deeper_pot_holds_more_water_and_more_air(yard: Workspace) -> None:
    shallow, deep = (tried(yard, depth_mm=depth)["section"] for depth in (40.0, 120.0))
    assert value(deep, "water") > value(shallow, "water")
    assert value(deep, "air") > value(shallow, "air") + 0.03
    assert deep["saturated"]["median_mm"] == pytest.approx(shallow["saturated"]["median_mm"], rel=1e-6)


def test_tilting_drains_it(yard: Workspace) -> None:
    level, leaning = (tried(yard, tilt_deg=angle)["section"] for angle in (0.0, 30.0))
    assert value(leaning, "water") < value(level, "water") * 0.95
    assert leaning["layers"][-1]["height_mm"] == pytest.approx(400 * 0.5 + 60 * 3**0.5 / 2)


def test_a_level_pot_has_the_numbers_that_are_told_elsewhere(yard: Workspace) -> None:
    from ringwise.desk.pot_curves import pot_curve

    curve = pot_curve(yard, yard.facts_of("T1"))
    room, at_rest = pot_room(yard, "T1")["section"], curve.state
    assert value(room, "water") == pytest.approx(float(np.median(at_rest.water_cm3)), rel=1e-9)
    assert value(room, "available") == pytest.approx(float(np.median(at_rest.available_water_cm3)), rel=1e-9)
    assert tried(yard)["section"]["figures"][1]["span"] == room["figures"][1]["span"]


def test_a_pot_lower_than_its_wet_layer_is_wet_to_the_surface_and_no_higher(yard: Workspace) -> None:
    lowest = tried(yard, depth_mm=20.0)["section"]  # of which 10 mm are filled
    assert lowest["saturated"]["high_mm"] == pytest.approx(lowest["fill_height_mm"])
    assert lowest["saturated"]["median_mm"] <= lowest["fill_height_mm"]


def test_a_span_of_water_has_one_unit() -> None:
    assert litre_span(340.0, 800.0) == "0.3 to 0.8 L"
    assert litre_span(340.0, 390.0) == "340 to 390 cm³"
    assert litre_span(610.0, 620.0) == ""


def test_what_stands_beside_it_differs_in_one_thing(yard: Workspace) -> None:
    other_mix = tried(yard, "mix:A", depth_mm=60.0, tilt_deg=10.0)
    assert other_mix["beside"]["depth_mm"] == other_mix["section"]["depth_mm"] == 60.0
    assert other_mix["beside"]["tilt_deg"] == 10.0
    assert value(other_mix["beside"], "water") != value(other_mix["section"], "water")
    other_pot = tried(yard, "pot:P9", depth_mm=60.0)
    assert (other_pot["beside"]["length_mm"], other_pot["beside"]["depth_mm"]) == (250.0, 90.0)
    as_it_is = tried(yard, "now", depth_mm=60.0)
    assert as_it_is["beside"]["depth_mm"] == 70.0
    assert tried(yard)["beside"] is None


def test_a_mix_can_be_tried_by_its_parts(yard: Workspace) -> None:
    pumice = tried(yard, mix="pumice=2,lava=1")["section"]
    assert "pumice=2,lava=1" in pumice["words"]
    assert value(pumice, "water") < value(tried(yard, mix="A")["section"], "water")


@pytest.mark.parametrize(
    ("change", "beside", "error", "words"),
    [
        ({"depth_mm": 900.0}, "", RangeError, "pot depth is 90 cm; accepted: 20 mm to 20 cm"),
        ({"tilt_deg": 80.0}, "", RangeError, "0° to 45°"),
        ({"mix": "pumice=x"}, "", InputError, "component=parts"),
        ({"mix": "=2"}, "", InputError, "write component=parts"),
        ({}, "elsewhere", InputError, "now, mix:CODE or pot:ID"),
        ({}, "pot:", InputError, "now, mix:CODE or pot:ID"),
    ],
)
def test_what_does_not_read_is_told_in_one_line(
    yard: Workspace, change: dict[str, Any], beside: str, error: type[InputError], words: str
) -> None:
    with pytest.raises(error) as told:
        pot_tried(yard, "T1", Tried(**change), beside)
    assert words in str(told.value)


@pytest.mark.parametrize(("tree", "words"), [("T5", "No pot is noted"), ("T10", "stands in the ground")])
def test_a_tree_without_a_measured_pot_says_so(yard: Workspace, tree: str, words: str) -> None:
    room = pot_room(yard, tree)
    PotRoom.model_validate(room)
    assert room["section"] is None
    assert words in room["note"]
    with pytest.raises(MissingFieldError):
        pot_tried(yard, tree, Tried())


def test_it_says_what_it_assumes_and_what_was_measured(yard: Workspace) -> None:
    section = pot_room(yard, "T1")["section"]
    assert any("holes are not measured" in line for line in section["assumed"])
    assert any("not written down" in line for line in section["assumed"])
    assert any("the trunk" in line for line in section["measured"])


def test_weighings_are_listed_newest_first(tmp_path: Path) -> None:
    own = _opened(tmp_path / "yard", weather=False)
    for days_ago, mass_g in ((9, 6100.0), (2, 6200.0)):
        save(own.store, entry("T1", "weight", days_ago, {"mass_g": mass_g, "moment": "drained_level"}))
    own.store.close()
    again = open_workspace(own.folder)
    listed = pot_room(again, "T1")["weighings"]
    again.store.close()
    assert ["6.2 kg" in each["words"] for each in listed] == [True, False]
    assert ["6.1 kg" in each["words"] for each in listed] == [False, True]
    assert [each["day_shown"] for each in listed] == ["5 Mar 2027", "26 Feb 2027"]


def test_what_was_learned_is_told_against_the_soil_before_it_was_weighed(tmp_path: Path) -> None:
    own = _opened(tmp_path / "yard", weather=False)
    before = next(f for f in pot_room(own, "T1")["section"]["figures"] if f["key"] == "water")
    for mass_g, moment in WET_AND_DRY:
        save(own.store, entry("T1", "weight", 2, {"mass_g": mass_g, "moment": moment}))
    own.store.close()
    again = open_workspace(own.folder)
    room = pot_room(again, "T1")
    again.store.close()
    assert f"{before['told']['shown']} ({before['span']}); by what was weighed" in room["learned"][0]["words"]
    after = next(f for f in room["section"]["figures"] if f["key"] == "water")
    assert f"weighed: {after['told']['shown']}" in room["learned"][0]["words"]


def test_few_draws_stand_for_many(yard: Workspace) -> None:
    from ringwise.desk.pot_mixes import blended

    many = blended(recipe("D"), grain_for(60.0, "D"), 7).curve
    few = thinned(many)
    assert few.draws == DRAWS < many.draws
    for suction_cm in (0.5, 3.0, 6.0):
        whole, part = spread_of(many.theta_v(suction_cm)), spread_of(few.theta_v(suction_cm))
        assert part.median == pytest.approx(whole.median, abs=0.01)
        assert (part.low, part.high) == pytest.approx((whole.low, whole.high), abs=0.025)
    assert thinned(few) is few


@pytest.mark.parametrize("figure", ["volume", "water", "available", "air", "air_bottom", "standard"])
def test_every_number_answers_why(yard: Workspace, figure: str) -> None:
    told = why_told(yard, f"T1:pot:{figure}")
    shown = next(each for each in pot_room(yard, "T1")["section"]["figures"] if each["key"] == figure)
    assert shown["told"]["why"] == f"T1:pot:{figure}"
    assert told["value"].startswith(shown["told"]["shown"])
    assert len(told["chain"]) > 3
    assert all(each["told"]["why"] is None for each in tried(yard, depth_mm=60.0)["section"]["figures"])


def test_a_text_drawing_is_as_wide_as_the_pot_and_darker_below(yard: Workspace) -> None:
    lines = drawing_of(cut_now(yard, yard.facts_of("T1")))
    assert all(len(line) <= 80 for line in lines)
    shades = [line[1] for line in lines[1:-1]]
    assert shades.count("┄") == 1
    order = [" ░▒▓█".index(each) for each in shades if each != "┄"]
    assert order == sorted(order)
    assert order[-1] > order[0]
    floor = lines[-1]
    assert floor[0] == "└"
    assert floor.count(" ") >= 2  # the gaps of the holes


def test_sloping_walls_narrow_the_text_drawing(yard: Workspace) -> None:
    cut = cut_now(yard, yard.facts_of("T1"))
    sloping = replace(cut.pot, bottom_length_mm=300.0, bottom_width_mm=220.0, taper_frac=1.0)
    lines = drawing_of(replace(cut, pot=sloping))
    top, bottom = lines[0].index("│"), lines[-1].index("└")
    assert top == 0
    assert bottom == pytest.approx(WIDE * 0.125, abs=1)  # half of a quarter of the rim on each side


def test_an_empty_pot_is_drawn_as_an_example(yard: Workspace) -> None:
    empty = next(pot for pot in yard.pots if pot.id == "P9")
    told, lines = pot_drawn(yard, empty)
    assert any("as if filled with mix D" in line for line in lines)
    state = state_of(cut_empty(yard, empty))
    assert told["saturated_layer_cm"] == pytest.approx(float(np.median(state.saturated_layer_cm)))
    assert show_pot(yard, "P9")["water_by_height"][0]["height_mm"] == 0.0
    ground = next(pot for pot in yard.pots if pot.id == "PG")
    assert pot_drawn(yard, ground) == ({"saturated_layer_cm": None, "water_by_height": None}, [])


def test_the_season_lists_what_is_planned_with_its_mixes(yard: Workspace, almanac: AlmanacView) -> None:
    season = pot_season(yard, almanac=almanac)
    SeasonPots.model_validate(season)
    row = next(each for each in season["pots"] if each["tree"] == "T1")
    assert row["frees"] == "back into its own pot"
    assert row["litres"]
    scoops = {part["words"]: part["scoops"] for part in season["shopping"]}
    by_batch: dict[str, int] = {}
    for batch in season["batches"]:
        for part in batch["parts"]:
            by_batch[part["words"]] = by_batch.get(part["words"], 0) + part["scoops"]
    assert scoops == by_batch
    assert pot_season(yard)["pots"] == []  # a command opens the collection without an almanac


def test_a_pot_is_free_before_its_turn(yard: Workspace, almanac: AlmanacView) -> None:
    assert almanac.almanac is not None
    told = almanac.almanac.tree("T1")
    assert told is not None
    window = told.windows[0]
    pots = {pot.id: pot for pot in yard.pots}

    def job(tree: str, into: str) -> Job:
        return Job(yard.facts_of(tree), window, pots[into], None)

    # T1 goes into the pot of T2, which goes into that of T3, which goes into an empty one
    chain = [job("T1", "PT2"), job("T2", "PT3"), job("T3", "P9")]
    assert [each.facts.tree.id for each in work_order(chain)] == ["T3", "T2", "T1"]
    swap = [job("T1", "PT2"), job("T2", "PT1")]
    assert [each.facts.tree.id for each in work_order(swap)] == ["T1", "T2"]
    alone = [job("T3", "PT3"), job("T1", "PT1")]
    assert [each.facts.tree.id for each in work_order(alone)] == ["T3", "T1"]


def test_another_pot_is_filled_from_its_own_depth(yard: Workspace) -> None:
    cut = cut_tried(yard, yard.facts_of("T1"), Tried(depth_mm=50.0), pot="P9")
    assert cut.pot.depth_mm == 90.0
