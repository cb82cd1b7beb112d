"""Whys of a measured tree: what each figure rests on, how it is made, and what it is held against."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.entries import Given, log_entry
from ringwise.desk.measure_told import ShowWish, measure_show
from ringwise.desk.shape_room import shape_room
from ringwise.desk.structures import ShapeGiven, keep_structure
from ringwise.desk.tape_typed import TapeWish, measure_tape
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.why import why, why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes.base import Why
from ringwise.kit.errors import InputError, NotFoundError, RangeError, UnknownNameError
from ringwise.structure.measured import How, MeasuredTree, attach, measured_of
from ringwise.structure.section import section_of
from ringwise.structure.table import SegmentTable, single_segment

DAY, LATER = "2027-03-07", "2027-04-01"


def shoot(length_mm: float, width_mm: float, way: tuple[float, float, float]) -> MeasuredTree:
    one = single_segment(length_mm=length_mm, diameter_mm=width_mm, basis="turntable")
    columns = {name: getattr(one, name) for name in SegmentTable.__dataclass_fields__}
    unit = np.array([way]) / np.linalg.norm(way)
    table = SegmentTable(**{**columns, "direction": unit, "buds": np.array([0])})
    return measured_of(table, radius_sd_mm=0.1, position_sd_mm=0.4, how=How.IMAGE)


def two_bars() -> MeasuredTree:
    """A trunk of two pieces, 300 mm high, with a branch on each side at 100 mm: bar branches."""
    tree = attach(shoot(100.0, 40.0, (0, 0, 1)), shoot(200.0, 20.0, (0, 0, 1)), 0)
    for side in (1.0, -1.0):
        tree = attach(tree, shoot(120.0, 9.0, (side, 0, 0.2)), 0)
    outline = (section_of(10.0, [20.0] * 12, girth_sd_mm=0.5),)
    return MeasuredTree(tree.table, tree.radius_sd_mm, tree.position_sd_mm, tree.how, outline)


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    yard = open_workspace(tmp_path_factory.mktemp("why") / "yard", on=DAY)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    wish = TapeWish("T01", height="25cm", girths=("13cm@3cm",), branches=("8cm,3,9mm,14cm,8",))
    measure_tape(yard, wish)
    yard.store.close()
    yard = open_workspace(yard.folder, on=DAY)
    yield yard
    yard.store.close()


@pytest.fixture(scope="module")
def turned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    yard = open_workspace(tmp_path_factory.mktemp("why") / "turned", on=LATER)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    keep_structure(yard, yard.facts_of("T01"), two_bars(), ShapeGiven("turntable"))
    yard.store.close()
    yard = open_workspace(yard.folder, on=LATER)
    yield yard
    yard.store.close()


def of(yard: Workspace, figure: str) -> Why:
    return Why.model_validate(why_told(yard, f"T01:measure:{figure}"))


def test_a_ratio_is_told_by_its_parts_down_to_the_tape(taped: Workspace) -> None:
    told = of(taped, "height_to_base_ratio")
    labels = [link.label for link in told.chain]
    assert told.chain[0].formula == "height / trunk at the base"
    assert labels[1:3] == ["height", "trunk at the base"]
    thickness = next(link for link in told.chain if link.label == "thickness there")
    assert (thickness.depth, thickness.formula) == (2, "measured by tape")
    assert told.chain[0].basis == "measured"
    assert labels[-1] == "written down"
    assert "tape and calliper" in {link.value for link in told.chain}
    by_tape = next(link for link in told.chain if link.label == "a girth by tape")
    assert (by_tape.value, by_tape.basis) == ("1 mm", "assumed")  # table measuring, reading.girth_sd_mm
    assert 'table "how well things are read"' in by_tape.room


def test_what_a_tape_does_not_reach_is_assumed(taped: Workspace) -> None:
    assert of(taped, "height_mm").chain[0].basis == "measured"
    for figure in ("tips", "strahler", "spread_mm", "wood_cm3", "movement_frac"):
        assert of(taped, figure).chain[0].basis == "assumed", figure


def test_every_figure_of_the_room_has_a_why_of_the_same_value(turned: Workspace) -> None:
    shown = shape_room(turned, "T01")["shown"]
    told = [each["told"] | {"span": each["span"]} for each in shown["measures"]]
    told += [
        each[key]
        for each in shown["branches"]
        for key in ("height", "clock", "angle", "diameter", "length", "part")
    ]
    told += [each[key] for each in shown["profile"] for key in ("height", "diameter", "girth")]
    assert len(told) > 60
    for each in told:
        found = Why.model_validate(why_told(turned, each["why"]))
        assert re.sub(r" \(.*\)", "", found.value) == each["shown"], each["why"]
        assert found.chain[-1].label == "written down"
        assert found.chain[0].formula


def test_a_day_and_a_likely_tree_are_part_of_the_name(taped: Workspace) -> None:
    room = shape_room(taped, "T01", which=1)["shown"]
    tips = next(each["told"] for each in room["measures"] if each["key"] == "tips")
    assert tips["why"] == "T01:measure:tips@@1"
    assert why_told(taped, tips["why"])["value"].split()[0] == tips["shown"]
    for wrong in ("height_mm@soon", "height_mm@2027-03-07@b"):
        with pytest.raises(InputError, match="height_mm@2027-03-01"):
            of(taped, wrong)


def test_girths_follow_the_outline_where_it_was_seen(turned: Workspace) -> None:
    assert "outline" in of(turned, "girth_at_10").chain[0].formula
    assert of(turned, "girth_at_200").chain[0].formula == "pi x trunk; taken as round"
    assert of(turned, "nebari_girth_mm").title == "girth at 0 mm of T01"
    with pytest.raises(RangeError, match="0 to 30 cm"):
        of(turned, "girth_at_400")


def test_a_fault_shows_its_rule_and_its_thresholds(turned: Workspace) -> None:
    faults = [each["kind"] for each in measure_show(turned, ShowWish("T01"))["faults"]]
    told = of(turned, f"fault_{faults.index('bar') + 1}")
    assert told.value.startswith("bar branches")
    values = {link.label: link.value for link in told.chain}
    assert values["opposite from this angle between them on"] == "150°"  # table faults
    assert {link.basis for link in told.chain[:4]} == {"common practice"}
    with pytest.raises(NotFoundError, match=f"the rules name {len(faults)}"):
        of(turned, "fault_99")


def test_every_proportion_shows_the_range_it_lies_in(turned: Workspace) -> None:
    proportions = measure_show(turned, ShowWish("T01"))["proportions"]
    assert len(proportions) >= 5
    for each in proportions:
        told = of(turned, each["key"])
        assert told.value == each["words"]
        assert told.chain[1].label == "usual, the middle of its range"
        assert told.sources[0].key == "practice"


def test_what_is_not_there_is_named(turned: Workspace) -> None:
    with pytest.raises(NotFoundError, match="no roots of T01"):
        of(turned, "root_sectors")
    with pytest.raises(NotFoundError, match="it has 2"):
        of(turned, "branch_7_length")
    with pytest.raises(UnknownNameError, match="height_mm"):
        of(turned, "hight_mm")


def test_trunk_and_height_alone_say_so(tmp_path: Path) -> None:
    yard = open_workspace(tmp_path / "bare", on=DAY)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    for key, typed in (("trunk", "41mm"), ("height", "44cm")):
        log_entry(yard, "T01", Given(key, typed))
    yard.store.close()
    yard = open_workspace(tmp_path / "bare", on=DAY)
    told = of(yard, "spread_mm")
    assert told.chain[0].basis == "assumed"
    assert "invented by common practice" in [link.value for link in told.chain]
    assert why(yard, "T01:measure:spread_mm")["lines"]
    yard.store.close()
