"""Why a day of the weather strip shows its number, and what the described climate rests on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.desk.climate import SETTING, stated_climate
from ringwise.desk.climate_months import months_line, months_shape
from ringwise.desk.strip_core import CORE_MEASURES
from ringwise.desk.weather_strip import HIGH_PCT, LOW_PCT, MEASURES, MIDDLE_PCT, YardSky, shown
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, unknown_name
from ringwise.kit.trace import Trace
from ringwise.kit.words import _

if TYPE_CHECKING:
    from datetime import date

    from ringwise.desk.workspace import Workspace


def yard_trace(workspace: Workspace, parts: Sequence[str]) -> Trace:
    """The chain behind a number of the yard's weather.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    parts : sequence of str
        ("yard", "climate") or ("yard", "weather", "2027-03-07", "tmin").

    Returns
    -------
    Trace
        Its first link.

    Raises
    ------
    InputError
        If the name does not read.
    MissingFieldError
        If nothing is known of that day.
    """
    if tuple(parts[1:]) == ("climate",):
        return _climate_trace(workspace)
    if len(parts) == 4 and parts[1] == "weather":
        if parts[3] in CORE_MEASURES:
            return _core_trace(YardSky(workspace), parse_date(parts[2], field=_("day")), parts[3])
        if parts[3] not in MEASURES:
            raise unknown_name(_("measure"), parts[3], MEASURES)
        return _day_trace(YardSky(workspace), parse_date(parts[2], field=_("day")), parts[3])
    raise InputError(
        _('"{result}" names no result; write yard:climate or yard:weather:2027-03-07:tmin').format(
            result=":".join(parts)
        )
    )


def _label(measure: str, when: date) -> str:
    words = {"tmin": _("lowest temperature"), "tmax": _("highest temperature"), "rain": _("rain")}
    return _("{what}, {day}").format(what=words[measure], day=show.day(when, year=True))


def _day_trace(sky: YardSky, when: date, measure: str) -> Trace:
    state = sky.state(when)
    if state == "lent" and sky.under is not None:
        return _lent_trace(sky, when, measure)
    if state in {"measured", "bridged"}:
        return _stored_trace(sky, when, measure, bridged=state == "bridged")
    values = sky.years(when, measure)
    if state == "missing" or values.size == 0:
        raise MissingFieldError(
            _("nothing is known of the {what}. Import weather for it.").format(what=_label(measure, when))
        )
    return _years_trace(sky, when, measure)


def _lent_trace(sky: YardSky, when: date, measure: str) -> Trace:
    """A day that another station lent: its value here and where it comes from."""
    under, value = sky.under, sky.behind(when, measure)
    if under is None or under.lent is None or value is None:
        raise MissingFieldError(
            _("nothing is known of the {what}. Import weather for it.").format(what=_label(measure, when))
        )
    return Trace(
        label=_label(measure, when),
        value=shown(measure, value),
        room="weather.borrowed",
        formula=_("the day of another station, moved by its usual difference from the yard"),
        source="own",
        basis="assumed",
        inputs=(Trace(_("station"), under.lent.station),),
    )


def _core_trace(sky: YardSky, when: date, measure: str) -> Trace:
    """The core of the usual pot on a day, from the air of the same day."""
    import numpy as np

    from ringwise.desk.strip_core import core_of_days, usual_pot
    from ringwise.rootzone.heat_words import heat_trace

    pot = usual_pot(sky.workspace)
    words = {"core_low": _("lowest in the pot core"), "core_high": _("highest in the pot core")}
    label = _("{what}, {day}").format(what=words[measure], day=show.day(when, year=True))
    if pot is None:
        raise MissingFieldError(
            _("nothing is known of the {what}: no pot was measured. Note the inside of one.").format(
                what=label
            )
        )
    core = core_of_days(sky, [when], pot.core)
    values = (core.low_degC if measure == "core_low" else core.high_degC)[:, 0]
    if bool(np.isnan(values).any()):
        raise MissingFieldError(
            _("nothing is known of the {what}. Import weather for it.").format(what=label)
        )
    air = _day_trace(sky, when, "tmin" if measure == "core_low" else "tmax")
    return Trace(
        label=label,
        value=shown("tmin", float(np.median(values))),
        room="rootzone.core",
        formula=_("the air of the hours with sun and open sky, smoothed and delayed by the pot, in the open"),
        source="own",
        basis="assumed",
        inputs=(
            Trace(_("the yard's middle pot by its lag"), pot.words, "record"),
            heat_trace(pot.core, "open_bench"),
            air,
        ),
    )


def _stored_trace(sky: YardSky, when: date, measure: str, *, bridged: bool) -> Trace:
    series = sky.stored
    value = sky.behind(when, measure)
    if series is None or value is None:
        raise MissingFieldError(
            _("nothing is known of the {what}. Import weather for it.").format(what=_label(measure, when))
        )
    unit = "mm" if measure == "rain" else "°C"
    basis = "assumed" if bridged or series.invented else "measured"
    return Trace(
        label=_label(measure, when),
        value=shown(measure, value),
        room="weather.series",
        formula=_("a straight line over a gap of at most three days") if bridged else _("as stored"),
        source="own" if bridged else "",
        basis=basis,
        inputs=(
            Trace(_("stored value"), f"{value:g} {unit}", "records.store", "", "", basis),
            Trace(_("station"), series.station + (_(" (invented)") if series.invented else "")),
            Trace(_("read from"), series.source or _("unknown")),
        ),
    )


def _years_trace(sky: YardSky, when: date, measure: str) -> Trace:
    import numpy as np

    from ringwise.weather.described import described_trace

    members = sky.members
    assert members is not None  # there are values
    values, issue = sky.years(when, measure), sky.forecast_of(when)
    pct = LOW_PCT if measure == "tmin" else HIGH_PCT
    middle, edge = (float(each) for each in np.percentile(values, (MIDDLE_PCT, pct)))
    years = tuple(
        Trace(str(label), shown(measure, float(value)))
        for label, value in zip(members.labels, values, strict=True)
    )
    under = Trace(
        label=_("weather years of {station}").format(station=members.station),
        value=_("{first} to {last}").format(first=members.labels[0], last=members.labels[-1]),
        room="weather.years",
        formula=_("past growing years, same calendar day; not a forecast")
        if issue is None
        else _("past growing years, same calendar day, drawn towards the forecast of {issue}").format(
            issue=show.day(issue, year=True)
        ),
        source="taylor2020",
        basis="assumed" if sky.described or members.invented or members.few else "measured",
        inputs=years,
    )
    return Trace(
        label=_label(measure, when),
        value=_("{middle}, one year in ten {edge} or beyond").format(
            middle=shown(measure, middle), edge=shown(measure, edge)
        ),
        room="desk.weather_strip",
        formula=_("median over the weather years; {pct:g}th percentile").format(pct=pct),
        source="own",
        basis=under.basis,
        inputs=(under, described_trace(members.n)) if sky.described else (under,),
    )


def _climate_trace(workspace: Workspace) -> Trace:
    from ringwise.desk.climate import DESCRIBED_YEARS
    from ringwise.weather.described import described_trace

    words = stated_climate(workspace)
    if words is None:
        raise MissingFieldError(
            _("no climate is described yet; say it with: ringwise weather describe --coldest --warmest")
        )
    latest = workspace.store.history("setting", SETTING)[-1]
    typed = latest.value.value.get("typed", {})
    said = _("{by}, {day}").format(by=latest.by, day=show.day(latest.recorded_at.date(), year=True))
    months = months_shape(words.normals)
    twelve = [
        Trace(_("monthly normals, as given"), months_line(months), "records.store", said, "", "assumed")
    ]
    stated = [
        Trace(label, f'"{typed[key]}"', "records.store", said, "", "assumed")
        for key, label in (
            ("coldest", _("mean of the coldest month, as typed")),
            ("warmest", _("mean of the warmest month, as typed")),
            ("last_frost", _("usual last frost, as typed; a check only")),
            ("first_frost", _("usual first frost, as typed; a check only")),
        )
        if typed.get(key) and not (months and key in ("coldest", "warmest"))
    ]
    return Trace(
        label=_("described climate"),
        value=_("coldest month {cold}, warmest month {warm}").format(
            cold=show.temperature(words.coldest_month_degC), warm=show.temperature(words.warmest_month_degC)
        ),
        room="desk.climate",
        formula=_("as the grower said it, not measured"),
        source="",
        basis="assumed",
        inputs=(*(twelve if months else ()), *stated, described_trace(DESCRIBED_YEARS)),
    )
