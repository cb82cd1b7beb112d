"""The almanac says what the outlook and today's page say, and is made anew for what it is made from alone."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from living_yards import NOW, entry, save, small_yard, stage

from ringwise.desk.almanac import NO_DAY, Almanac, NextTold, almanac_of_text, almanac_text, next_order
from ringwise.desk.almanac_making import KEPT, KIND, almanac_key, kept_almanac, make_almanac
from ringwise.desk.outlook import outlook
from ringwise.desk.settings import write_settings
from ringwise.desk.today import today_page
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.ranged import DateBand
from ringwise.kit.reading import Reading, reading


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workspace]:
    """The small yard, opened."""
    found = open_workspace(small_yard(tmp_path_factory.mktemp("almanac") / "yard"))
    yield found
    found.store.close()


@pytest.fixture(scope="module")
def almanac(workspace: Workspace) -> Almanac:
    """Its almanac."""
    return make_almanac(workspace, "key")


def _days(band: DateBand | None) -> list[str | None]:
    return [None] * 3 if band is None else [d.isoformat() for d in (band.low, band.median, band.high)]


def test_windows_are_those_of_the_outlook(workspace: Workspace, almanac: Almanac) -> None:
    """Every window of `ringwise outlook` stands in the almanac with the same values."""
    rows = outlook(workspace, [name for name in workspace.facts if name != "T10"])["windows"]
    assert len(rows) == 5
    for row in rows:
        tree = almanac.tree(row["tree"])
        assert tree is not None
        window = tree.window(row["operation"])
        assert window is not None
        assert (window.state, window.sentence, window.sign) == (row["state"], row["sentence"], row["sign"])
        assert _days(window.opens) == [row[f"opens_{part}"] for part in ("low", "median", "high")]
        assert _days(window.closes) == [row[f"closes_{part}"] for part in ("low", "median", "high")]
        assert "; ".join(window.blocked) == row["blocked"]
        assert (window.frost_years, window.frost_of_years) == (row["frost_years"], row["frost_of_years"])
        assert [each["kind"] for each in window.risks] == [each["kind"] for each in row["risks"]]
        for kept, told in zip(window.risks, row["risks"], strict=True):
            assert {key: told[key] for key in kept} == kept
        assert (window.carry_in, window.carry_in_words) == (row["carry_in"], row["carry_in_words"])
        left, said = window.days_left(workspace.today), row["days_left"]
        assert (left is None) is (said is None)
        if left is not None and said is not None:
            assert (left.low, left.median, left.high) == (said["low"], said["median"], said["high"])
        chances = row["chance_by_day"]
        assert (window.chances is None) is (chances is None)
        if window.chances is not None:
            assert window.chances.first.isoformat() == chances["first"]
            assert window.chances.open_prob == pytest.approx(chances["open_prob"], abs=0.006)
        assert (tree.own_seasons, tree.basis, tree.model) == (row["own_seasons"], row["basis"], row["model"])
        if row["open_prob"] is not None:
            assert window.open_prob is not None
            assert math.isclose(window.open_prob, row["open_prob"], abs_tol=5e-4)


def test_stages_are_those_of_the_forecast(workspace: Workspace, almanac: Almanac) -> None:
    """Every stage of every tree has the band and the chance of never that its forecast tells."""
    yard = yard_forecast(workspace)
    for tree, forecast in yard.trees.items():
        told = almanac.tree(tree)
        assert told is not None
        assert tuple(each.code for each in told.stages) == forecast.codes
        for each in told.stages:
            assert each.band == forecast.band(each.code)
            assert each.never_prob == pytest.approx(forecast.prob_never(each.code))


def test_page_is_todays_page(workspace: Workspace, almanac: Almanac) -> None:
    """What is due, left alone and in conflict is what `ringwise today` says."""
    assert almanac.page == today_page(workspace)


def test_planned_and_due_works_are_wanted(almanac: Almanac) -> None:
    """A plan is wanted, a usual repot that nobody planned and nothing asks for is not."""
    first, fifth = almanac.tree("T1"), almanac.tree("T5")
    assert first is not None
    assert fifth is not None
    assert [each.wanted for each in first.windows if each.operation == "repot"] == [True]
    assert [(each.operation, each.wanted) for each in fifth.windows] == [("repot", False)]


def test_unlisted_kind_has_nothing_told(almanac: Almanac) -> None:
    """A tree of no list is left out, not guessed."""
    assert almanac.tree("T10") is None
    assert "T10" not in almanac.trees


def test_packed_next_is_that_of_the_unpacked_tree(almanac: Almanac) -> None:
    """The list's short way to the next work agrees with the tree's own."""
    for tree in almanac.trees:
        told = almanac.tree(tree)
        assert told is not None
        assert told.next is not None
        packed = almanac.nexts[tree]
        assert (packed.operation, packed.sentence) == (told.next.operation, told.next.sentence)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (NextTold("a", "ahead", True, 9, ""), NextTold("a", "open", False, 1, "")),
        (NextTold("a", "open", True, 9, ""), NextTold("a", "ahead", True, 1, "")),
        (NextTold("a", "ahead", False, 1, ""), NextTold("a", "ahead", False, 2, "")),
        (NextTold("a", "ahead", False, NO_DAY, ""), NextTold("a", "blocked", True, 1, "")),
        (NextTold("a", "ahead", False, 1, ""), NextTold("a", "closed", True, 1, "")),
    ],
)
def test_order_of_next_works(first: NextTold, second: NextTold) -> None:
    """What can be done and is wanted comes first."""
    assert next_order(first.opens, first) < next_order(second.opens, second)


def test_text_and_back(almanac: Almanac) -> None:
    """Nothing is lost in the store."""
    assert almanac_of_text(almanac_text(almanac)) == almanac


def test_words_are_those_of_the_reading(workspace: Workspace) -> None:
    """An almanac for a German reader is German, under a key of its own."""
    with reading(Reading("de", "metric")):
        german = make_almanac(workspace, almanac_key(workspace))
    with reading(Reading("en", "metric")):
        assert almanac_key(workspace) != german.key
    told = german.tree("T1")
    assert told is not None
    window = told.window("repot")
    assert window is not None
    assert "öffnet" in window.sentence or "offen" in window.sentence


def test_key_changes_with_what_forecasts_read(tmp_path: Path) -> None:
    """A note leaves the almanac as it is; a stage, a plan, another day, other weather do not."""
    folder = small_yard(tmp_path / "yard")

    def key() -> str:
        with open_workspace(folder).store as store:
            del store
            return almanac_key(open_workspace(folder))

    first = key()
    with open_workspace(folder).store as store:
        save(store, entry("T1", "note", 1, {}, "seen from afar"))
        assert key() == first
        keys = {first}
        save(store, stage("T2", "01", 1))
        keys.add(key())
        save(store, entry("T3", "planned", 0, {"operation": "repot"}))
        keys.add(key())
        write_settings(folder, {"latitude_deg": 52.4, "today": date(2027, 3, 8)})
        keys.add(key())
        store.undo("grower", NOW.at)
        store.undo("grower", NOW.at)
        write_settings(
            folder, {"name": "Small yard", "latitude_deg": 52.4, "today": date(2027, 3, 7), "invented": True}
        )
        assert key() == first, "what was taken back leaves no trace"
        store.undo("grower", NOW.at)  # the note
        store.undo("grower", NOW.at)  # the weather
        keys.add(key())
        assert len(keys) == 5


def test_without_weather_the_page_is_still_there(tmp_path: Path) -> None:
    """No windows, and the reason; the rest of the page stands."""
    workspace = open_workspace(small_yard(tmp_path / "yard", weather=False))
    made = make_almanac(workspace, "key")
    assert made.raw == {}
    assert made.missing
    assert made.page == today_page(workspace)


def test_store_keeps_few_almanacs(tmp_path: Path) -> None:
    """Each day makes another one; old ones are let go, the last one is served again."""
    folder = small_yard(tmp_path / "yard")
    made = []
    for day in range(1, KEPT + 3):
        workspace = open_workspace(folder, on=f"2027-03-{day:02}")
        made.append(kept_almanac(workspace))
        assert kept_almanac(workspace) == made[-1]
        workspace.store.close()
    with open_workspace(folder).store as store:
        there = [store.result_get(each.key) is not None for each in made]
        assert there == [False] * 2 + [True] * KEPT
        assert store.results_keep(KIND, 0) == KEPT
