"""Risks after a work in words, and the chain behind each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.season import risk_kinds as kinds
from ringwise.season.limit_words import limit_trace

if TYPE_CHECKING:
    from ringwise.season.risk import Risk, Stand

_OF_ROOT_WORK = frozenset({kinds.HEAT, kinds.WIND, kinds.CORE_HEAT})
_NEVER_IN_SENTENCE = frozenset({kinds.CORE_UNTIL_LEAF, kinds.CORE_REST, kinds.LEAF_FROST, kinds.CORE_ALARM})
_CORE = frozenset(
    {kinds.CORE_FROST, kinds.CORE_ALARM, kinds.CORE_UNTIL_LEAF, kinds.CORE_REST, kinds.CORE_SETTLED}
)


def risk_name(kind: str) -> str:
    """A kind of risk in two or three words.

    Parameters
    ----------
    kind : str
        One of `risk_kinds.KINDS`.

    Returns
    -------
    str
        In the reader's language.

    Source
    ------
    own.

    Examples
    --------
    >>> risk_name("core_frost")
    'frost in the pot core'
    """
    return {
        kinds.CORE_FROST: _("frost in the pot core"),
        kinds.CORE_ALARM: _("hard frost in the pot core"),
        kinds.BENCH_FROST: _("frost at the bench"),
        kinds.TENDER_FROST: _("frost on tender growth"),
        kinds.CORE_SETTLED: _("cold in the pot core"),
        kinds.CORE_HEAT: _("heat at the pot wall"),
        kinds.HEAT: _("heat"),
        kinds.WIND: _("wind"),
        kinds.CORE_UNTIL_LEAF: _("frost in the pot core until leaves open"),
        kinds.CORE_REST: _("frost in the pot core on the other days known"),
        kinds.LEAF_FROST: _("late frost on leaves and flowers"),
    }[kind]


def risk_limit(kind: str, limit: float) -> str:
    """What a risk passes, with its unit.

    Parameters
    ----------
    kind : str
        One of `risk_kinds.KINDS`.
    limit : float
        In degrees C, of wind in m/s.

    Returns
    -------
    str
        As people read it.

    Source
    ------
    own.

    Examples
    --------
    >>> risk_limit("core_frost", 0.0), risk_limit("wind", 3.0)
    ('0 °C', '3 m/s')
    """
    if kind == kinds.WIND:
        return _("{speed} m/s").format(speed=show.number(limit, 2))
    return show.temperature(limit)


def years_words(prob: float, of_years: int) -> str:
    """A share of the weather years as a count of them.

    Parameters
    ----------
    prob : float
        Share, 0 to 1.
    of_years : int
        Weather years.

    Returns
    -------
    str
        Such as "in 3 of 20 years".

    Source
    ------
    own.

    Examples
    --------
    >>> years_words(0.15, 20), years_words(0.0, 20), years_words(0.01, 20)
    ('in 3 of 20 years', 'in none of 20 years', 'in under 1 of 20 years')
    """
    count = round(prob * of_years)
    if count:
        return _("in {n} of {years} years").format(n=count, years=of_years)
    if prob > 0:
        return _("in under 1 of {years} years").format(years=of_years)
    return _("in none of {years} years").format(years=of_years)


def risk_sentence(kind: str, *, prob: float, of_years: int, limit: float, days: float) -> str:
    """A risk as the end of a sentence, from its plain values.

    Parameters
    ----------
    kind : str
        One of `risk_kinds.KINDS`.
    prob : float
        Share of the weather years.
    of_years : int
        Weather years.
    limit : float
        What is passed.
    days : float
        Days looked at.

    Returns
    -------
    str
        Such as "pot core below 0 °C in 3 of 20 years within 14 days after".

    Source
    ------
    own.

    Examples
    --------
    >>> risk_sentence("core_frost", prob=0.15, of_years=20, limit=0.0, days=14)
    'pot core below 0 °C in 3 of 20 years within 14 days after'
    """
    told = {"limit": risk_limit(kind, limit), "years": years_words(prob, of_years), "days": round(days)}
    words = {
        kinds.CORE_FROST: _("pot core below {limit} {years} within {days} days after"),
        kinds.CORE_ALARM: _("pot core below {limit} {years} within {days} days after"),
        kinds.CORE_SETTLED: _("pot core below {limit} {years} within {days} days after"),
        kinds.BENCH_FROST: _("bench air below {limit} {years} within {days} days after"),
        kinds.TENDER_FROST: _(
            "frost on open buds, flowers or leaves (below {limit}) {years} within {days} days after"
        ),
        kinds.CORE_HEAT: _(
            "the sunny pot wall over {limit} {years} within {days} days after: shade the wall or move the pot"
        ),
        kinds.HEAT: _("a day over {limit} {years} within {days} days after"),
        kinds.WIND: _("a day of wind over {limit} {years} within {days} days after"),
        kinds.CORE_UNTIL_LEAF: _("pot core below {limit} {years} until the first leaf opens"),
        kinds.CORE_REST: _(
            "pot core below {limit} {years} within {days} days after, as far as the weather years reach"
        ),
        kinds.LEAF_FROST: _("frost on flowers or leaves (below {limit}) {years} before the leaves are hard"),
    }[kind]
    return words.format(**told)


def told_risk(risks: Sequence[Risk], *, root_work: bool) -> str:
    """The one risk that goes into a window's sentence; empty where none is likely enough.

    Parameters
    ----------
    risks : sequence of Risk
        From `risk.work_risks`.
    root_work : bool
        Whether the work opens the roots: only then heat and wind are told.

    Returns
    -------
    str
        Its words. Where the core is known the bench's frost is not told.

    Source
    ------
    own; the least chances are rows: heat and wind, which shade and shelter mend, have a higher one.

    Examples
    --------
    >>> told_risk((), root_work=True)
    ''
    """
    tell = load_table("ringwise.season", "risks").of("tell")
    core_known = any(each.kind == kinds.CORE_FROST for each in risks)
    for each in risks:
        left_out = each.kind in _NEVER_IN_SENTENCE or (each.kind in _OF_ROOT_WORK and not root_work)
        least = tell["mild_least_prob" if each.kind in _OF_ROOT_WORK else "least_prob"].number
        if left_out or (each.kind == kinds.BENCH_FROST and core_known) or each.prob < least:
            continue
        return risk_sentence(
            each.kind, prob=each.prob, of_years=each.of_years, limit=each.limit, days=each.days
        )
    return ""


def risk_trace(risk: Risk, stand: Stand) -> Trace:
    """Where a risk comes from: the days looked at, the limit's rows, the core's lag, the stages.

    Parameters
    ----------
    risk : Risk
        From `risk.work_risks`.
    stand : Stand
        That it was told for.

    Returns
    -------
    Trace
        The chain.

    Source
    ------
    own.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.season.risk import Risk
    >>> day = date(2027, 3, 20)
    >>> frost = Risk("bench_frost", 0.5, 20, day, day, 0.0, -4.0, ())
    >>> risk_name(frost.kind)
    'frost at the bench'
    """
    joint = risk.kind in {kinds.TENDER_FROST, kinds.LEAF_FROST, kinds.CORE_UNTIL_LEAF}
    weather = Trace(
        label=_("worst of the weather years, {first} to {last}").format(
            first=show.day(risk.first, year=True), last=show.day(risk.last, year=True)
        ),
        value=risk_limit(risk.kind, risk.worst),
        room="weather.years",
        formula=_("{years} weather years, day by day").format(years=risk.of_years),
        source="taylor2020",
        basis="assumed" if stand.weather.invented or stand.weather.few else "measured",
    )
    lag = (stand.lag,) if stand.lag is not None and risk.kind in _CORE | {kinds.CORE_HEAT} else ()
    stages = (stand.forecast.trace,) if joint else ()
    return Trace(
        label=risk_name(risk.kind),
        value=years_words(risk.prob, risk.of_years),
        room="season.risk",
        formula=_("share of the samples, frost and stage of the same weather year")
        if joint
        else _("share of the weather years that pass {limit} on any of {days} days").format(
            limit=risk_limit(risk.kind, risk.limit), days=risk.days
        ),
        source="own",
        basis="assumed",
        inputs=(weather, *lag, *stages, *(limit_trace(row) for row in risk.rows)),
    )
