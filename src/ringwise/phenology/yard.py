"""All trees of a yard at once: the models run once a kind, and trees tell each other what they may."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import Luck
from ringwise.phenology.clock import Shared, learned_offset, season_residual
from ringwise.phenology.forecast import StageForecast, alone, spring_spread, stage_forecast
from ringwise.phenology.offsets import Prior, offset
from ringwise.phenology.seen import TreeRecord, known_by, spread_of
from ringwise.phenology.species import SpeciesDays, YardWeather, species_days


@dataclass(frozen=True)
class Lesson:
    """What one tree tells the others: its mean residual over past seasons, and this season's.

    `past_days` holds the mean residual for each parameter draw, `own_sd_days` its spread around the place's
    offset; `season_days` is None where nothing was seen this year.
    """

    tree: int
    taxon: str
    group: str
    seasons: int
    past_days: FloatArray
    own_sd_days: float
    season_days: float | None


def lesson(record: TreeRecord, species: SpeciesDays, *, today: date) -> Lesson:
    """What one tree tells the others of its yard.

    Parameters
    ----------
    record : TreeRecord
        The tree and what was seen on it.
    species : SpeciesDays
        Of its kind.
    today : date
        Later sightings are left aside.

    Returns
    -------
    Lesson
        With no past seasons and no season where nothing teaches.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> Lesson(1, "acer_palmatum", "G2", 0, np.zeros(2), 1.0, None).seasons
    0
    """
    told, year = known_by(record.seen, today), species.weather.year
    spread = spring_spread(alone())
    learned = learned_offset(species.spring, told, year, spread)
    # Undo the shrinkage: the plain mean of the residuals and its variance.
    precision = 1.0 / learned.sd_days**2 - 1.0 / spread.prior.sd_days**2 if learned.seasons else np.inf
    plain = learned.mean / learned.sd_days**2 / precision
    return Lesson(
        tree=record.tree,
        taxon=record.taxon.key,
        group=record.taxon.group,
        seasons=learned.seasons,
        past_days=plain,
        own_sd_days=float(np.hypot(spread_of("tree_sd"), precision**-0.5)),
        season_days=season_residual(species.spring, told, learned, year),
    )


def shared_for(own: Lesson, lessons: Sequence[Lesson]) -> Shared:
    """What the other trees of a yard say about one tree.

    Parameters
    ----------
    own : Lesson
        The tree's own lesson; it does not tell itself.
    lessons : sequence of Lesson
        Of all trees of the yard.

    Returns
    -------
    Shared
        The place's offset from past seasons of all, trees of its kind speaking to each parameter draw
        apart; this season's shift from the same group only.

    Source
    ------
    own reasoning (conjugate normal at each level).

    Examples
    --------
    >>> early = Lesson(1, "ulmus_procera", "G1", 0, np.zeros(2), 1.0, -8.0)
    >>> elm = Lesson(2, "ulmus_pumila", "G1", 0, np.zeros(2), 1.0, None)
    >>> beech = Lesson(3, "fagus_sylvatica", "G3", 0, np.zeros(2), 1.0, None)
    >>> shared_for(elm, [early, elm, beech]).group_days < 0, shared_for(beech, [early, elm, beech]).group_days
    (True, 0.0)
    """
    others = [each for each in lessons if each.tree != own.tree]
    group_days = _group([each for each in others if each.group == own.group])
    site = _site([each for each in others if each.taxon != own.taxon and each.seasons])
    kin = [each for each in others if each.taxon == own.taxon and each.seasons]
    if not kin:
        return Shared(site.mean_days, site.sd_days, group_days)
    told = np.stack([each.past_days for each in kin])
    learned = offset(told, np.array([each.own_sd_days**2 for each in kin]), site)
    return Shared(learned.mean, learned.sd_days, group_days, learned.weight_log)


def _site(others: Sequence[Lesson]) -> Prior:
    """The place's offset: kinds weigh by how well their model's days are known, trees of a kind by number."""
    kinds: dict[str, list[Lesson]] = defaultdict(list)
    for each in others:
        kinds[each.taxon].append(each)
    precision, pulled = 1.0 / spread_of("site_sd") ** 2, 0.0
    for trees in kinds.values():
        middle = np.mean([each.past_days for each in trees], axis=0)  # one a parameter draw
        variance = 1.0 / sum(each.own_sd_days**-2 for each in trees) + float(middle.var())
        precision += 1.0 / variance
        pulled += float(middle.mean()) / variance
    return Prior(pulled / precision, precision**-0.5)


def _group(others: Sequence[Lesson]) -> float:
    """This season's shift of a group: its residuals shrunk by season over group variance."""
    residuals = [each.season_days for each in others if each.season_days is not None]
    shrink = (spread_of("season_sd") / spread_of("group_sd")) ** 2
    return sum(residuals) / (len(residuals) + shrink)


def yard_forecast(
    records: Sequence[TreeRecord], weather: YardWeather, *, today: date, luck: Luck
) -> dict[int, StageForecast]:
    """Forecasts of all trees of a yard, by the tree's number.

    Parameters
    ----------
    records : sequence of TreeRecord
        Every tree with what was seen on it.
    weather : YardWeather
        From `species.yard_weather`.
    today : date
        The day of the outlook.
    luck : Luck
        Seed and number of parameter draws.

    Returns
    -------
    dict of int to StageForecast
        One a tree.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from ringwise.kit.days import GrowingYear
    >>> from ringwise.phenology.species import yard_weather
    >>> from ringwise.records.taxa import taxon
    >>> from ringwise.weather.series import series_of
    >>> from ringwise.weather.years import members
    >>> warm = series_of(date(2010, 11, 1), {"tmean_degC": np.full(4 * 366, 8.0)})
    >>> issue = date(2014, 3, 1)
    >>> yard = yard_weather(warm, members(warm, issue=issue, year=GrowingYear(2014)))
    >>> trees = [TreeRecord(1, taxon("acer_palmatum")), TreeRecord(2, taxon("acer_palmatum"))]
    >>> sorted(yard_forecast(trees, yard, today=issue, luck=Luck(7, 4)))
    [1, 2]
    """
    kinds: dict[str, SpeciesDays] = {}
    for record in records:
        if record.taxon.key not in kinds:
            kinds[record.taxon.key] = species_days(record.taxon, weather, luck)
    lessons = {each.tree: lesson(each, kinds[each.taxon.key], today=today) for each in records}
    told = list(lessons.values())
    return {
        each.tree: stage_forecast(
            each, kinds[each.taxon.key], today=today, shared=shared_for(lessons[each.tree], told)
        )
        for each in records
    }
