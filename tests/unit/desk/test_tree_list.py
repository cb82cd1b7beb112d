"""The list of trees: found by every word, filtered, sorted either way, in parts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from living_yards import NOW, entry, save, small_yard

from ringwise.desk.living import LivingYard
from ringwise.desk.tree_list import MOST_ROWS, ListWish, tree_list
from ringwise.desk.workspace import open_workspace
from ringwise.faces.web.shapes.trees import TreeList
from ringwise.kit.errors import RangeError, UnknownNameError
from ringwise.kit.reading import Reading, reading
from ringwise.records.dates import exact_day
from ringwise.records.model import Tree


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LivingYard]:
    """The small yard, open, with its almanac."""
    with LivingYard(small_yard(tmp_path_factory.mktemp("list") / "yard")) as found:
        found.workspace().almanac(wait=True)
        yield found


def ids(yard: LivingYard, **asked: Any) -> list[str]:
    """Ids of the rows that are answered."""
    return [row["id"] for row in tree_list(yard.workspace(), ListWish(**asked))["trees"]]


def test_answer_is_that_of_the_contract(yard: LivingYard) -> None:
    """Every key of the contract and none besides; numbers name their why."""
    told = TreeList.model_validate(tree_list(yard.workspace()))
    assert (told.total, told.offset) == (6, 0)
    first = told.trees[0]
    assert (first.id, first.botanical_name, first.place) == ("T1", "Acer palmatum", "left bench")
    assert (first.trunk_mm.value, first.trunk_mm.why) == (41.0, "T1:fact:trunk_mm")
    assert first.girth_mm.why is None
    assert first.next is not None
    assert (first.next.operation, first.next.wanted) == ("repot", True)
    assert told.trees[-1].next is None, "nothing is told of a tree of no list"
    assert [(place.key, place.more) for place in told.places] == [
        ("left bench", "3 trees"),
        ("right bench", "3 trees"),
    ]


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({}, ["T1", "T2", "T3", "T4", "T5", "T10"]),
        ({"sort": "-id"}, ["T10", "T5", "T4", "T3", "T2", "T1"]),
        ({"sort": "trunk"}, ["T1", "T2", "T3", "T4", "T5", "T10"]),
        ({"sort": "-trunk"}, ["T2", "T1", "T3", "T4", "T5", "T10"]),
        ({"sort": "species"}, ["T10", "T1", "T5", "T2", "T4", "T3"]),
        ({"sort": "-name"}, ["T10", "T5", "T4", "T3", "T2", "T1"]),
        ({"sort": "place"}, ["T1", "T2", "T3", "T4", "T5", "T10"]),
        ({"q": "mill"}, ["T1", "T2", "T3", "T4", "T5"]),
        ({"q": "ACER 5"}, ["T5"]),
        ({"q": "gate left"}, ["T1", "T2", "T3"]),
        ({"q": "maple"}, ["T1", "T5"]),
        ({"q": "nowhere"}, []),
        ({"place": "right bench"}, ["T4", "T5", "T10"]),
        ({"species": "acer_palmatum"}, ["T1", "T5"]),
        ({"state": "blocked"}, ["T4"]),
        ({"offset": 2, "limit": 2}, ["T3", "T4"]),
        ({"offset": 50}, []),
    ],
)
def test_found_filtered_and_sorted(yard: LivingYard, asked: dict[str, Any], expected: list[str]) -> None:
    """What is not known stands last, whichever way the list is turned."""
    assert ids(yard, **asked) == expected


def test_next_work_sorts_what_can_be_done_first(yard: LivingYard) -> None:
    """By the day on which the next work opens; a blocked one and a tree without any come last."""
    rows = tree_list(yard.workspace(), ListWish(sort="next"))["trees"]
    assert [row["id"] for row in rows[-2:]] == ["T4", "T10"]
    assert {row["id"] for row in tree_list(yard.workspace(), ListWish(state="wanted"))["trees"]} >= {
        "T1",
        "T2",
    }


def test_bad_wishes_are_named(yard: LivingYard) -> None:
    """Each with its accepted values."""
    with pytest.raises(UnknownNameError, match="next"):
        tree_list(yard.workspace(), ListWish(sort="height"))
    with pytest.raises(UnknownNameError, match="ahead"):
        tree_list(yard.workspace(), ListWish(state="sad"))
    with pytest.raises(RangeError):
        tree_list(yard.workspace(), ListWish(limit=MOST_ROWS + 1))
    with pytest.raises(RangeError):
        tree_list(yard.workspace(), ListWish(offset=-1))


def test_language_and_units_are_the_readers(yard: LivingYard) -> None:
    """The same tree is found by its German name by a German reader, and shown in inches to another."""
    with reading(Reading("de", "metric")):
        german = tree_list(yard.workspace(), ListWish(q="ahorn"))["trees"]
    assert [row["id"] for row in german] == ["T1", "T5"]
    with reading(Reading("en", "inch")):
        assert "in" in tree_list(yard.workspace(), ListWish(q="T1"))["trees"][0]["trunk_mm"]["shown"]


def test_changes_are_seen_at_once(tmp_path: Path) -> None:
    """A new measure, a new name, a retired tree; a workspace opened once answers the same."""
    folder = small_yard(tmp_path / "yard")
    with LivingYard(folder) as yard:
        assert ids(yard, sort="-trunk")[0] == "T2"
        save(yard.store, entry("T3", "trunk", 0, {"diameter_mm": 90.0}))
        assert ids(yard, sort="-trunk")[0] == "T3"
        save(yard.store, Tree("T5", "Weir", "acer_palmatum", retired=exact_day(NOW.at.date())))
        assert ids(yard, q="weir") == []
        assert ids(yard, q="weir", retired=True) == ["T5"]
        asked: tuple[dict[str, Any], ...] = (
            {},
            {"sort": "species"},
            {"q": "mill", "retired": True},
            {"place": "left bench"},
        )
        for each in asked:
            fresh, living = open_workspace(folder), yard.workspace()
            with_next = [tree_list(workspace, ListWish(**each)) for workspace in (fresh, living)]
            for answer in with_next:
                for row in answer["trees"]:
                    row["next"] = None
            assert with_next[0] == with_next[1]
            fresh.store.close()
