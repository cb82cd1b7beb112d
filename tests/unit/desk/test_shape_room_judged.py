"""The Shape room's wounds, faults and proportions: those of the sheet of measures, with their places."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.entries import Given, log_entry
from ringwise.desk.measure_told import ShowWish, measure_show
from ringwise.desk.measure_words import proportion_words
from ringwise.desk.shape_room import shape_room
from ringwise.desk.shapes import Shape
from ringwise.desk.structures import ShapeGiven, keep_structure
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.why import why_told
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.tables import load_table
from ringwise.structure.measured import How, MeasuredTree, attach, measured_of
from ringwise.structure.standing import Standing
from ringwise.structure.table import SegmentTable, single_segment


def shoot(length_mm: float, width_mm: float, way: tuple[float, float, float]) -> MeasuredTree:
    one = single_segment(length_mm=length_mm, diameter_mm=width_mm, basis="turntable")
    columns = {name: getattr(one, name) for name in SegmentTable.__dataclass_fields__}
    columns["direction"] = np.array([way]) / np.linalg.norm(way)
    return measured_of(SegmentTable(**columns), radius_sd_mm=0.1, position_sd_mm=0.4, how=How.IMAGE)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    """A trunk 300 mm high and 40 mm thick with a branch on either side at 100 mm, and two wounds."""
    folder: Path = tmp_path_factory.mktemp("judged") / "yard"
    yard = open_workspace(folder, on="2027-03-07")
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    tree = attach(shoot(100.0, 40.0, (0, 0, 1)), shoot(200.0, 40.0, (0, 0, 1)), 0)
    for side in (1.0, -1.0):
        tree = attach(tree, shoot(120.0, 9.0, (side, 0, 0.2)), 0)
    keep_structure(yard, yard.facts_of("T01"), tree, ShapeGiven("turntable"))
    for width, at, day in (("15mm", "14cm,3", "2025-05-01"), ("9mm", "14cm,3", ""), ("0mm", "22cm", "")):
        log_entry(yard, "T01", Given(what=("wound", width), at=at, date=day))
    yard.store.close()
    yard = open_workspace(folder, on="2027-03-07")
    yield yard
    yard.store.close()


@pytest.fixture(scope="module")
def shown(yard: Workspace) -> Shape:
    found: Shape = shape_room(yard, "T01")["shown"]
    return found


def test_faults_and_proportions_are_those_of_the_sheet(yard: Workspace, shown: Shape) -> None:
    sheet = measure_show(yard, ShowWish("T01"))
    assert [each["words"] for each in shown["faults"]] == [each["words"] for each in sheet["faults"]]
    assert [each["key"] for each in shown["proportions"]] == [each["key"] for each in sheet["proportions"]]
    for here, there in zip(shown["proportions"], sheet["proportions"], strict=True):
        assert (here["told"]["value"], here["place"]) == (there["found_ratio"], there["place"])
        assert f"{here['label']} {here['told']['shown']}: usual {here['usual']}" in there["words"]


def test_a_fault_points_at_its_branches_and_its_place(shown: Shape) -> None:
    bar = next(each for each in shown["faults"] if each["kind"] == "bar")
    assert bar["at_mm"] == [0.0, 0.0, 100.0]  # both leave the middle of the trunk there
    assert bar["branches"] == [0, 1]
    assert {shown["branches"][each]["clock"]["value"] for each in bar["branches"]} == {3.0, 9.0}
    straight = next(each for each in shown["faults"] if each["kind"] == "straight")
    assert straight["branches"] == []  # the trunk is no branch


def test_a_wound_lies_on_the_bark_of_its_side_and_tells_how_it_closes(shown: Shape) -> None:
    healing, closed = shown["wounds"]
    assert healing["words"] == "wound 9 mm wide, at 14 cm, 3 o'clock"
    assert healing["more"] == "15 mm wide on 1 May 2025"
    assert healing["open"]
    assert not closed["open"]
    assert healing["at_mm"] == [20.0, 0.0, 140.0]  # to the right, half of 40 mm from the middle
    assert closed["at_mm"] == [0.0, 0.0, 220.0]  # nobody said which side
    assert closed["more"] == ""


def test_each_tells_its_why(yard: Workspace, shown: Shape) -> None:
    whys = [each["why"] for each in [*shown["wounds"], *shown["faults"]]]
    whys += [each["told"]["why"] for each in shown["proportions"]]
    assert len(whys) > 5
    for each in whys:
        assert why_told(yard, each)["chain"]
    assert why_told(yard, shown["faults"][0]["why"])["value"] == shown["faults"][0]["words"]


@pytest.mark.parametrize(
    ("found", "place", "said"),
    [
        (0.248, "below", "0.248: usual 0.25 to 0.45, below"),
        (0.254, "within", "0.25: usual 0.25 to 0.45"),
        (0.201, "below", "0.2: usual 0.25 to 0.45, below"),
    ],
)
def test_a_proportion_outside_its_range_does_not_read_like_its_end(
    found: float, place: str, said: str
) -> None:
    row = load_table("ringwise.structure", "proportions").get("first_branch", "height_frac")
    assert proportion_words(Standing(row, found, place)).endswith(said)
