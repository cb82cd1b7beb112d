"""The underside as a map: what was typed, what a traced photo tells, and how it is drawn."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ElementTree

import pytest

from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, RangeError, UnknownNameError
from ringwise.structure.line_svg import svg
from ringwise.structure.root_drawing import root_drawing
from ringwise.structure.root_words import map_words
from ringwise.structure.roots import (
    FINDS,
    RootMap,
    TracedRoot,
    root_data,
    root_map,
    root_sectors,
    traced_map,
    typed_map,
)


def test_hours_run_over_twelve_and_finds_add_up() -> None:
    found = typed_map(["11-1=fine", "12=thick,2cut", "12=thick"])
    assert {each.hour: dict(each.finds) for each in found.sectors if each.finds} == {
        11: {"fine": 1},
        12: {"fine": 1, "thick": 2, "cut": 2},
        1: {"fine": 1},
    }
    assert (found.looked, found.filled) == (3, 3)


def test_only_live_roots_fill_a_sector() -> None:
    data = root_data(typed_map(["1=thick", "2=fine", "3=cut", "4=dead", "5=missing", "6=hollow", "7=none"]))
    assert root_sectors(data) == (True, True, False, False, False, False, False, None, None, None, None, None)
    assert root_map(data) == root_map(root_data(root_map(data)))


@pytest.mark.parametrize(
    ("text", "kind", "told"),
    [
        ("3", InputError, "3=thick,2cut"),
        ("3=", InputError, "3=thick,2cut"),
        ("13=thick", RangeError, "1 to 12"),
        ("x=thick", RangeError, "1 to 12"),
        ("3=thik", UnknownNameError, "thick"),
        ("3=0thick", RangeError, "1 to 99"),
        ("3=none,fine", InputError, "none does not go with fine"),
    ],
)
def test_what_does_not_read_says_how_to_write_it(text: str, kind: type[InputError], told: str) -> None:
    with pytest.raises(kind, match=re.escape(told)):
        typed_map([text])


def _marks(*, below: bool) -> dict[str, object]:
    """Roots at 3 and 10 o'clock by hand, on a photo whose front lies to the right; 2 px a mm."""
    front_deg = 0.0  # towards +x in the picture

    def place(clock: float, away_mm: float) -> list[float]:
        turn = (clock - 6.0) * 30.0 * (-1.0 if below else 1.0)  # clockwise in the picture, as from above
        angle = math.radians(front_deg + turn)
        return [500.0 + 2.0 * away_mm * math.cos(angle), 400.0 + 2.0 * away_mm * math.sin(angle)]

    return {
        "centre": [500, 400],
        "front": [700, 400],
        "scale": {"points": [[100, 700], [700, 700]], "mm": 300.0},
        "mirrored": not below,
        "roots": [
            {"base": place(3.0, 40.0), "end": place(3.0, 120.0)},
            {"base": place(10.2, 30.0), "end": place(10.2, 90.0), "cut": True, "fine": True},
        ],
    }


@pytest.mark.parametrize("below", [True, False], ids=["from below", "mirrored"])
def test_a_photo_from_below_and_its_mirror_give_the_same_map(below: bool) -> None:
    found = traced_map(_marks(below=below), file="r.json")
    assert [round(each.clock, 6) for each in found.roots] == [3.0, 10.2]
    assert [each.end_mm for each in found.roots] == pytest.approx([120.0, 90.0])
    assert [each.base_mm for each in found.roots] == pytest.approx([40.0, 30.0])
    assert dict(found.sectors[2].finds) == {"thick": 1}
    assert dict(found.sectors[9].finds) == {"fine": 1, "cut": 1}
    assert dict(found.sectors[0].finds) == {"none": 1}
    assert found.looked == 12


def test_a_traced_root_fills_the_nearest_hour() -> None:
    places = {3.7: 4, 3.3: 3, 0.3: 12, 11.7: 12, 12.6: 1}
    for clock, hour in places.items():
        angle = math.radians((clock - 6.0) * -30.0)
        end = [500.0 + 200.0 * math.cos(angle), 400.0 + 200.0 * math.sin(angle)]
        found = traced_map({**_marks(below=True), "roots": [{"base": [500, 400], "end": end}]}, file="r.json")
        assert [each.hour for each in found.sectors if each.live] == [hour]


def test_a_dead_root_is_dead_however_fine_and_every_cut_counts() -> None:
    end = [500.0, 200.0]
    roots = [
        {"base": [500, 350], "end": end, "cut": True},
        {"base": [500, 350], "end": end, "cut": True},
        {"base": [500, 350], "end": end, "dead": True, "fine": True},
    ]
    found = traced_map({**_marks(below=True), "roots": roots}, file="r.json")
    (sector,) = (each for each in found.sectors if "none" not in each.finds)
    assert dict(sector.finds) == {"thick": 2, "cut": 2, "dead": 1}


def test_more_of_one_kind_than_anybody_counts_is_the_most() -> None:
    assert dict(typed_map(["3=60fine", "3=60fine"]).sectors[2].finds) == {"fine": 99}


def test_twice_the_rule_is_twice_the_reach_and_the_same_hours() -> None:
    marks = _marks(below=True)
    once = traced_map(marks, file="r.json")
    twice = traced_map({**marks, "scale": {"points": [[100, 700], [700, 700]], "mm": 600.0}}, file="r.json")
    assert [r.end_mm for r in twice.roots] == pytest.approx([2.0 * r.end_mm for r in once.roots])
    assert [r.clock for r in twice.roots] == [r.clock for r in once.roots]


def test_root_spread_is_the_longest_way_between_ends() -> None:
    data = {
        "sectors": {},
        "roots": [{"clock": c, "base_mm": 30, "end_mm": e} for c, e in ((3, 120), (9, 80))],
    }
    assert root_map(data).spread_mm == pytest.approx(200.0)
    roots = [
        TracedRoot(3.0, 30.0, 120.0),
        TracedRoot(9.0, 30.0, 80.0),
        TracedRoot(12.0, 30.0, 400.0, cut=True),
    ]
    assert RootMap((), tuple(roots)).spread_mm == pytest.approx(200.0)  # what was cut off spreads no more
    assert RootMap((), tuple(roots[:1])).spread_mm is None


@pytest.mark.parametrize(
    ("change", "kind", "told"),
    [
        ({"front": [500, 400]}, FileFormatError, "centre and front"),
        ({"front": "here"}, FileFormatError, "front must be a place"),
        ({"roots": []}, FileFormatError, "1 to 500"),
        ({"roots": [{"base": [1, 2]}]}, MissingFieldError, "root 1 needs base and end"),
        ({"scale": {"mm": 300}}, MissingFieldError, "scale needs points"),
        ({"scale": {"points": [[0, 0], [9, 0]], "mm": 9000}}, RangeError, "5 to 3000 mm"),
        ({"scale": {"points": [[0, 0], [0, 0]], "mm": 90}}, FileFormatError, "one place"),
    ],
)
def test_marks_that_do_not_serve_are_named(
    change: dict[str, object], kind: type[Exception], told: str
) -> None:
    with pytest.raises(kind, match=re.escape(told)) as wrong:
        traced_map({**_marks(below=True), **change}, file="r.json")
    assert "r.json" in str(wrong.value)


def test_every_find_is_drawn_and_written() -> None:
    found = typed_map([f"{hour + 1}={find}" for hour, find in enumerate(FINDS)])
    bare = root_drawing(typed_map(["12=none"]))
    drawn = root_drawing(found)
    words = {each.text for each in drawn.labels}
    for find in FINDS:
        assert any(find in each for each in words)
    assert len(drawn.marks) > len(bare.marks)
    root = ElementTree.fromstring(svg(drawn, title=map_words(found)))
    assert len(list(root)) > 5


def test_the_front_lies_at_the_foot_and_three_to_the_right() -> None:
    labels = {each.text: (each.x_mm, each.y_mm) for each in root_drawing(typed_map(["3=thick"])).labels}
    assert labels["6"][1] < -100.0
    assert labels["12"][1] > 100.0
    assert labels["3"][0] > 100.0
