"""Today's page of the app: groups, the sentence, shortened lines; head and a stale almanac."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from ringwise.desk import today_sheet as sheet
from ringwise.desk.almanac import Almanac, AlmanacView, WindowTold
from ringwise.desk.almanac_making import make_almanac
from ringwise.desk.build_demo import build_demo
from ringwise.desk.head import head
from ringwise.desk.today_sheet import group_of, short_reasons, today_sheet
from ringwise.desk.trees import retire_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.days import GrowingYear
from ringwise.kit.ranged import DateBand

TODAY = date(2027, 3, 7)


def band(days: int, width: int = 5) -> DateBand:
    middle = TODAY + timedelta(days=days)
    return DateBand(middle - timedelta(days=width), middle, middle + timedelta(days=width))


def window(state: str, opens: int | None, last: int | None = None, operation: str = "repot") -> WindowTold:
    return WindowTold(
        tree="T01",
        operation=operation,
        state=state,
        sentence="",
        opens=None if opens is None else band(opens),
        closes=None if opens is None else band(opens + 20),
        last=None if last is None else band(last),
        open_prob=0.5,
        sign="",
        closes_by="",
        note="",
        blocked=(),
        override_reason="",
        frost_years=None,
        frost_of_years=None,
        wanted=True,
    )


@pytest.mark.parametrize(
    ("told", "group"),
    [
        (window("open", -3), "now"),
        (window("closed", -30), "now"),
        (window("closed", -30, last=2), "now"),
        (window("closed", -40, last=-20), "later"),
        (window("ahead", 14), "soon"),
        (window("ahead", 15), "later"),
        (window("ahead", None), "later"),
        (None, "later"),
    ],
)
def test_a_line_goes_where_its_window_puts_it(told: WindowTold | None, group: str) -> None:
    row = {"operation": "repot", "state": None if told is None else told.state}
    assert group_of(row, told, TODAY) == group


def test_a_line_says_nothing_twice() -> None:
    row = {
        "cue": "planned for 9 Mar",
        "when": "open now",
        "reasons": ["open now", "water stands", "conflict: a and b", "conflict: a and c", "water stands"],
    }
    assert short_reasons(row) == ["water stands", "collides with other work (see below)"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    workspace = build_demo(tmp_path_factory.mktemp("today") / "yard")
    yield workspace
    workspace.store.close()


@pytest.fixture(scope="module")
def almanac(demo: Workspace) -> Almanac:
    return make_almanac(demo, "key")


def rows_of(answer: dict[str, Any]) -> list[dict[str, Any]]:
    return [row for group in answer["groups"] for row in group["rows"]]


def test_every_line_of_the_page_is_in_one_group(demo: Workspace, almanac: Almanac) -> None:
    rows = rows_of(today_sheet(demo, almanac=AlmanacView("ready", almanac)))
    pairs = [(row["tree"], row["operation"], row["entry"]) for row in rows]
    page = [(row["tree"], row["operation"], row["entry"]) for row in almanac.page["due"]]
    assert sorted(pairs, key=str) == sorted(page, key=str)
    assert {row["tree"] for row in rows if row["now"]} >= {"T21", "T28"}
    assert all(row["cue"] not in row["reasons"] and row["when"] not in row["reasons"] for row in rows)


def quiet(almanac: Almanac, keep: set[str]) -> AlmanacView:
    page = almanac.page | {"due": [row for row in almanac.page["due"] if row["tree"] in keep]}
    return AlmanacView("ready", replace(almanac, page=page))


def test_a_day_without_work_says_so_and_names_the_first_window(demo: Workspace, almanac: Almanac) -> None:
    told = today_sheet(demo, almanac=quiet(almanac, {"T03", "T12"}))
    kept = almanac.tree("T03")
    assert kept is not None
    repot = kept.window("repot")
    assert repot is not None
    assert repot.opens is not None
    day = f"{repot.opens.median.day} Mar"
    assert told["sentence"] == (
        f"Nothing needs you today; the first window opens around {day} (Old Ferry, repot)."
    )
    assert today_sheet(demo, almanac=quiet(almanac, set()))["sentence"] == "Nothing needs you today."


def test_the_sentence_of_a_day_with_work_names_what_closes_first(demo: Workspace, almanac: Almanac) -> None:
    told = today_sheet(demo, almanac=quiet(almanac, {"T21", "T28"}))
    assert told["sentence"] == "3 works want you these days; first to close: Tarn, repot."


def test_a_tree_that_left_since_the_almanac_was_made_is_not_shown(
    tmp_path_factory: pytest.TempPathFactory, almanac: Almanac
) -> None:
    own = build_demo(tmp_path_factory.mktemp("left") / "yard")
    retire_tree(own, "T21", "sold")
    later = open_workspace(own.folder)
    told = today_sheet(later, almanac=AlmanacView("making", almanac))
    assert "T21" not in {row["tree"] for row in rows_of(told)}
    assert told["almanac"] == "making"
    top = head(later, almanac=AlmanacView("making", almanac))
    assert (top["trees"], top["retired"], top["undo"]) == (39, 1, "retire tree Tarn")
    assert top["stamp"] == own.store.latest_step()


def test_without_an_almanac_the_page_says_why(demo: Workspace) -> None:
    making = today_sheet(demo, almanac=AlmanacView("making"))
    assert making["sentence"] == "The almanac is being made; what is due follows in a moment."
    failed = today_sheet(demo, almanac=AlmanacView("none", failed="the disk is full"))
    assert failed["sentence"] == "the disk is full"


def test_the_page_of_a_yard_without_weather_keeps_its_reason(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    from ringwise.desk.trees import NewTree, add_tree

    bare = open_workspace(tmp_path_factory.mktemp("bare") / "yard", on=TODAY.isoformat())
    add_tree(bare, NewTree("Old Elm", "Ulmus procera"))
    made = make_almanac(open_workspace(bare.folder, on=TODAY.isoformat()), "key")
    told = today_sheet(open_workspace(bare.folder, on=TODAY.isoformat()), almanac=AlmanacView("ready", made))
    assert told["notes"][0].startswith("No windows can be told")
    assert told["sentence"] == "Nothing needs you today."
    assert made.year == GrowingYear(2027)
    assert sheet.SOON_DAYS == 14
