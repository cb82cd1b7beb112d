"""A second stored station that stands in where the yard's own years are few: the loan, and what it says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _, counted
from ringwise.weather.years import MOSTLY_FRAC

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.weather.borrowed import Borrowing
    from ringwise.weather.series import WeatherSeries


@dataclass(frozen=True)
class Loan:
    """What the borrowed station gives: the joined series, or why there is none.

    `own_years` are past growing years of the yard's own; `refusal` is None where nothing had to be refused.
    """

    station: str
    own_years: int
    series: WeatherSeries | None = None
    fit: Borrowing | None = None
    refusal: MissingFieldError | None = None


def past_years(workspace: Workspace, series: WeatherSeries | None) -> int:
    """How many past growing years of a series can stand for the rest of this one, as far as it matters.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    series : WeatherSeries or None
        None has none.

    Returns
    -------
    int
        At most as many as make borrowing needless.
    """
    from ringwise.weather.borrowed import borrowed_rows
    from ringwise.weather.years import members

    if series is None:
        return 0
    enough = round(borrowed_rows()["own_years_enough"].number)
    try:
        return members(series, issue=workspace.today, year=workspace.year, most=enough).n
    except MissingFieldError:
        return 0


def loan(workspace: Workspace, own: WeatherSeries | None, other: WeatherSeries) -> Loan:
    """The yard's days with the other station's in between, where the yard's own years are few.

    Parameters
    ----------
    workspace : Workspace
        The collection; its settings tell how far the yard lies above the other station.
    own : WeatherSeries or None
        The yard's own days.
    other : WeatherSeries
        Of the station that is borrowed from.

    Returns
    -------
    Loan
        Without a series where the yard has years enough, or where the two cannot be compared.
    """
    from dataclasses import replace

    from ringwise.weather.borrowed import borrowed_rows, borrowed_series, fit_borrowing

    years = past_years(workspace, own)
    if years >= borrowed_rows()["own_years_enough"].number:
        return Loan(other.station, years)
    try:
        fit = fit_borrowing(own, other, above_m=workspace.settings.yard_above_borrowed_m)
    except MissingFieldError as wrong:
        return Loan(other.station, years, refusal=wrong)
    joined = borrowed_series(own, other, fit)
    if own is None:
        joined = replace(joined, station=workspace.settings.station or _("the yard"))
    return Loan(other.station, years, joined, fit)


def lent_labels(series: WeatherSeries, labels: tuple[int, ...], *, south: bool) -> tuple[int, ...]:
    """The growing years that another station lent for the greater part.

    Parameters
    ----------
    series : WeatherSeries
        With its lent days.
    labels : tuple of int
        Growing years to look at.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    tuple of int
        In the order given.
    """
    from ringwise.kit.days import GrowingYear

    lent = []
    for label in labels:
        year = GrowingYear(label, south)
        begin = max((year.start - series.first).days, 0)
        end = max((year.end - series.first).days + 1, 0)
        days = series.lent_days[begin:end]
        if days.size and float(days.mean()) > MOSTLY_FRAC:
            lent.append(label)
    return tuple(lent)


def loan_notes(workspace: Workspace, made: Loan, labels: tuple[int, ...]) -> list[str]:
    """What a reader of windows must know of lent days.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : Loan
        From `loan`.
    labels : tuple of int
        The growing years that stand for the rest of this one.

    Returns
    -------
    list of str
        Sentences; none where the yard's own years are enough.
    """
    if made.refusal is not None:
        return [made.refusal.message]
    if made.series is None or made.fit is None:
        return []
    south = workspace.settings.south
    notes = [
        _("{n} of {all} weather years are lent by {station} and made {shift}.").format(
            n=len(lent_labels(made.series, labels, south=south)),
            all=len(labels),
            station=made.station,
            shift=_shift_words(made.fit, south=south),
        )
    ]
    now = lent_days_now(workspace, made.series)
    if now:
        notes.append(
            counted(
                "{n} day of this growing year is lent as well.",
                "{n} days of this growing year are lent as well.",
                now,
            )
        )
    if not made.fit.teaches:
        notes.append(
            _(
                "That shift is known to {spread} only, so stages seen on lent days do not teach the "
                "forecast. More days in common make it surer."
            ).format(spread=show.temperature_step(made.fit.uncertainty_degC))
        )
    return notes


def lent_days_now(workspace: Workspace, series: WeatherSeries) -> int:
    """How many days of this growing year, up to today, are lent.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    series : WeatherSeries
        With its lent days.

    Returns
    -------
    int
        Days.
    """
    begin = max((workspace.year.start - series.first).days, 0)
    end = max((workspace.today - series.first).days + 1, 0)
    return int(series.lent_days[begin:end].sum())


def _shift_words(fit: Borrowing, *, south: bool) -> str:
    winter_degC, summer_degC = (
        fit.season_degC("tmean_degC", winter=winter, south=south) for winter in (True, False)
    )
    if fit.kind == "elevation":
        return _("{shift} for the difference in elevation, which is assumed").format(
            shift=_warmer(winter_degC)
        )
    days = counted("{n} day in common", "{n} days in common", fit.days)
    if fit.kind == "constant":
        return _("{shift} all year ({days})").format(shift=_warmer(winter_degC), days=days)
    return _("{winter} in winter and {summer} in summer ({days})").format(
        winter=_warmer(winter_degC), summer=_warmer(summer_degC), days=days
    )


def _warmer(shift_degC: float) -> str:
    step = show.temperature_step(shift_degC)
    return _("{step} warmer").format(step=step) if shift_degC > 0 else _("{step} colder").format(step=step)


def loan_shape(workspace: Workspace, made: Loan, labels: tuple[int, ...]) -> Shape:
    """The loan for JSON.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : Loan
        From `loan`.
    labels : tuple of int
        The growing years that stand for the rest of this one.

    Returns
    -------
    dict
        Station, kind ("seasonal", "constant", "elevation"; null where nothing is lent), days in common, lent
        years, the shift of each measure by season, and the spread of what is left.
    """
    south = workspace.settings.south
    fit = made.fit
    if fit is None or made.series is None:
        return {
            "station": made.station,
            "kind": None,
            "days_in_common": None,
            "own_years": made.own_years,
            "lent_years": 0,
            "weather_years": len(labels),
            "shifts": [],
            "uncertainty_degC": None,
            "teaches": False,
            "refusal": "" if made.refusal is None else made.refusal.message,
        }
    return {
        "station": made.station,
        "kind": fit.kind,
        "days_in_common": fit.days,
        "own_years": made.own_years,
        "lent_years": len(lent_labels(made.series, labels, south=south)),
        "weather_years": len(labels),
        "shifts": [
            {
                "column": measure,
                "winter_degC": round(fit.season_degC(measure, winter=True, south=south), 2),
                "summer_degC": round(fit.season_degC(measure, winter=False, south=south), 2),
                "left_sd_degC": None if fit.kind == "elevation" else round(shift.left_sd_degC, 2),
                "days": shift.days,
            }
            for measure, shift in fit.shifts.items()
        ],
        "uncertainty_degC": round(fit.uncertainty_degC, 2),
        "teaches": fit.teaches,
        "refusal": "",
    }


def loan_lines(workspace: Workspace, made: Loan, labels: tuple[int, ...]) -> list[str]:
    """The loan for people: the notes, and what the fit left.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : Loan
        From `loan`.
    labels : tuple of int
        The growing years that stand for the rest of this one.

    Returns
    -------
    list of str
        Lines.
    """
    lines = loan_notes(workspace, made, labels)
    if made.series is None:
        return lines or [
            _("{station} lends nothing: {years} of your own are enough.").format(
                station=made.station,
                years=counted("{n} past year", "{n} past years", made.own_years),
            )
        ]
    if made.fit is not None and made.fit.kind != "elevation":
        lines.append(
            _(
                "Single days lie {left} about that shift, as a standard deviation; the shift itself is known "
                "to {spread}."
            ).format(
                left=show.temperature_step(made.fit.left_sd_degC),
                spread=show.temperature_step(made.fit.uncertainty_degC),
            )
        )
    return lines
