"""The turn of the growing year: autumn windows run on past it, and a rest begins with leaf fall."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from functools import partial
from itertools import count
from pathlib import Path

import numpy as np
import pytest

import ringwise.desk.yard_forecast as made_here
from ringwise.desk.outlook import tree_window
from ringwise.desk.settings import write_settings
from ringwise.desk.weather import rows_of
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.kit.days import GrowingYear
from ringwise.kit.ranged import DateBand
from ringwise.phenology.stages import AUTUMN
from ringwise.records.dates import exact_day
from ringwise.records.model import Action, Entry, Tree
from ringwise.records.store import open_store
from ringwise.season.window import Window
from ringwise.weather.series import series_of
from ringwise.weather.years import TAIL_DAYS

YEAR = 2026  # the growing year that ends
QUINCE, MAPLE, PINE = "T1", "T2", "T3"
DAY = timedelta(days=1)

YardOn = Callable[..., Workspace]


@pytest.fixture(params=[False, True], ids=["north", "south"])
def year(request: pytest.FixtureRequest) -> GrowingYear:
    return GrowingYear(YEAR, request.param)


@pytest.fixture
def yard_on(tmp_path: Path, year: GrowingYear) -> Iterator[YardOn]:
    """A yard as seen so many days after the last of the growing year; weather is measured up to that day."""
    number, opened = count(), []

    def made(days_on: int, *, bare_days_on: int | None = None, past_years: int = 7) -> Workspace:
        first = GrowingYear(YEAR + 1 - past_years, year.south).start
        folder, today = tmp_path / f"yard{next(number)}", year.end + days_on * DAY
        place = np.arange((today - first).days + 1)
        rough = np.random.default_rng(4).normal(0.0, 2.0, 4000)[: place.size]
        mean = 10.5 - 9.0 * np.cos(2 * np.pi * (place - 76) / 365.25) + rough  # coldest in midwinter
        columns = {"tmin_degC": mean - 4.0, "tmax_degC": mean + 4.0, "tmean_degC": mean}
        trees = [
            Tree(QUINCE, "Quince", "chaenomeles_japonica"),
            Tree(MAPLE, "Maple", "acer_palmatum"),
            Tree(PINE, "Pine", "pinus_sylvestris"),
        ]
        seen = []
        if bare_days_on is not None:
            data = {"code": AUTUMN[-1], "extent": "first"}
            seen = [Entry("", MAPLE, "stage", exact_day(year.end + bare_days_on * DAY), data)]
        write_settings(folder, {"latitude_deg": -49.0 if year.south else 49.0})
        with open_store(folder) as store:
            written = Action("grower", "log", datetime(YEAR, 12, 31, 12, tzinfo=UTC))
            store.save(written, [*trees, *seen])
            store.weather_put(written, rows_of(series_of(first, columns, station="yard")))
        workspace = open_workspace(folder, on=today.isoformat())
        opened.append(workspace)
        return workspace

    yield made
    for workspace in opened:
        workspace.store.close()


def _days(band: DateBand) -> tuple[date, date, date]:
    return band.low, band.median, band.high


def near(one: Window, other: Window) -> None:
    """Two windows of one autumn, seen a day apart."""
    assert one.year == other.year
    for here, there in ((one.opens, other.opens), (one.closes, other.closes)):
        assert here is not None
        assert there is not None
        assert abs((here.median - there.median).days) <= 2
        assert abs((here.high - there.high).days) <= 4
    assert abs(one.open_prob - other.open_prob) < 0.15


def test_an_autumn_window_is_the_same_on_both_sides_of_the_turn(yard_on: YardOn, year: GrowingYear) -> None:
    eve, morrow = (tree_window(yard_on(days), QUINCE, "repot") for days in (0, 1))
    assert eve.year == year
    assert eve.closes is not None
    assert eve.closes.median > year.end, "the yard's autumn has to run past the turn to show anything"
    near(eve, morrow)
    assert morrow.state == eve.state == "open"


def test_an_autumn_window_ends_with_its_band_and_gives_way_to_the_next(
    yard_on: YardOn, year: GrowingYear
) -> None:
    told = [tree_window(yard_on(days), QUINCE, "repot") for days in range(1, TAIL_DAYS + 2, 6)]
    labels = [each.year.label for each in told]
    assert labels == sorted(labels)
    assert labels[0] == year.label
    assert labels[-1] == year.label + 1
    for each in told:
        assert each.closes is not None
        assert each.seen_on is not None
        assert each.closes.high >= each.seen_on


def test_a_tree_in_leaf_is_not_at_rest_because_the_year_turned(yard_on: YardOn, year: GrowingYear) -> None:
    workspace = yard_on(1)
    yard = yard_forecast(workspace)
    window = tree_window(workspace, MAPLE, "structural_prune", yard)
    before = yard.year_before(workspace)
    assert before is not None
    bare = before.trees[MAPLE]
    assert bare.band(AUTUMN[-1]).median > workspace.today, "else the tree is bare at the turn"
    assert window.year.label == year.label + 1
    assert window.state == "ahead"
    assert window.opens is not None
    for told, fell in zip(_days(window.opens), _days(bare.band(AUTUMN[-1])), strict=True):
        assert abs((told - fell).days) <= 1  # windows open on whole days
    assert window.open_prob == pytest.approx(bare.prob_reached(AUTUMN[-1], workspace.today), abs=0.02)


def test_the_rest_opens_as_the_tree_gets_bare(yard_on: YardOn, year: GrowingYear) -> None:
    eve, morrow = (tree_window(yard_on(days), MAPLE, "structural_prune") for days in (0, 1))
    near(eve, morrow)
    chances = [
        tree_window(yard_on(days), MAPLE, "structural_prune").open_prob for days in (1, 20, 40, TAIL_DAYS + 1)
    ]
    assert chances == sorted(chances)
    assert chances[0] < 0.5
    assert chances[-1] == 1.0


@pytest.mark.parametrize("days_on", [-2, 0, 1, 12])
def test_a_tree_seen_bare_is_at_rest_on_either_side_of_the_turn(yard_on: YardOn, days_on: int) -> None:
    window = tree_window(yard_on(days_on, bare_days_on=days_on - 2), MAPLE, "structural_prune")
    assert window.state == "open"
    assert window.open_prob > 0.9


def test_the_year_that_ended_is_observed_up_to_today_and_no_further(yard_on: YardOn) -> None:
    workspace = yard_on(9)
    before = yard_forecast(workspace).year_before(workspace)
    assert before is not None
    ahead = before.members
    now = ahead.column(workspace.today)
    spread = partial(np.ptp, axis=0)
    assert ahead.observed[ahead.lead_days : now + 1].all()
    assert not ahead.observed[now + 1 :].any()
    assert ahead.last > workspace.today
    assert spread(ahead.tmean_degC[:, : now + 1]).max() == 0.0
    assert spread(ahead.tmean_degC[:, now + 1 :]).min() > 0.0


def test_where_the_year_that_ended_is_the_only_past_one_the_rest_opens_by_leaf_fall_too(
    yard_on: YardOn, year: GrowingYear
) -> None:
    leafy = tree_window(yard_on(3, past_years=1), MAPLE, "structural_prune")
    assert leafy.year.label == year.label + 1
    assert leafy.state == "ahead"
    assert 0.0 < leafy.open_prob < 0.5
    bare = tree_window(yard_on(3, past_years=1, bare_days_on=1), MAPLE, "structural_prune")
    assert bare.state == "open"
    assert bare.open_prob == 1.0
    quince = tree_window(yard_on(1, past_years=1), QUINCE, "repot")
    assert quince.year == year
    assert quince.state == "open"


@pytest.mark.parametrize(
    ("days_on", "tree", "works", "wanted"),
    [
        (TAIL_DAYS + 1, MAPLE, ("structural_prune", "repot"), {0}),  # its autumn is past
        (-120, MAPLE, ("structural_prune", "repot"), {0, 1}),
        (5, PINE, ("structural_prune", "repot"), {0}),  # no leaf fall
        (5, MAPLE, ("repot",), {0}),  # a work of spring
        (5, MAPLE, ("structural_prune",), {0, -1}),
    ],
)
def test_the_year_before_is_forecast_only_where_a_window_needs_it(
    yard_on: YardOn,
    monkeypatch: pytest.MonkeyPatch,
    days_on: int,
    tree: str,
    works: tuple[str, ...],
    wanted: set[int],
) -> None:
    workspace = yard_on(days_on)
    made: list[int] = []
    make = made_here._made

    def counted(of: Workspace, years_on: int) -> made_here.YardForecast:
        made.append(years_on)
        return make(of, years_on)

    monkeypatch.setattr(made_here, "_made", counted)
    yard = yard_forecast(workspace)
    for work in works:
        tree_window(workspace, tree, work, yard)
    assert set(made) == wanted
    assert len(made) == len(wanted)
