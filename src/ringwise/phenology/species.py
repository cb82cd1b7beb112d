"""What trees of one kind share in a forecast: model days in all weather years, days between stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import ParameterError
from ringwise.kit.tables import Parameter
from ringwise.kit.types import FloatArray, IntArray
from ringwise.phenology.choice import EVENTS, Luck, entity
from ringwise.phenology.mixture import (
    FLOWERING,
    LeftOut,
    Member,
    autumn_members,
    shared_out,
    spring_sets,
)
from ringwise.phenology.spacing import (
    AUTUMN_PHASES,
    FLOWER_LEAD,
    SPRING_PHASES,
    autumn_gaps,
    flower_lead,
    paced_steps,
    phase_days,
    spacing,
    spacing_rows,
    spring_gaps,
)
from ringwise.phenology.stages import AUTUMN, SPRING, codes_of
from ringwise.phenology.standing import Kept, always_reached, filled, member_days, seldom, standing
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.records.taxa import Taxon, lookup_keys
from ringwise.weather.series import WeatherSeries
from ringwise.weather.years import WeatherMembers, lived


@dataclass(frozen=True)
class YardWeather:
    """Daily means of the weather years to come, and of the past growing years as lived, at one place."""

    year: GrowingYear
    now: DailyMeans
    past: DailyMeans
    labels: tuple[int, ...]
    members: WeatherMembers
    runs: dict[tuple[object, ...], tuple[FloatArray, FloatArray]] = field(
        default_factory=dict, repr=False, compare=False
    )
    kept_now: Kept = field(default_factory=dict, repr=False, compare=False)
    kept_past: Kept = field(default_factory=dict, repr=False, compare=False)

    def on(self, members: WeatherMembers) -> YardWeather:
        """The same past with other weather years to come, those of another issue day."""
        return replace(
            self, now=_ahead(members, self.now.latitude_deg), members=members, runs={}, kept_now={}
        )


def yard_weather(
    series: WeatherSeries, members: WeatherMembers, *, latitude_deg: float | None = None
) -> YardWeather:
    """The weather that every forecast of a yard, or of one place in it, stands on.

    Parameters
    ----------
    series : WeatherSeries
        The series of the place.
    members : WeatherMembers
        Weather years made from it.
    latitude_deg : float, optional
        South negative; without it no model that reads the length of the day is used.

    Returns
    -------
    YardWeather
        Past years reach back to the start of the series; days without a mean are NaN.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> yard_weather(warm, members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014))).labels
    (2011, 2012, 2013)
    """
    year = members.year
    labels = [
        k for k in range(series.first.year, year.label) if GrowingYear(k, year.south).end >= series.first
    ]
    held = {
        name: _as_lived(series, labels, members, name) for name in ("tmean_degC", "tmin_degC", "tmax_degC")
    }
    past = daily_means(**held, first_index=members.first_index, year=year, latitude_deg=latitude_deg)
    return YardWeather(year, _ahead(members, latitude_deg), past, tuple(labels), members)


def _as_lived(
    series: WeatherSeries, labels: Sequence[int], members: WeatherMembers, measure: str
) -> FloatArray:
    """A measure of past growing years from as early as the members begin; NaN where the series has none."""
    years = [GrowingYear(label, members.year.south) for label in labels]
    rows = [lived(series, each, measure=measure, lead_days=members.lead_days) for each in years]
    longest = max((row.size for row in rows), default=1)
    past = np.full((max(len(rows), 1), longest), np.nan)
    for k, row in enumerate(rows):
        past[k, : row.size] = row
    return past


def _ahead(members: WeatherMembers, latitude_deg: float | None) -> DailyMeans:
    return daily_means(
        members.tmean_degC,
        first_index=members.first_index,
        year=members.year,
        latitude_deg=latitude_deg,
        tmin_degC=members.tmin_degC,
        tmax_degC=members.tmax_degC,
    )


@dataclass(frozen=True)
class Clock:
    """One clock of a kind of tree: days of the stages its members time, and days between its stages.

    `now` is (weather years, draws), each draw the day of the stage that its own member times; `past` holds
    (draws,) by label of the growing year, NaN where not reached. `gaps` is (weather years x draws, codes),
    days from the first code to each; `anchor_gaps` the same to each of `anchors`, the stages that members
    time. `taught` counts the own seasons that members were fitted and weighed on, 0 where they were not.
    """

    codes: tuple[str, ...]
    members: tuple[Member, ...]
    now: FloatArray
    past: Mapping[int, FloatArray]
    gaps: FloatArray
    anchors: tuple[str, ...]
    anchor_gaps: FloatArray
    spacing: tuple[Parameter, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    taught: int = 0

    @cached_property
    def member_of(self) -> IntArray:
        """Which member each draw belongs to."""
        return np.repeat(np.arange(len(self.members)), [each.draws for each in self.members])

    @cached_property
    def anchor_of(self) -> IntArray:
        """Which of `anchors` each draw is hung on."""
        held = np.array([self.anchors.index(each.code) for each in self.members])
        chosen: IntArray = held[self.member_of]
        return chosen

    @cached_property
    def gap_days(self) -> FloatArray:
        """Mean days (draws, codes) from each draw's anchor to each stage."""
        between: FloatArray = self.gaps.mean(axis=0) - self.anchor_gaps.mean(axis=0)[self.anchor_of][:, None]
        return between

    @cached_property
    def gap_variance(self) -> FloatArray:
        """Variance of the days from an anchor to each stage, in square days, in the mean of the draws."""
        each = np.stack([(self.gaps - column[:, None]).var(axis=0) for column in self.anchor_gaps.T])
        mean: FloatArray = each[self.anchor_of].mean(axis=0)
        return mean

    def hung(self, draws: IntArray) -> FloatArray:
        """Days (weather years x draws, codes) from the anchors of chosen draws to each stage."""
        if len(self.anchors) == 1:
            return self._from_first_anchor
        anchor = np.tile(self.anchor_of[draws], self.now.shape[0])
        lead: FloatArray = np.take_along_axis(self.anchor_gaps, anchor[:, None], axis=1)
        return self.gaps - lead

    @cached_property
    def _from_first_anchor(self) -> FloatArray:
        return self.gaps - self.anchor_gaps[:, :1]

    def column(self, code: str) -> int:
        """Where a stage stands among `codes`."""
        return self.codes.index(code)


@dataclass(frozen=True)
class SpeciesDays:
    """What trees of one kind share in one yard and growing year; evergreens have no autumn clock."""

    taxon: Taxon
    weather: YardWeather
    luck: Luck
    codes: tuple[str, ...]
    spring: Clock
    autumn: Clock | None

    @property
    def samples(self) -> int:
        """Members times draws."""
        return self.weather.members.n * self.luck.draws


def species_days(taxon: Taxon, weather: YardWeather, luck: Luck, *, guests: bool = False) -> SpeciesDays:
    """Run the models of a kind of tree once, for all its trees in the yard.

    Parameters
    ----------
    taxon : Taxon
        The kind; any tree of groups G1 to G7 has at least its group's row.
    weather : YardWeather
        From `yard_weather`.
    luck : Luck
        Seed and number of parameter draws.
    guests : bool
        Whether models that were fitted to no kind of tree take part: where enough own seasons judge them.

    Returns
    -------
    SpeciesDays
        To be handed to `forecast.stage_forecast` for each of its trees.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.taxa import taxon
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> yard = yard_weather(warm, members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014)))
    >>> species_days(taxon("acer_palmatum"), yard, Luck(7, 4)).spring.now.shape
    (3, 4)
    """
    keys = lookup_keys(taxon.key)
    codes = codes_of(taxon.group, taxon.leaf_habit)
    rows = spacing_rows(keys)
    spring_rows, autumn_rows = rows[: len(SPRING_PHASES)], rows[len(SPRING_PHASES) :]
    steps = _steps(taxon, weather, luck)
    gaps = spring_gaps(phase_days(spring_rows, steps[:, : len(SPRING_PHASES)]))
    lead = flower_lead(keys, steps[:, -1])
    members, out = _spring_members(taxon, weather, has_lead=lead is not None, guests=guests)
    to_anchor = {code: gaps[:, k] for k, code in enumerate(SPRING)}
    if lead is not None:
        to_anchor[EVENTS[FLOWERING]] = to_anchor["11"] - lead
        spring_rows = (*spring_rows, spacing().first(keys, FLOWER_LEAD))
    spring = _clock(_Spaced(SPRING, gaps, to_anchor, spring_rows), members, out, weather, luck)
    autumn = None
    if codes[-1] in AUTUMN:
        late_gaps = autumn_gaps(phase_days(autumn_rows, steps[:, len(SPRING_PHASES) : -1]))
        late, out = standing(autumn_members(), weather.now, weather.kept_now)
        to_anchor = {code: late_gaps[:, k] for k, code in enumerate(AUTUMN)}
        autumn = _clock(_Spaced(AUTUMN, late_gaps, to_anchor, autumn_rows), late, out, weather, luck)
    return SpeciesDays(taxon, weather, luck, codes, spring, autumn)


def _spring_members(
    taxon: Taxon, weather: YardWeather, *, has_lead: bool, guests: bool
) -> tuple[tuple[Member, ...], tuple[LeftOut, ...]]:
    """The members of the first key that reaches its stage in every weather year; what was left out before.

    Where no key does, as where winters never end, the closest key keeps the clock.
    """
    out: tuple[LeftOut, ...] = ()
    closest: tuple[Member, ...] = ()
    for members in spring_sets(lookup_keys(taxon.key), leaf_habit=taxon.leaf_habit, guests=guests):
        usable = [each for each in members if has_lead or each.code in SPRING]
        kept, lacking = standing(usable, weather.now, weather.kept_now)
        out = (*out, *(each for each in lacking if each not in out))
        if kept and always_reached(kept, weather.now, weather.kept_now):
            return kept, out
        closest = closest or kept
        out = (*out, *(seldom(each) for each in kept if seldom(each) not in out))
    if not closest:
        raise ParameterError(f"forcing has no complete model for {taxon.key}")
    return closest, tuple(each for each in out if each.label not in {kept.label for kept in closest})


def retimed(
    clock: Clock, members: Sequence[Member], weather: YardWeather, luck: Luck, *, taught: int
) -> Clock:
    """A clock with other members: the days between its stages stay.

    Parameters
    ----------
    clock : Clock
        As it stood before own seasons taught it.
    members : sequence of Member
        Each timing a stage that the clock has an anchor for.
    weather : YardWeather
        Of the same place.
    luck : Luck
        As before.
    taught : int
        On how many own seasons they were fitted and weighed.

    Returns
    -------
    Clock
        With days of the new members.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.taxa import taxon
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> yard = yard_weather(warm, members(warm, issue=date(2014, 3, 1), year=GrowingYear(2014)))
    >>> before = species_days(taxon("acer_palmatum"), yard, Luck(7, 4)).spring
    >>> own = Member(None, "07", 1.0, mean_index=99.0)
    >>> retimed(before, [own], yard, Luck(7, 4), taught=9).now.tolist()[0]
    [99.0, 99.0, 99.0, 99.0]
    """
    to_anchor = {code: clock.gaps[:, k] for k, code in enumerate(clock.codes)}
    to_anchor |= {code: clock.anchor_gaps[:, k] for k, code in enumerate(clock.anchors)}
    spaced = _Spaced(clock.codes, clock.gaps, to_anchor, clock.spacing)
    return replace(_clock(spaced, members, clock.left_out, weather, luck), taught=taught)


def _steps(taxon: Taxon, weather: YardWeather, luck: Luck) -> FloatArray:
    """One column a phase of spring, of autumn, and one for the days between flower and leaf."""
    phases = len(SPRING_PHASES) + len(AUTUMN_PHASES) + 1
    samples = weather.members.n * luck.draws
    return paced_steps(luck.seed, samples, phases, entity(taxon.key), year=weather.year.label)


@dataclass(frozen=True)
class _Spaced:
    """The stages of a clock and the days between them, by sample; `to_anchor` by stage that is timed."""

    codes: tuple[str, ...]
    gaps: FloatArray
    to_anchor: Mapping[str, FloatArray]
    rows: tuple[Parameter, ...]


def _clock(
    spaced: _Spaced,
    members: Sequence[Member],
    left_out: tuple[LeftOut, ...],
    weather: YardWeather,
    luck: Luck,
) -> Clock:
    with_draws = shared_out(members, luck.draws)
    runs = [_run(each, weather, luck) for each in with_draws]
    anchors = tuple(dict.fromkeys(each.code for each in with_draws))
    made = Clock(
        spaced.codes,
        with_draws,
        np.concatenate([now for now, _past in runs], axis=1),
        {},
        spaced.gaps,
        anchors,
        np.stack([spaced.to_anchor[code] for code in anchors], axis=1),
        spaced.rows,
        left_out,
    )
    past = filled(np.concatenate([past for _now, past in runs], axis=1), made.gap_days[:, 0])
    return replace(made, past={label: past[k] for k, label in enumerate(weather.labels)})


def _run(member: Member, weather: YardWeather, luck: Luck) -> tuple[FloatArray, FloatArray]:
    """A member's days in the weather years to come and in past ones, run once for all kinds that share it."""
    key = (luck.seed, *member.signature)
    if key not in weather.runs:
        weather.runs[key] = (
            member_days(member, weather.now, luck, weather.kept_now),
            member_days(member, weather.past, luck, weather.kept_past),
        )
    return weather.runs[key]
