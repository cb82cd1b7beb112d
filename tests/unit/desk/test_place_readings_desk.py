"""Readings of a thermometer: merged by day, refused in one line, taken back, told with their spread."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from living_yards import NOW, TODAY, small_yard

from ringwise.desk.almanac_making import almanac_key
from ringwise.desk.entries import undo_last
from ringwise.desk.logger_file import ReadingsWish, import_readings
from ringwise.desk.microsites import (
    microsites,
    place_offsets,
    record_reading,
    set_microsite,
)
from ringwise.desk.place_readings import ReadingGiven, readings_of
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import YardForecast, yard_forecast
from ringwise.kit.errors import InputError, NotFoundError, RangeError, RingwiseError, UnitError
from ringwise.kit.reading import Reading, reading
from ringwise.records.dates import exact_day
from ringwise.records.model import Place
from ringwise.records.store import open_store
from ringwise.weather.microsite import microsite_prior

DAY = timedelta(days=1)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_yard(tmp_path_factory.mktemp("places") / "yard")


@pytest.fixture
def folder(built: Path, tmp_path: Path) -> Path:
    import shutil

    copy = tmp_path / "yard"
    shutil.copytree(built, copy)
    return copy


def opened(folder: Path, on: date = TODAY) -> Workspace:
    return open_workspace(folder, on=on.isoformat())


def read(folder: Path, low: str = "", high: str = "", **more: str) -> dict[str, object]:
    return record_reading(opened(folder), ReadingGiven("left bench", low, high, **more))


def held(folder: Path, day: date) -> tuple[float, float]:
    readings = readings_of(opened(folder), "left bench")
    k = (day - readings.first).days
    return float(readings.tmin_degC[k]), float(readings.tmax_degC[k])


def test_a_reading_that_takes_the_place_of_another_says_so(folder: Path) -> None:
    assert "in place of" not in str(read(folder, "-2")["line"])
    assert "in place of" not in str(read(folder, high="9")["line"])  # the other half of the day
    assert "in place of" not in str(read(folder, "-2")["line"])
    assert "(in place of -2.0 °C)" in str(read(folder, "3")["line"])
    assert held(folder, TODAY) == (3.0, 9.0)


def read_all(folder: Path, place: str, lift_degC: float, n_days: int = 30) -> None:
    """A logger's file that lies a level lift above the station."""
    from ringwise.desk.weather_under import yard_weather

    workspace = opened(folder)
    series = yard_weather(workspace)
    rows = ["date,tmin_degC,tmax_degC"]
    for back in range(n_days, 0, -1):
        day = series.day(series.last - 2 * back * DAY)
        assert day["tmin_degC"] is not None
        assert day["tmax_degC"] is not None
        when = series.last - 2 * back * DAY
        rows.append(f"{when},{day['tmin_degC'] + lift_degC:.1f},{day['tmax_degC'] + lift_degC:.1f}")
    file = folder / "log.csv"
    file.write_text("\n".join(rows) + "\n")
    import_readings(workspace, ReadingsWish(place, file))


class TestOneDay:
    def test_a_minimum_now_and_a_maximum_later_are_one_day(self, folder: Path) -> None:
        read(folder, "-1.5 C")
        told = read(folder, high="9 C")
        assert told["days"] == [{"day": "2027-03-07", "tmin_degC": -1.5, "tmax_degC": 9.0}]
        assert held(folder, TODAY) == (-1.5, 9.0)

    def test_a_morning_reads_the_maximum_of_the_day_before(self, folder: Path) -> None:
        told = read(folder, "2", "11", when="morning")
        assert told["days"] == [
            {"day": "2027-03-06", "tmin_degC": None, "tmax_degC": 11.0},
            {"day": "2027-03-07", "tmin_degC": 2.0, "tmax_degC": None},
        ]
        read(folder, "1", when="morning", date="2027-03-06")
        assert held(folder, TODAY - DAY) == (1.0, 11.0)

    def test_units_are_those_typed_and_a_bare_number_is_as_the_yard_reads(self, folder: Path) -> None:
        read(folder, "41 F", "283.15 K")
        assert held(folder, TODAY) == pytest.approx((5.0, 10.0))
        with reading(Reading("en", "inch")):
            line = str(read(folder, "32", "50")["line"])
        assert held(folder, TODAY) == pytest.approx((0.0, 10.0))
        assert "minimum 32.0 °F, maximum 50.0 °F" in line

    def test_undo_takes_back_one_reading_and_the_history_keeps_it(self, folder: Path) -> None:
        read(folder, "1")
        read(folder, "3")
        undo_last(opened(folder))
        assert held(folder, TODAY)[0] == 1.0
        undo_last(opened(folder))
        assert readings_of(opened(folder), "left bench").n == 0

    def test_the_same_again_is_no_step(self, folder: Path) -> None:
        read(folder, "1", "4")
        again = read(folder, "1", "4")
        assert again["action"] is None
        assert "written down before" in str(again["line"])

    def test_as_of_an_earlier_day_a_later_reading_is_unknown(self, folder: Path) -> None:
        early = opened(folder, TODAY - 3 * DAY)
        record_reading(early, ReadingGiven("left bench", "1"))
        workspace = opened(folder)
        record_reading(workspace, ReadingGiven("left bench", "2"))
        rows = workspace.store.weather_get("left bench", as_of=TODAY - DAY, role="place")
        assert rows.n_days == 1
        assert workspace.store.weather_get("left bench", role="place").n_days == 4
        assert readings_of(opened(folder, TODAY - DAY), "left bench").n == 1

    def test_readings_are_no_station(self, folder: Path) -> None:
        before = opened(folder).store.weather_stations()
        read(folder, "1")
        assert opened(folder).store.weather_stations() == before


BAD: list[tuple[dict[str, str], type[RingwiseError], str]] = [
    ({}, InputError, "minimum, the maximum or both"),
    ({"low": "mild"}, UnitError, "mild"),
    ({"low": "3 kg"}, UnitError, "kg"),
    ({"low": "61 C"}, RangeError, "-90 °C to 60 °C"),
    ({"high": "-91"}, RangeError, "maximum"),
    ({"low": "nan"}, UnitError, "nan"),
    ({"low": "5", "high": "4"}, RangeError, "above the maximum"),
    ({"low": "5", "date": "2027-03-08"}, RangeError, "up to today"),
    ({"low": "5", "date": "2027-02-30"}, InputError, "no day of the calendar"),
    ({"low": "5", "when": "noon"}, InputError, "evening, morning"),
]


@pytest.mark.parametrize(("given", "error", "part"), BAD)
def test_what_does_not_read_stores_nothing(
    folder: Path, given: dict[str, str], error: type[RingwiseError], part: str
) -> None:
    before = opened(folder).store.latest_step()
    with pytest.raises(error, match=part) as caught:
        read(folder, **given)
    assert "\n" not in str(caught.value)
    assert opened(folder).store.latest_step() == before


class TestPlaces:
    def test_an_unknown_place_is_refused_with_near_names_and_named_by_its_kind(self, folder: Path) -> None:
        workspace = opened(folder)
        with pytest.raises(NotFoundError, match="left bench"):
            record_reading(workspace, ReadingGiven("left bensch", "1"))
        set_microsite(workspace, "glass lean-to", "cold frame")
        told = microsites(opened(folder), "Glass Lean-To")["places"]
        assert [(p["place"], p["microsite"], p["stated"]) for p in told] == [
            ("glass lean-to", "cold_frame", True)
        ]

    def test_a_kind_is_stated_refused_and_taken_back(self, folder: Path) -> None:
        set_microsite(opened(folder), "left bench", "wall")
        assert place_offsets(opened(folder))["left bench"] == microsite_prior("wall")
        with pytest.raises(InputError, match="nothing changes"):
            set_microsite(opened(folder), "LEFT BENCH", "Wall")
        with pytest.raises(InputError, match="open_bench"):
            set_microsite(opened(folder), "left bench", "balcony")
        undo_last(opened(folder))
        assert place_offsets(opened(folder))["left bench"].is_none

    def test_readings_are_told_with_their_number_and_spread(self, folder: Path) -> None:
        read_all(folder, "left bench", 1.8)
        (told,) = microsites(opened(folder), "left bench")["places"]
        assert told["readings"] == told["nights"]["readings"] == told["days"]["readings"] == 30
        assert told["nights"]["offset_degC"] == pytest.approx(1.8, abs=0.3)
        assert abs(told["nights"]["offset_degC"] - 1.8) < 2 * told["nights"]["offset_sd_degC"]
        assert told["nights"]["line"].endswith("from 30 readings")
        assert "warmer than at the station, give or take" in told["nights"]["line"]
        assert told["frost"]["place_degC"] > told["frost"]["station_degC"]
        assert told["last"] == (TODAY - 2 * DAY).isoformat()

    def test_what_was_read_in_the_sun_is_told_with_its_day(self, folder: Path) -> None:
        read(folder, "", "35 C", date="2027-03-05")
        (told,) = microsites(opened(folder), "left bench")["places"]
        (out,) = told["left_out"]
        assert (out["day"], out["reason"], out["read_degC"]) == ("2027-03-05", "sun", 35.0)
        assert told["days"]["assumed"]
        assert any("read in the sun" in line for line in told["lines"])

    def test_without_weather_of_the_station_readings_wait(self, tmp_path: Path) -> None:
        bare = small_yard(tmp_path / "bare", weather=False)
        read(bare, "1", "5")
        answer = microsites(opened(bare), "left bench")
        assert answer["station"] is None
        assert answer["places"][0]["nights"]["assumed"]
        assert any("once weather of the station is imported" in line for line in answer["lines"])

    def test_a_file_keeps_what_was_read_by_hand_where_it_is_silent(self, folder: Path) -> None:
        read(folder, "-3", date="2027-03-02")
        file = folder / "log.csv"
        file.write_text("date,tmin_degC,tmax_degC\n2027-03-01,1,9\n2027-03-02,,\n2027-03-04,2,10\n")
        told = import_readings(opened(folder), ReadingsWish("left bench", file))
        assert told["days"] == 2
        assert "left out: 2 days of the file that lack a value" in told["lines"]
        assert held(folder, date(2027, 3, 2))[0] == -3.0
        assert all(np.isnan(value) for value in held(folder, date(2027, 3, 3)))
        undo_last(opened(folder))
        assert readings_of(opened(folder), "left bench").n == 1

    def test_days_to_come_of_a_file_are_no_readings(self, folder: Path) -> None:
        file = folder / "log.csv"
        file.write_text("date,tmin_degC,tmax_degC\n2027-03-06,1,9\n2027-03-09,2,10\n")
        told = import_readings(opened(folder), ReadingsWish("left bench", file))
        assert (told["days"], told["last"]) == (1, "2027-03-06")

    @pytest.mark.parametrize(
        ("text", "part"),
        [
            ("date,rain_mm\n2027-03-01,3\n", "neither"),
            ("date,tmin_degC,tmax_degC\n2027-03-01,9,1\n", "below"),
            ("", "log.csv"),
        ],
    )
    def test_a_bad_file_stores_nothing(self, folder: Path, text: str, part: str) -> None:
        file = folder / "log.csv"
        file.write_text(text)
        before = opened(folder).store.latest_step()
        with pytest.raises(InputError, match=part) as caught:
            import_readings(opened(folder), ReadingsWish("left bench", file))
        assert "\n" not in str(caught.value)
        assert opened(folder).store.latest_step() == before

    def test_a_preview_stores_nothing(self, folder: Path) -> None:
        file = folder / "log.csv"
        file.write_text("date,tmin_degC,tmax_degC\n2027-03-01,1,9\n")
        told = import_readings(opened(folder), ReadingsWish("left bench", file, preview=True))
        assert not told["stored"]
        assert readings_of(opened(folder), "left bench").n == 0


def bud_swell(made: YardForecast, tree: str) -> date | None:
    return made.trees[tree].band("07").median


class TestForecast:
    def test_open_benches_without_readings_change_nothing(self, folder: Path) -> None:
        workspace = opened(folder)
        made = yard_forecast(workspace)
        nowhere = replace(workspace)
        nowhere.__dict__["places"] = ()
        bare = yard_forecast(nowhere)
        assert {facts.stays for facts in nowhere.facts.values()} == {()}
        for tree, forecast in made.trees.items():
            assert np.array_equal(forecast.days, bare.trees[tree].days, equal_nan=True)
            assert made.members_at(workspace.facts[tree]) is made.members

    def test_a_pot_in_the_tunnel_is_earlier_and_colder_weather_is_its_own(self, folder: Path) -> None:
        before = yard_forecast(opened(folder))
        key = almanac_key(opened(folder))
        moved_in = exact_day(date(2026, 11, 10))
        (stay,) = opened(folder).facts["T5"].stays
        with open_store(folder) as store:
            store.save(NOW, [replace(stay, place="tunnel", kind="tunnel", since=moved_in)])
        workspace = opened(folder)
        after = yard_forecast(workspace)
        assert almanac_key(workspace) != key
        early, late = bud_swell(after, "T5"), bud_swell(before, "T5")
        assert early is not None
        assert late is not None
        assert early < late - 2 * DAY
        there = after.members_at(workspace.facts["T5"])
        k = there.column(TODAY + 5 * DAY)
        prior = microsite_prior("tunnel").nights
        plain = after.members.tmin_degC[:, k]
        assert np.allclose(there.tmin_degC[:, k], plain + prior.lift_degC(plain))
        k = there.column(date(2026, 11, 9))
        assert np.array_equal(there.tmin_degC[:, k], after.members.tmin_degC[:, k])

    def test_readings_of_a_warm_bench_move_its_trees_and_the_almanac(self, folder: Path) -> None:
        before, key = yard_forecast(opened(folder)), almanac_key(opened(folder))
        read_all(folder, "right bench", 3.0)
        after = yard_forecast(opened(folder))
        early, late = bud_swell(after, "T4"), bud_swell(before, "T4")
        assert early is not None
        assert late is not None
        assert early <= late
        assert almanac_key(opened(folder)) != key
        assert not np.array_equal(after.trees["T4"].days, before.trees["T4"].days)

    def test_a_winter_in_the_shed_counts_after_the_tree_came_out(self, folder: Path) -> None:
        before = yard_forecast(opened(folder))
        into, out_of = (exact_day(day) for day in (date(2026, 11, 10), date(2027, 3, 1)))
        with open_store(folder) as store:
            store.save(NOW, [Place("", "T2", "shed", "shed", into, out_of)])
        workspace = opened(folder)
        after = yard_forecast(workspace)
        there = after.members_at(workspace.facts["T2"])
        january, march = (there.column(day) for day in (date(2027, 1, 10), TODAY))
        assert (there.tmin_degC[:, january] != after.members.tmin_degC[:, january]).all()
        assert np.array_equal(there.tmin_degC[:, march:], after.members.tmin_degC[:, march:])
        assert not np.array_equal(after.trees["T2"].days, before.trees["T2"].days)
