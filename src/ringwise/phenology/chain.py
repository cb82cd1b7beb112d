"""The chain behind a forecast: its models and their rows, weather, own seasons, days between stages."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringwise.kit import show
from ringwise.kit.days import GrowingYear
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _, counted
from ringwise.phenology.clock import ClockSamples, Shared
from ringwise.phenology.mixture import LeftOut, Member
from ringwise.phenology.offsets import Offset
from ringwise.phenology.seen import SeenStage, variation
from ringwise.phenology.species import Clock, SpeciesDays
from ringwise.weather.borrowed import borrowed_rows
from ringwise.weather.described import described_trace, is_described
from ringwise.weather.years import WeatherMembers


def forecast_chain(
    species: SpeciesDays, told: tuple[SeenStage, ...], spring: ClockSamples, shared: Shared
) -> Trace:
    """What a forecast of a tree stands on.

    Parameters
    ----------
    species : SpeciesDays
        Of its kind.
    told : tuple of SeenStage
        What was seen on it.
    spring : ClockSamples
        Its spring, with the shares of the models.
    shared : Shared
        What the other trees of the yard say.

    Returns
    -------
    Trace
        Each model with its share and rows, the leading one first; what was left out and why; weather; own
        seasons; this year's sightings; days between stages.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> callable(forecast_chain)
    True
    """
    clock, year = species.spring, species.weather.year
    order = sorted(range(len(clock.members)), key=lambda k: -spring.shares[k])
    inputs = [_member_trace(clock, k, float(spring.shares[k]), year) for k in order]
    inputs += [_left_out_trace(each) for each in clock.left_out]
    inputs += [_weather_trace(species), _offset_trace(clock, spring.learned, shared)]
    inputs += [_seen_trace(each) for each in told if each.year == year]
    inputs += [trace_parameter(row) for row in clock.spacing]
    return Trace(
        label=_("stage forecast"),
        value=_("{n} samples").format(n=species.samples),
        room="phenology.forecast",
        formula=_("day of the model + own offset + days between stages"),
        source="own",
        basis=clock.members[order[0]].basis,
        inputs=tuple(inputs),
    )


def _member_trace(clock: Clock, place: int, share_frac: float, year: GrowingYear) -> Trace:
    member, days = clock.members[place], clock.now[:, clock.member_of == place]
    name = member.name if member.choice else _("own mean day")
    label = _("day of the model, median over the weather years")
    if len(clock.members) > 1:
        label = _("{model}, {share} % of the draws: median over the weather years").format(
            model=name, share=show.number(100.0 * share_frac, 0)
        )
    rows = () if member.choice is None else tuple(member.choice.rows.values())
    inputs = [trace_parameter(row) for row in rows]
    if member.error_days is not None:
        inputs.append(_score_trace(member, clock.taught))
    event = "" if member.choice is None else f", {member.choice.event}"
    return Trace(
        label=label,
        value=_middle_day(days, year),
        room="phenology.models" if member.choice else "phenology.taught",
        formula=f"{name}{event} = {member.code}",
        source="own",
        basis=member.basis,
        inputs=tuple(inputs),
    )


def _middle_day(days: FloatArray, year: GrowingYear) -> str:
    known = days[~np.isnan(days)]
    if known.size == 0:
        return _("not reached")
    return show.day(year.day_at(float(np.median(known))), year=True)


def _score_trace(member: Member, seasons: int) -> Trace:
    return Trace(
        label=_("error on own seasons left out"),
        value=_("{days} days over {seasons}").format(
            days=show.number(member.error_days or 0.0, 2),
            seasons=counted("{n} season", "{n} seasons", seasons),
        ),
        room="phenology.skill",
        formula=_("each season foretold from the others; shares by squared errors, drawn to equal ones"),
        source="own",
        basis="measured",
    )


def _left_out_trace(out: LeftOut) -> Trace:
    return Trace(
        label=_("{model} left out").format(model=out.label.replace(".", ", ")),
        value=out.why,
        room="phenology.mixture",
        formula="",
        source="own",
        basis="",
    )


def _weather_trace(species: SpeciesDays) -> Trace:
    members = species.weather.members
    if is_described(members.source):
        return described_trace(members.n)
    observed = int(members.observed[members.lead_days :].sum())
    forecast = int(members.forecast[members.lead_days :].sum())
    invented = _(" (invented)") if members.invented else ""
    return Trace(
        label=_("weather of {station}{invented}").format(station=members.station, invented=invented),
        value=_("{days} days observed, then {years}").format(
            days=observed, years=counted("{n} past year", "{n} past years", members.n)
        )
        if members.forecast_of is None
        else _("{days} days observed, {ahead} by the forecast of {issue}, then {years}").format(
            days=observed,
            ahead=forecast,
            issue=show.day(members.forecast_of, year=True),
            years=counted("{n} past year", "{n} past years", members.n),
        ),
        room="weather.years",
        formula=_("past growing years, same calendar days")
        if members.forecast_of is None
        else _("past growing years, same calendar days, drawn towards the forecast by its lead"),
        source="taylor2020",
        basis=_weather_basis(members),
        inputs=_lent_traces(members),
    )


def _weather_basis(members: WeatherMembers) -> str:
    if members.invented or members.few:
        return "assumed"
    return "transferred" if members.lender else "measured"


def _lent_traces(members: WeatherMembers) -> tuple[Trace, ...]:
    """The days that another station lent; none where all are the yard's own."""
    if not members.lender:
        return ()
    return (
        Trace(
            label=_("lent by {station}, shifted to the yard").format(station=members.lender),
            value=_("{n} of {years}, and {days} of this year").format(
                n=members.lent_years,
                years=counted("{n} past year", "{n} past years", members.n),
                days=counted("{n} day", "{n} days", members.lent_days),
            ),
            room="weather.years",
            formula=_("day of the other station + constant + one wave a year, by the days in common"),
            source="own",
            basis="transferred",
            inputs=tuple(trace_parameter(row) for row in borrowed_rows().values()),
        ),
    )


def _offset_trace(clock: Clock, learned: Offset, shared: Shared) -> Trace:
    rows = [variation().get("any", name) for name in ("tree_sd", "site_sd", "season_sd")]
    days = show.number(float(learned.mean.mean()), 2)
    made = Trace(
        label=_("own offset from {seasons}").format(
            seasons=counted("{n} own season", "{n} own seasons", learned.seasons)
        ),
        value=_("{days} days, spread {sd} days").format(days=days, sd=show.number(learned.sd_days, 2)),
        room="phenology.offsets",
        formula=_("sum of residuals shrunk towards the place's {site} days").format(
            site=show.number(float(np.mean(shared.site_days)), 2)
        ),
        source="own",
        basis="fitted" if learned.seasons else "assumed",
        inputs=tuple(trace_parameter(row) for row in rows),
    )
    if not clock.taught:
        return made
    return replace(
        made,
        formula=_("sum of residuals shrunk towards none: {seasons} of the kind have moved the models").format(
            seasons=counted("{n} season", "{n} seasons", clock.taught)
        ),
    )


def _seen_trace(seen: SeenStage) -> Trace:
    if seen.latest is None:
        value = _("not yet on {day}").format(day=show.day(seen.earliest, year=True))
    else:
        value = _("seen {day}, not yet {before}").format(
            day=show.day(seen.latest, year=True), before=show.day(seen.earliest)
        )
    return Trace(
        label=_("stage {code} this year").format(code=seen.code),
        value=value,
        room="phenology.seen",
        formula=_("samples kept inside the interval"),
        source="own",
        basis="measured",
    )
