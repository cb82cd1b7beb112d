"""The almanac: what pages need of the forecasts, made once, as plain values in one reader's language.

The season room words its sentences and reasons as it makes them, so an almanac is made for one reading
(language and units) and says so in its key.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

from ringwise.kit.days import GrowingYear
from ringwise.kit.ranged import DateBand
from ringwise.season.chances import ChanceByDay, DaysLeft, days_left

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape

NO_DAY = date.max.toordinal()
FORMAT = 4  # rises with what is kept, so that an almanac of older code is made anew


@dataclass(frozen=True)
class WindowTold:
    """A window as `season.window.Window` tells it, without its samples; a band is None where a sign tells.

    `open_prob` is None where no forecast tells, `blocked` empty unless the state is "blocked". `wanted` says
    that the grower has planned the work or that it is due. `chances` is None where it is open on no day,
    `risks` holds values as `desk.window_after.risk_values` writes them, after a work on `work_on`; `carry_in`
    is None where no roots are cut.
    """

    tree: str
    operation: str
    state: str
    sentence: str
    opens: DateBand | None
    closes: DateBand | None
    last: DateBand | None
    open_prob: float | None
    sign: str
    closes_by: str
    note: str
    blocked: tuple[str, ...]
    override_reason: str
    frost_years: int | None
    frost_of_years: int | None
    wanted: bool
    chances: ChanceByDay | None = None
    work_on: date | None = None
    risks: tuple[Mapping[str, Any], ...] = ()
    carry_in: str | None = None
    carry_in_words: str = ""

    def days_left(self, today: date) -> DaysLeft | None:
        """How many days are left of it, counted from a day; None where it is over, shut or told by a sign."""
        if self.closes is None or self.state in {"blocked", "closed"}:
            return None
        return days_left(self.closes, today)


@dataclass(frozen=True)
class StageTold:
    """When a stage comes in the growing year of the almanac, and how likely it does not come at all."""

    code: str
    band: DateBand
    never_prob: float


@dataclass(frozen=True)
class TreeTold:
    """What the almanac says of a tree: windows (planned works, due works, the usual one) and stages."""

    tree: str
    model: str
    basis: str
    own_seasons: int
    windows: tuple[WindowTold, ...]
    stages: tuple[StageTold, ...]

    def window(self, operation: str) -> WindowTold | None:
        """The window of one operation, where the almanac has it."""
        return next((each for each in self.windows if each.operation == operation), None)

    @property
    def next(self) -> WindowTold | None:
        """The work that comes next, by the order of `next_order`."""
        return min(self.windows, key=lambda each: next_order(self._sort_day(each), each), default=None)

    @staticmethod
    def _sort_day(window: WindowTold) -> int:
        return NO_DAY if window.opens is None else window.opens.median.toordinal()


@dataclass(frozen=True)
class NextTold:
    """The work that comes next on a tree, as little as a list of ten thousand needs to sort and filter by."""

    operation: str
    state: str
    wanted: bool
    opens: int  # ordinal of the median day; NO_DAY where only a sign tells
    sentence: str


class _Work(Protocol):
    @property
    def operation(self) -> str: ...
    @property
    def state(self) -> str: ...
    @property
    def wanted(self) -> bool: ...


def next_order(opens: int, work: _Work) -> tuple[bool, bool, bool, int, str]:
    """What makes a work come before another: it can be done, it is wanted, it is open now, it opens sooner.

    Parameters
    ----------
    opens : int
        Ordinal of the median day on which it opens.
    work : WindowTold or NextTold
        The work.

    Returns
    -------
    tuple
        To sort by.

    Examples
    --------
    >>> now, later = NextTold("repot", "open", False, 10, ""), NextTold("wire", "ahead", True, 20, "")
    >>> next_order(20, later) < next_order(10, now)
    True
    """
    shut = work.state in {"closed", "blocked"}
    return (shut, not work.wanted, work.state != "open", opens, work.operation)


@dataclass(frozen=True)
class Almanac:
    """The almanac of a yard on a day. `page` is today's page as `desk.today.today_page` answers it.

    `raw` keeps each tree in its packed form (days counted from the start of the growing year), since a yard
    of ten thousand trees has to fit into a small server; `tree` unpacks one.
    """

    key: str
    step: int
    today: date
    language: str
    units: str
    missing: str
    weather_years: int
    weather_last: date | None
    invented: bool
    page: Shape
    year: GrowingYear
    raw: Mapping[str, Mapping[str, Any]] = field(repr=False)

    def tree(self, tree: str) -> TreeTold | None:
        """What is said of a tree; None where its kind is in no list, or it is newer than the almanac."""
        return None if tree not in self.raw else _unpacked(self, tree)

    @property
    def trees(self) -> tuple[str, ...]:
        """Ids of the trees that it knows."""
        return tuple(self.raw)

    @cached_property
    def nexts(self) -> Mapping[str, NextTold]:
        """The work that comes next on each tree that has one, without unpacking all trees."""
        start = self.year.start.toordinal()
        found = {}
        for tree, raw in self.raw.items():
            works = [
                NextTold(
                    each["operation"],
                    each["state"],
                    each["wanted"],
                    NO_DAY if each["opens"] is None else start + each["opens"][1],
                    each["sentence"],
                )
                for each in raw["windows"]
            ]
            if works:
                found[tree] = min(works, key=lambda work: next_order(work.opens, work))
        return found


@dataclass(frozen=True)
class AlmanacView:
    """The newest almanac there is, and whether it is that of now.

    "ready": it is. "making": a newer one is being made, `almanac` is the last one or None. "none": there is
    none and none is being made; `failed` says why where making it went wrong.
    """

    state: str
    almanac: Almanac | None = None
    failed: str = ""


def packed_days(year: GrowingYear, band: DateBand | None) -> list[int] | None:
    """A band as days after the start of a growing year.

    Parameters
    ----------
    year : GrowingYear
        To count from.
    band : DateBand or None
        The band.

    Returns
    -------
    list of int or None
        Low, median, high.

    Examples
    --------
    >>> day = date(2027, 3, 14)
    >>> packed_days(GrowingYear(2027), DateBand(day, day, day))
    [133, 133, 133]
    """
    if band is None:
        return None
    return [(day - year.start).days for day in (band.low, band.median, band.high)]


def packed_chances(year: GrowingYear, told: ChanceByDay | None) -> str | None:
    """Chances by day as a line of text: days after the year's start, then a percent a day.

    Parameters
    ----------
    year : GrowingYear
        To count from.
    told : ChanceByDay or None
        Of a window.

    Returns
    -------
    str or None
        To the percent: a yard of ten thousand trees has to fit.

    Examples
    --------
    >>> packed_chances(GrowingYear(2027), ChanceByDay(date(2027, 3, 14), (0.254, 1.0)))
    '133 25 100'
    """
    if told is None:
        return None
    return " ".join(map(str, [(told.first - year.start).days, *(round(100 * p) for p in told.open_prob)]))


def unpacked_chances(year: GrowingYear, text: str | None) -> ChanceByDay | None:
    """Chances by day from their line of text.

    Parameters
    ----------
    year : GrowingYear
        They are counted from.
    text : str or None
        From `packed_chances`.

    Returns
    -------
    ChanceByDay or None
        To the percent.

    Examples
    --------
    >>> unpacked_chances(GrowingYear(2027), "133 25 100").open_prob
    (0.25, 1.0)
    """
    if text is None:
        return None
    first, *shares = map(int, text.split())
    return ChanceByDay(year.start + timedelta(days=first), tuple(share / 100 for share in shares))


def _band(year: GrowingYear, days: list[int] | None) -> DateBand | None:
    return None if days is None else DateBand(*(year.start + timedelta(days=each) for each in days))


def _unpacked(almanac: Almanac, tree: str) -> TreeTold:
    raw, year = almanac.raw[tree], almanac.year
    bands = {"opens", "closes", "last"}
    windows = []
    for each in raw["windows"]:
        plain: dict[str, Any] = {k: _band(year, v) if k in bands else v for k, v in each.items()}
        kept = {
            "tree": tree,
            "blocked": tuple(each["blocked"]),
            "chances": unpacked_chances(year, each["chances"]),
            "work_on": None if each["work_on"] is None else year.start + timedelta(days=each["work_on"]),
            "risks": tuple(each["risks"]),
        }
        windows.append(WindowTold(**(plain | kept)))
    days = raw["stages"]
    stages = []
    for i, code in enumerate(raw["codes"].split()):
        band = _band(year, days[3 * i : 3 * i + 3])
        assert band is not None
        stages.append(StageTold(code, band, raw["never"].get(code, 0.0)))
    return TreeTold(tree, raw["model"], raw["basis"], raw["own_seasons"], tuple(windows), tuple(stages))


def almanac_text(almanac: Almanac) -> str:
    """The almanac as JSON text.

    Parameters
    ----------
    almanac : Almanac
        Any.

    Returns
    -------
    str
        For the store.
    """
    last = almanac.weather_last
    plain = {
        "format": FORMAT,
        "key": almanac.key,
        "step": almanac.step,
        "today": almanac.today.isoformat(),
        "language": almanac.language,
        "units": almanac.units,
        "missing": almanac.missing,
        "weather_years": almanac.weather_years,
        "weather_last": None if last is None else last.isoformat(),
        "invented": almanac.invented,
        "page": almanac.page,
        "year": [almanac.year.label, almanac.year.south],
        "raw": almanac.raw,
    }
    return json.dumps(plain, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def almanac_of_text(text: str) -> Almanac:
    """The almanac of a JSON text.

    Parameters
    ----------
    text : str
        From `almanac_text`.

    Returns
    -------
    Almanac
        Equal to the one that was written.

    Examples
    --------
    >>> year = GrowingYear(2027)
    >>> told = Almanac("k", 7, date(2027, 3, 7), "en", "metric", "", 20, None, False, {}, year, {})
    >>> almanac_of_text(almanac_text(told)) == told
    True
    """
    plain = json.loads(text)
    last = plain["weather_last"]
    return Almanac(
        key=plain["key"],
        step=plain["step"],
        today=date.fromisoformat(plain["today"]),
        language=plain["language"],
        units=plain["units"],
        missing=plain["missing"],
        weather_years=plain["weather_years"],
        weather_last=None if last is None else date.fromisoformat(last),
        invented=plain["invented"],
        page=plain["page"],
        year=GrowingYear(*plain["year"]),
        raw=plain["raw"],
    )
