"""What a weather file held, told: columns understood, values rejected and why, days still to come."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from datetime import date

    from ringwise.weather.formats.found import WeatherRead
    from ringwise.weather.series import WeatherSeries

_BEFORE_COLUMNS = 3  # lines of an import that stand before those on its columns
_MOST_REASONS = 5  # a screen's worth; the JSON answer has every value


def told_shape(read: WeatherRead, *, kept: WeatherSeries | None = None) -> Shape:
    """The keys that an import adds about its file.

    Parameters
    ----------
    read : WeatherRead
        As read.
    kept : WeatherSeries, optional
        Its days to come, as far as they are kept as a forecast.

    Returns
    -------
    dict
        Keys format, understood, rejected, forecast_from, forecast_days, forecast_to and notes.
    """
    return {
        "format": read.format,
        "understood": [
            {"column": each.column, "ours": each.ours, "unit": each.unit, "values": each.values}
            for each in read.understood
        ],
        "rejected": [
            {"day": each.day.isoformat(), "column": each.column, "text": each.text, "reason": each.reason}
            for each in read.rejected
        ],
        "forecast_from": read.forecast_from.isoformat() if read.forecast_from else None,
        "forecast_days": read.forecast_days,
        "forecast_to": None if kept is None else kept.last.isoformat(),
        "notes": list(read.notes),
    }


def told_lines(read: WeatherRead, *, preview: bool, kept: WeatherSeries | None = None) -> list[str]:
    """The same for people: what each column was taken as, counts of what was rejected, notes.

    Parameters
    ----------
    read : WeatherRead
        As read.
    preview : bool
        Whether nothing was stored.
    kept : WeatherSeries, optional
        Its days to come, as far as they are kept as a forecast.

    Returns
    -------
    list of str
        Lines.
    """
    lines = [_("read as: {name}").format(name=format_words(read.format))]
    lines += [
        _("{ours} from {column} in {unit}: {n} values").format(
            ours=each.ours, column=each.column, unit=each.unit, n=each.values
        )
        for each in read.understood
    ]
    lines += _rejected_lines(read)
    if read.forecast_from is not None:
        lines.append(_to_come_line(read, read.forecast_from, kept))
    lines += list(read.notes)
    if preview:
        lines.append(_("nothing is stored; leave out --preview to store it"))
    return lines


def _to_come_line(read: WeatherRead, first: date, kept: WeatherSeries | None) -> str:
    days = {"first": show.day(first, year=True), "n": read.forecast_days}
    if kept is None:
        return _("from {first} on, {n} days are still to come; they are not kept").format(**days)
    if kept.last < read.series.last:
        return _(
            "from {first} on, {n} days are still to come: kept as a forecast up to {last}, beyond it no "
            "forecast can tell"
        ).format(**days, last=show.day(kept.last, year=True))
    return _("from {first} on, {n} days are still to come, kept as a forecast up to {last}").format(
        **days, last=show.day(kept.last, year=True)
    )


def brief(answer: Shape) -> list[str]:
    """The lines of an import without one a column, which is too long for a single sentence.

    Parameters
    ----------
    answer : dict
        Of `import_weather`: two lines on the days, one on the format, one a column, then the rest.

    Returns
    -------
    list of str
        Lines.
    """
    lines: list[str] = answer["lines"]
    return [*lines[:_BEFORE_COLUMNS], *lines[_BEFORE_COLUMNS + len(answer["understood"]) :]]


def _rejected_lines(read: WeatherRead) -> list[str]:
    counts = Counter((each.column, each.reason) for each in read.rejected)
    first = {(each.column, each.reason): each for each in reversed(read.rejected)}
    lines = [
        _("rejected {values} of {column}: {reason}; the first on {day} ({text})").format(
            values=counted("{n} value", "{n} values", n),
            column=column,
            reason=reason,
            day=show.day(first[column, reason].day, year=True),
            text=first[column, reason].text,
        )
        for (column, reason), n in counts.most_common(_MOST_REASONS)
    ]
    if len(counts) > _MOST_REASONS:
        lines.append(_("more is rejected; --json lists every value"))
    return lines


def format_words(name: str) -> str:
    """A format by its name for people.

    Parameters
    ----------
    name : str
        Of a `WeatherRead`.

    Returns
    -------
    str
        In the reader's language.
    """
    words = {
        "own": _("our own header"),
        "mapping": _("a table by its mapping"),
        "ghcn_dly": "GHCN-Daily (.dly)",
        "ghcn_by_station": _("GHCN-Daily, CSV by station"),
        "ghcn_daily_summaries": _("GHCN-Daily, daily summaries"),
        "gsod": _("GSOD, daily summaries"),
        "dwd_daily_kl": _("DWD, daily climate (KL)"),
        "open_meteo_json": "Open-Meteo (JSON)",
        "open_meteo_csv": "Open-Meteo (CSV)",
    }
    return words.get(name, name)
