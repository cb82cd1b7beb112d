"""When a work suits one tree this season, as a distribution, and what stands in its way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.ranged import DateBand
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _, from_data
from ringwise.operations.timing import span_trace, spans
from ringwise.records.taxa import lookup_keys
from ringwise.season.after import NOTHING_AFTER, After, after_work
from ringwise.season.blockers import blockers, not_done
from ringwise.season.chances import ChanceByDay, DaysLeft, chance_by_day, days_left
from ringwise.season.spans import SpanDays, span_days
from ringwise.season.window_words import closed_words, closing_words, median_words, open_end_words

if TYPE_CHECKING:
    from ringwise.kit.days import GrowingYear
    from ringwise.operations.base import Operation
    from ringwise.phenology.forecast import StageForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.season.risk import Risk, Stand

AHEAD, OPEN, CLOSED, BLOCKED = "ahead", "open", "closed", "blocked"
SURE_PROB = 0.8  # below it "open" is said with its odds: the same share as in a band
BAND_PCT = (10.0, 50.0, 90.0)  # every band shown is the 80 % band with its median


@dataclass(frozen=True)
class Circumstances:
    """What else bears on a window: frost, and conflicts already found, in words.

    `first_frost_days` are day indices of the first autumn frost, one a weather year; an
    `override_reason` typed by the grower lifts what blocks and keeps it listed. `stand` is the tree where
    it stands, for what may happen after the work.
    """

    first_frost_days: FloatArray | None = None
    conflicts: tuple[str, ...] = ()
    override_reason: str = ""
    stand: Stand | None = None


@dataclass(frozen=True)
class Window:
    """When a work opens and closes on one tree; a band is None where no forecast tells, only a sign.

    `open_prob` is the share of samples in which the window is open on the day `seen_on`; `last` is the
    hard exclusion after which the work is over for good; `note` limits what is done in it. `after` is what
    may happen once the work is done. `too_short` says that it closes before it opens in half the samples or
    more: then it counts as closed and tells no day.
    """

    tree: str
    operation: str
    opens: DateBand | None
    closes: DateBand | None
    last: DateBand | None
    open_prob: float
    state: str
    sign: str
    closes_by: str
    note: str
    blocked_by: tuple[str, ...]
    year: GrowingYear
    opens_days: FloatArray | None = field(repr=False, compare=False)
    closes_days: FloatArray | None = field(repr=False, compare=False)
    trace: Trace = field(repr=False, compare=False)
    override_reason: str = ""
    seen_on: date | None = None
    after: After = field(default=NOTHING_AFTER, repr=False)
    too_short: bool = False

    @property
    def risks(self) -> tuple[Risk, ...]:
        """What may happen in the days after the work; empty where the weather years do not tell."""
        return self.after.risks

    @property
    def days_left(self) -> DaysLeft | None:
        """How many days the window has left, from `seen_on` on; None where it is over or a sign tells."""
        if self.seen_on is None or self.closes is None or self.state in {BLOCKED, CLOSED}:
            return None
        return days_left(self.closes, self.seen_on)

    @property
    def chance_by_day(self) -> ChanceByDay | None:
        """The chance of being open, day by day over the growing year; None where a sign tells."""
        if self.opens_days is None or self.closes_days is None:
            return None
        return chance_by_day(self.year, self.opens_days, self.closes_days)

    def chance_open(self, when: date) -> float:
        """The share of samples in which the window is open on a day; NaN where no forecast tells."""
        if self.opens_days is None or self.closes_days is None:
            return float("nan")
        day = self.year.day_index(when)
        return float(np.mean((self.opens_days <= day) & (day < self.closes_days)))

    def sentence(self) -> str:
        """The window in one line, as a grower would say it."""
        if self.state == BLOCKED:
            return _("blocked: {why}").format(why="; ".join(self.blocked_by))
        words = self._when()
        risk = self.after.words
        return _("{window}; {risk}").format(window=words, risk=risk) if risk else words

    def _when(self) -> str:
        if self.too_short:
            return _("the season here is too short for it")
        if self.opens is None or self.closes_days is None:
            return _("by sign: {sign}").format(sign=self.sign)
        if self.closes is None:
            chance = None if self.state == AHEAD else self.open_prob
            return open_end_words(self.opens, self.closes_by, chance, SURE_PROB)
        closes = show.span(self.closes.low, self.closes.high)
        if self.state == OPEN and self.open_prob < SURE_PROB:
            return _("may be open ({odds}): look for the sign; closes around {closes}").format(
                odds=show.odds(self.open_prob), closes=closes
            )
        if self.state == OPEN:
            return _("open now, closes around {closes}").format(closes=closes)
        if self.state == CLOSED:
            return closed_words(closes, self.last)
        return _("opens around {opens} (median {median}), closes around {closes}").format(
            opens=show.span(self.opens.low, self.opens.high),
            median=median_words(self.opens),
            closes=closes,
        )


def _bands(year: GrowingYear, samples: Sequence[FloatArray | None]) -> list[DateBand | None]:
    known = [each for each in samples if each is not None]
    if not known:
        return [None for _each in samples]
    columns = iter(np.percentile(np.stack(known), BAND_PCT, axis=1).T)
    return [
        None if each is None else DateBand(*(year.day_at(float(day)) for day in next(columns)))
        for each in samples
    ]


def _chosen(choices: Sequence[SpanDays], today_index: float) -> SpanDays:
    """The first span in order of choice that is not over yet; the first of all where every one is.

    Spans for which the season is too short are left aside where there are others.
    """
    possible = [each for each in choices if not each.too_short] or choices
    for each in possible:
        if each.closes_days is None or float(np.median(each.closes_days)) > today_index:
            return each
    return possible[0]


def _state(days: SpanDays, today_index: float) -> tuple[str, float]:
    if days.opens_days is None or days.closes_days is None:
        return AHEAD, float("nan")
    is_open = (days.opens_days <= today_index) & (today_index < days.closes_days)
    if days.too_short:
        state = CLOSED
    elif days.opens_never or float(np.median(days.opens_days)) > today_index:
        state = AHEAD
    else:
        state = OPEN if today_index < float(np.median(days.closes_days)) else CLOSED
    return state, float(np.mean(is_open))


def _with_trace(window: Window, days: SpanDays, forecast: StageForecast) -> Window:
    formula = _("opens when {opens} is first seen, closes when {closes} is passed").format(
        opens=days.span.opens or from_data(days.span.sign),
        closes=days.span.closes or from_data(days.span.closes_by),
    )
    return replace(
        window,
        trace=Trace(
            label=_("window of {operation}").format(operation=window.operation),
            value=window.sentence(),
            room="season.window",
            formula=formula,
            source=days.span.source,
            basis=days.span.basis,
            inputs=(span_trace(days.span), forecast.trace),
        ),
    )


def operation_window(
    operation: Operation,
    facts: TreeFacts,
    forecast: StageForecast,
    *,
    today: date,
    circumstances: Circumstances | None = None,
) -> Window:
    """When a work suits a tree in the growing year of its forecast.

    Parameters
    ----------
    operation : Operation
        From the registry.
    facts : TreeFacts
        What is known of the tree today.
    forecast : StageForecast
        Samples of the tree's stages.
    today : date
        The day of asking.
    circumstances : Circumstances, optional
        First autumn frosts, where the tree stands, conflicts in words, an override.

    Returns
    -------
    Window
        Of the usual span, or of the next alternate where that one is over.

    Raises
    ------
    MissingFieldError
        If the tree's species is not in the list of taxa.
    ParameterError
        If the timing table has no row for the tree.

    Source
    ------
    practice: timing by bud and leaf state, first buds; own reasoning for the sampling.

    Examples
    --------
    >>> Circumstances().conflicts
    ()
    """
    told = circumstances or Circumstances()
    if facts.taxon is None:
        raise MissingFieldError(
            _(
                'species "{name}" is in no list, so no window can be told. Give the accepted botanical name.'
            ).format(name=facts.tree.species),
            where=facts.tree.id,
        )
    listed = spans(operation, lookup_keys(facts.taxon.key))
    done = [span for span in listed if span.done]
    if not done:
        return not_done_window(operation, facts, forecast, listed[0].note)
    today_index = float(forecast.year.day_index(today))
    days = _chosen([span_days(forecast, span, told.first_frost_days) for span in done], today_index)
    opens, closes, last = _bands(forecast.year, days.told)
    blocked = (*blockers(operation, facts, today=today, opens=opens), *told.conflicts)
    state, open_prob = _state(days, today_index)
    window = Window(
        tree=facts.tree.id,
        operation=operation.key,
        opens=opens,
        closes=closes,
        last=last,
        open_prob=open_prob,
        state=BLOCKED if blocked and not told.override_reason else state,
        sign=from_data(days.span.sign),
        closes_by=closing_words(days),
        note=from_data(days.span.note),
        blocked_by=blocked,
        year=forecast.year,
        opens_days=days.opens_days,
        closes_days=days.closes_days,
        trace=forecast.trace,
        override_reason=told.override_reason,
        seen_on=today,
        too_short=days.too_short,
    )
    if told.stand is not None:
        window = replace(window, after=after_work(told.stand, work_day(window), operation, _near(window)))
    return _with_trace(window, days, forecast)


def work_day(window: Window) -> date | None:
    """The day on which a work would be done: today where it is open, else the median of its opening.

    Parameters
    ----------
    window : Window
        Of the work.

    Returns
    -------
    date or None
        None where it is over, blocked, or only a sign tells.

    Source
    ------
    own.

    Examples
    --------
    >>> OPEN, AHEAD
    ('open', 'ahead')
    """
    if window.seen_on is None or window.opens is None or window.state in {BLOCKED, CLOSED}:
        return None
    return max(window.opens.median, window.seen_on)


def _near(window: Window) -> bool:
    """Whether a window is open or opens so soon that its risks are worth a word."""
    day = work_day(window)
    if day is None or window.seen_on is None or window.state not in {OPEN, AHEAD}:
        return False
    soon = load_table("ringwise.season", "risks").get("tell", "soon_days").number
    return (day - window.seen_on).days <= soon


def not_done_window(operation: Operation, facts: TreeFacts, forecast: StageForecast, note: str) -> Window:
    """The window of a work that is not done on a tree's group or species.

    Parameters
    ----------
    operation : Operation
        From the registry.
    facts : TreeFacts
        The tree.
    forecast : StageForecast
        For its growing year and trace.
    note : str
        Why it is not done.

    Returns
    -------
    Window
        Blocked, without days.

    Source
    ------
    practice: timing table.

    Examples
    --------
    >>> from ringwise.season.blockers import not_done
    >>> not_done("Take all leaves", "needles are not taken")
    'take all leaves is not done on this kind of tree: needles are not taken'
    """
    return Window(
        tree=facts.tree.id,
        operation=operation.key,
        opens=None,
        closes=None,
        last=None,
        open_prob=0.0,
        state=BLOCKED,
        sign="",
        closes_by="",
        note=from_data(note),
        blocked_by=(not_done(operation.name, note),),
        year=forecast.year,
        opens_days=None,
        closes_days=None,
        trace=forecast.trace,
    )
