"""What a long record teaches: the heat a model asks for, how far each is trusted, autumn by its own mean."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import StageForecast
from ringwise.phenology.models import model
from ringwise.phenology.need import Curves, days_at, fitted_need, levels, mean_error
from ringwise.phenology.seen import SeenStage, TreeRecord, spread_of
from ringwise.phenology.species import SpeciesDays, YardWeather, species_days, yard_weather
from ringwise.phenology.teaching import OwnDay, autumn_members, spring_members
from ringwise.phenology.usual import usual_leaf
from ringwise.phenology.yard import OPEN, one_place, yard_forecast
from ringwise.records.taxa import taxon
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

TODAY, YEAR, LUCK = date(2027, 2, 10), GrowingYear(2027), Luck(11, 20)
MAPLE, BEECH = "acer_palmatum", "fagus_sylvatica"
LABELS = tuple(range(2015, 2027))


@lru_cache(maxsize=4)
def series(last: date = TODAY) -> WeatherSeries:
    """Twenty years that differ by some days of spring and of autumn."""
    first = date(2006, 8, 1)
    days = np.arange((last - first).days + 1)
    wave = 9.0 - 9.0 * np.cos(2 * np.pi * (days - 150) / 365.25)
    slow = 2.5 * np.sin(days / 97.0) + 1.5 * np.sin(days / 41.0)
    mean = wave + slow + np.random.default_rng(3).normal(0, 2.0, days.size)
    return series_of(first, {"tmin_degC": mean - 4, "tmax_degC": mean + 4})


@lru_cache(maxsize=1)
def yard() -> YardWeather:
    return yard_weather(series(), members(series(), issue=TODAY, year=YEAR), latitude_deg=48.0)


@lru_cache(maxsize=4)
def kind(key: str) -> SpeciesDays:
    return species_days(taxon(key), yard(), LUCK)


def model_days(name: str, **values: float) -> dict[int, float]:
    """Day index of each past year by a model with given parameters, from the weather alone."""
    found = model(name).run({key: np.array([value]) for key, value in values.items()}, yard().past)[:, 0]
    return dict(zip(yard().labels, found.tolist(), strict=True))


def seen(days: dict[int, float], code: str, labels: tuple[int, ...] = LABELS) -> tuple[SeenStage, ...]:
    """A stage seen on those days, looked at daily."""
    found = []
    for label in labels:
        year = GrowingYear(label)
        day = year.day_at(days[label])
        found.append(SeenStage(code, year, day, day - timedelta(days=1)))
    return tuple(found)


def forecast(record: TreeRecord, *others: TreeRecord) -> StageForecast:
    made = yard_forecast([record, *others], one_place(yard()), today=TODAY, luck=LUCK)
    return made[record.tree]


def own_days(days: dict[int, float], code: str, labels: tuple[int, ...] = LABELS) -> list[OwnDay]:
    return [OwnDay(label, OPEN, code, days[label]) for label in labels]


def test_a_refit_recovers_a_known_need_and_touches_nothing_else() -> None:
    truth = model_days("thermal_time", start_day=50.0, base=0.0, heat=215.0)
    taught = spring_members({OPEN: kind(MAPLE)}, own_days(truth, "07"))
    fitted, mean = taught.members
    assert (taught.seasons, fitted.name, mean.name) == (12, "thermal_time", "mean")
    assert fitted.choice is not None
    values = {name: row.number for name, row in fitted.choice.rows.items()}
    assert values["heat"] == pytest.approx(215.0, abs=8.0)  # less than a day of warmth
    assert (values["start_day"], values["base"]) == (50.0, 0.0)
    assert fitted.error_days is not None
    assert fitted.error_days < 1.0
    assert fitted.weight_frac > mean.weight_frac
    # Error 0.5 at least is trusted; the mean, beaten, has no more than its squared error earns.
    assert mean.error_days is not None
    assert mean.weight_frac == pytest.approx(0.25 / (0.25 + mean.error_days**2))


def test_the_forecast_follows_the_refitted_need() -> None:
    truth = model_days("thermal_time", start_day=50.0, base=0.0, heat=215.0)
    told = forecast(TreeRecord(1, taxon(MAPLE), seen(truth, "07")))
    plain = forecast(TreeRecord(1, taxon(MAPLE)))
    ahead = model("thermal_time").run(
        {"start_day": np.array([50.0]), "base": np.array([0.0]), "heat": np.array([215.0])}, yard().now
    )
    assert float(np.median(told.samples("07"))) == pytest.approx(float(np.median(ahead)), abs=3.0)
    assert np.median(told.samples("07")) < np.median(plain.samples("07")) - 4
    assert (told.model, told.basis, told.own_seasons) == ("thermal_time", "fitted", 12)


def test_with_fewer_seasons_nothing_is_refitted() -> None:
    truth = model_days("thermal_time", start_day=50.0, base=0.0, heat=215.0)
    few = LABELS[-int(spread_of("refit_seasons")) + 1 :]
    assert spring_members({OPEN: kind(MAPLE)}, own_days(truth, "07", few)).members == ()
    enough = LABELS[-int(spread_of("refit_seasons")) :]
    assert len(spring_members({OPEN: kind(MAPLE)}, own_days(truth, "07", enough)).members) == 2


def test_the_model_that_is_right_leads_and_one_that_does_not_beat_the_mean_has_a_tenth() -> None:
    clock = kind(BEECH).spring
    place = [each.name for each in clock.members].index("menzel")
    truth = {label: float(clock.past[label][clock.member_of == place][0]) for label in LABELS}
    right = {each.name: each for each in spring_members({OPEN: kind(BEECH)}, own_days(truth, "11")).members}
    assert max(right.values(), key=lambda each: each.weight_frac).name == "menzel"
    still = {label: 115.0 + label % 2 for label in LABELS}  # leaves on nearly the same day, whatever the year
    wrong = {each.name: each for each in spring_members({OPEN: kind(BEECH)}, own_days(still, "11")).members}
    assert max(wrong.values(), key=lambda each: each.weight_frac).name == "mean"
    most = spread_of("beaten_weight")
    assert all(each.weight_frac <= most + 1e-9 for name, each in wrong.items() if name != "mean")


def test_own_seasons_are_not_counted_twice() -> None:
    """The refit explains the mean, so no offset is left of it; the draws are shared out once."""
    exact = model_days("thermal_time", start_day=50.0, base=0.0, heat=215.0)
    truth = {label: exact[label] + (4 if label % 2 else -4) for label in LABELS}  # the mean has a share
    told = forecast(TreeRecord(1, taxon(MAPLE), seen(truth, "07")))
    offset = next(link for _d, link in told.why("07").walk() if link.room == "phenology.offsets")
    assert abs(float(offset.value.split()[0])) < 0.6
    shares = {link.formula: link.label for _d, link in told.why("07").walk() if "of the draws" in link.label}
    taught = spring_members({OPEN: kind(MAPLE)}, own_days(truth, "07"))
    wanted = round(100 * round(taught.members[0].weight_frac * LUCK.draws) / LUCK.draws)
    assert shares["thermal_time, budbreak = 07"].startswith(f"thermal_time, {wanted} % of the draws")


@pytest.mark.parametrize(("key", "label"), [(MAPLE, 2025), (MAPLE, 2026), ("larix_decidua", 2025)])
def test_the_season_of_the_refit_does_not_widen_the_band(key: str, label: int) -> None:
    """A tree six days later than its model every year: no mean of the years blurs what the model knows.

    Springs that come early or late by weeks, with the weather known up to 5 April.
    """
    today, year = date(label, 4, 5), GrowingYear(label)
    told = series(today)
    weather = yard_weather(told, members(told, issue=today, year=year), latitude_deg=48.0)
    clock = species_days(taxon(key), weather, LUCK).spring
    code, least = clock.members[0].code, int(spread_of("refit_seasons"))
    days = {k: round(float(np.median(clock.past[k]))) + 6.0 for k in range(label - least, label)}
    found = []
    for count in (least - 1, least):
        record = TreeRecord(1, taxon(key), seen(days, code, tuple(range(label - count, label))))
        found.append(yard_forecast([record], one_place(weather), today=today, luck=LUCK)[1])
    widths = [float(np.ptp(np.percentile(each.samples(code), (10, 90)))) for each in found]
    assert widths[1] < widths[0] + 0.5
    text = [f"{link.label}: {link.value}" for _depth, link in found[1].why(code).walk()]
    assert any(line.startswith("own mean day left out: ") for line in text)
    assert found[1].usual is not None  # the mean is still shown beside the forecast
    assert found[1].usual_seasons == least


def test_what_a_kind_says_of_the_place_is_not_lost_when_it_is_refitted() -> None:
    """A larch hears of an early place from maples, before their refit as after it."""
    truth = model_days("thermal_time", start_day=50.0, base=0.0, heat=215.0)
    least = int(spread_of("refit_seasons"))
    larch = TreeRecord(9, taxon("larix_decidua"))
    medians = [
        float(np.median(forecast(larch, TreeRecord(1, taxon(MAPLE), told)).samples("11")))
        for told in ((), seen(truth, "07", LABELS[-least + 1 :]), seen(truth, "07", LABELS[-least:]))
    ]
    assert medians[1] < medians[0] - 0.1
    assert abs(medians[2] - medians[1]) < 0.5


def test_a_tree_that_differs_from_its_kin_still_does_after_a_refit() -> None:
    truth = model_days("thermal_time", start_day=50.0, base=0.0, heat=260.0)
    late = {label: day + 8 for label, day in truth.items()}
    trees = [TreeRecord(k, taxon(MAPLE), seen(truth, "07")) for k in (1, 2, 3)]
    odd = TreeRecord(4, taxon(MAPLE), seen(late, "07"))
    made = yard_forecast([*trees, odd], one_place(yard()), today=TODAY, luck=LUCK)
    apart = float(np.median(made[4].samples("07")) - np.median(made[1].samples("07")))
    assert 4 < apart < 9


def test_autumn_is_its_own_mean_from_the_first_season_on() -> None:
    days = {label: 300.0 + 3 * (label % 3) for label in LABELS}
    for count in (1, 3):
        labels = LABELS[-count:]
        taught = autumn_members({OPEN: kind(MAPLE)}, own_days(days, "95", labels))
        assert [each.name for each in taught.members] == ["mean", "cool_run", "delpierre"]
        assert taught.members[0].weight_frac == pytest.approx(1 - 2 * spread_of("beaten_weight"))
        told = forecast(TreeRecord(1, taxon(MAPLE), seen(days, "95", labels)))
        mean = float(np.mean([days[label] for label in labels]))
        assert float(np.median(told.samples("95"))) == pytest.approx(mean, abs=2.0)


def test_autumn_without_own_seasons_follows_the_cool_days() -> None:
    clock = kind(MAPLE).autumn
    assert clock is not None
    assert [(each.name, each.draws) for each in clock.members] == [("cool_run", 18), ("delpierre", 2)]


def test_delpierre_earns_its_weight_on_seasons_left_out() -> None:
    clock = kind(MAPLE).autumn
    assert clock is not None
    rows = clock.members[1].choice
    assert rows is not None
    truth = model_days("delpierre", **{name: row.number for name, row in rows.rows.items()})
    moved = {label: day - 20 for label, day in truth.items()}  # only the ups and downs count
    earned = {
        e.name: e.weight_frac for e in autumn_members({OPEN: kind(MAPLE)}, own_days(moved, "95")).members
    }
    assert earned["delpierre"] > 2 * spread_of("beaten_weight")
    still = {label: 300.0 + label % 2 for label in LABELS}
    held = {e.name: e.weight_frac for e in autumn_members({OPEN: kind(MAPLE)}, own_days(still, "95")).members}
    assert held["delpierre"] <= spread_of("beaten_weight") + 1e-9
    assert held["mean"] >= 0.8 - 1e-9


def test_the_usual_day_is_the_mean_of_own_seasons_else_of_the_kind() -> None:
    first = (SeenStage("11", GrowingYear(2025), date(2025, 4, 11), date(2025, 4, 10)),)
    second = (SeenStage("11", GrowingYear(2026), date(2026, 4, 13), date(2026, 4, 12)), *first)
    told = forecast(TreeRecord(1, taxon(MAPLE), second))
    assert (told.usual_day, told.usual_seasons) == (date(2027, 4, 12), 2)
    kin = forecast(TreeRecord(2, taxon(MAPLE)), TreeRecord(1, taxon(MAPLE), second))
    assert kin.usual == usual_leaf([second, ()], YEAR, {"11": 0.0}, own=False)
    assert (kin.usual_day, kin.usual is not None and kin.usual.own) == (date(2027, 4, 12), False)
    none = forecast(TreeRecord(2, taxon("larix_decidua")), TreeRecord(1, taxon(MAPLE), second))
    assert (none.usual_day, none.usual_seasons) == (None, 0)
    swell = (SeenStage("01", GrowingYear(2026), date(2026, 3, 20), date(2026, 3, 19)),)
    moved = usual_leaf([(*first, *swell)], YEAR, {"01": 16.0, "11": 0.0}, own=True)
    assert moved is not None
    assert (moved.day_index, moved.seasons) == ((101 + 79 + 16) / 2, 2)
    both = (*second, *swell)  # the leaf itself was seen that year: nothing stands in for it
    assert usual_leaf([both], YEAR, {"01": 16.0, "11": 0.0}, own=True) == told.usual
    weak = (SeenStage("11", GrowingYear(2026), date(2026, 5, 30), date(2026, 5, 29), weak=True),)
    assert usual_leaf([weak], YEAR, {"11": 0.0}, own=True) is None


def test_left_out_errors_by_hand() -> None:
    """Three seasons at 90, 96 and 99: each against the mean of the other two."""
    days, labels = np.array([90.0, 96.0, 99.0]), np.array([1, 2, 3])
    assert mean_error(days, labels) == pytest.approx(np.sqrt((7.5**2 + 1.5**2 + 6.0**2) / 3))
    twice = np.array([90.0, 90.0, 96.0, 99.0])  # two trees in one season are one season
    assert mean_error(twice, np.array([1, 1, 2, 3])) == pytest.approx(mean_error(days, labels))
    steps = np.cumsum(np.ones((3, 120)), axis=1)  # a degree a day: the need is the day
    need = fitted_need("thermal_time", Curves(steps, 1, labels, days))
    # Least squares of 90, 96 and 99: 95; without one of them 97.5, 94.5, 93, to half a day in whole days.
    assert need.value == pytest.approx(95.0, abs=0.75)
    assert need.skill.rmse_days == pytest.approx(np.sqrt((7.5**2 + 1.5**2 + 6.0**2) / 3), abs=0.8)


@pytest.mark.parametrize("name", ["menzel", "uniforc", "unichill_threshold", "photoperiod_chill"])
def test_levels_and_models_agree_on_the_day(name: str) -> None:
    """The day a level reaches the printed need is the model's own day, for every season."""
    member = next(each for each in kind(BEECH).spring.members if each.name == name)
    assert member.choice is not None
    values = {key: np.array([row.number]) for key, row in member.choice.rows.items()}
    form = model(name)
    past = yard().past
    curves = Curves(levels(form, values, past), past.first_index, np.arange(len(yard().labels)), np.zeros(0))
    day = days_at(curves, values[form.need])[:, 0]
    np.testing.assert_array_equal(day[1:], form.run(values, past)[1:, 0])
