"""All trees of a yard at once: the models run once a kind, and trees tell each other what they may."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import Luck
from ringwise.phenology.clock import Shared, best_by_year, learned_offset, season_residual
from ringwise.phenology.forecast import StageForecast, alone, beside, spring_spread, stage_forecast
from ringwise.phenology.offsets import Prior, offset
from ringwise.phenology.seen import SeenStage, TreeRecord, known_by, spread_of
from ringwise.phenology.species import Clock, SpeciesDays, YardWeather, species_days
from ringwise.phenology.teaching import OwnDay, taught_kind
from ringwise.phenology.usual import Usual, to_leaf, usual_leaf

OPEN = ""  # the yard's own place, under the weather as it was imported


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


def lesson(
    record: TreeRecord, species: SpeciesDays, *, today: date, taught: SpeciesDays | None = None
) -> Lesson:
    """What one tree tells the others of its yard.

    Parameters
    ----------
    record : TreeRecord
        The tree and what was seen on it.
    species : SpeciesDays
        Of its kind, as it stood before own seasons taught it: what they say of the place must not be lost.
    today : date
        Later sightings are left aside.
    taught : SpeciesDays, optional
        As it stands now; this season is held against it.

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
        season_days=_season_days(species if taught is None else taught, told),
    )


def _season_days(species: SpeciesDays, told: Sequence[SeenStage]) -> float | None:
    clock, year = species.spring, species.weather.year
    learned = learned_offset(clock, told, year, spring_spread(beside(clock, alone())))
    return season_residual(clock, told, learned, year)


@dataclass(frozen=True)
class PlaceTerm:
    """What one kind of tree says of its place: an offset and how sure of it, in days."""

    mean_days: float
    sd_days: float


def place_terms(lessons: Sequence[Lesson]) -> dict[str, PlaceTerm]:
    """What each kind of tree says of the place, by the kind's key.

    Parameters
    ----------
    lessons : sequence of Lesson
        Of all trees of the yard; those without past seasons say nothing.

    Returns
    -------
    dict of str to PlaceTerm
        A kind whose model's days are uncertain says little; more trees of a kind say more.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> elm = Lesson(1, "ulmus_procera", "G1", 4, np.array([2.0, 4.0]), 3.0, None)
    >>> place_terms([elm])["ulmus_procera"].mean_days
    3.0
    """
    kinds: dict[str, list[Lesson]] = defaultdict(list)
    for each in lessons:
        if each.seasons:
            kinds[each.taxon].append(each)
    terms = {}
    for taxon, trees in kinds.items():
        middle = np.mean([each.past_days for each in trees], axis=0)  # one a parameter draw
        variance = 1.0 / sum(each.own_sd_days**-2 for each in trees) + float(middle.var())
        terms[taxon] = PlaceTerm(float(middle.mean()), variance**0.5)
    return terms


def shared_for(own: Lesson, lessons: Sequence[Lesson], terms: Mapping[str, PlaceTerm]) -> Shared:
    """What the other trees of a yard say about one tree.

    Parameters
    ----------
    own : Lesson
        The tree's own lesson; it does not tell itself.
    lessons : sequence of Lesson
        Of all trees of the yard.
    terms : mapping of str to PlaceTerm
        From `place_terms`.

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
    >>> [shared_for(each, [early, elm, beech], {}).group_days < 0 for each in (elm, beech)]
    [True, False]
    """
    others = [each for each in lessons if each.tree != own.tree]
    group_days = _group([each for each in others if each.group == own.group])
    site = _site([term for taxon, term in terms.items() if taxon != own.taxon])
    kin = [each for each in others if each.taxon == own.taxon and each.seasons]
    if not kin:
        return Shared(site.mean_days, site.sd_days, group_days)
    told = np.stack([each.past_days for each in kin])
    learned = offset(told, np.array([each.own_sd_days**2 for each in kin]), site)
    return Shared(learned.mean, learned.sd_days, group_days, learned.weight_log)


def _site(terms: Sequence[PlaceTerm]) -> Prior:
    """The place's offset as kinds of tree tell it, shrunk towards none."""
    precision = spread_of("site_sd") ** -2 + sum(term.sd_days**-2 for term in terms)
    return Prior(sum(term.mean_days * term.sd_days**-2 for term in terms) / precision, precision**-0.5)


def _group(others: Sequence[Lesson]) -> float:
    """This season's shift of a group: its residuals shrunk by season over group variance."""
    residuals = [each.season_days for each in others if each.season_days is not None]
    shrink = (spread_of("season_sd") / spread_of("group_sd")) ** 2
    return sum(residuals) / (len(residuals) + shrink)


def one_place(weather: YardWeather) -> dict[str, YardWeather]:
    """The weather of a yard in which every tree stands in the same place.

    Parameters
    ----------
    weather : YardWeather
        From `species.yard_weather`.

    Returns
    -------
    dict of str to YardWeather
        Under `OPEN`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> OPEN
    ''
    """
    return {OPEN: weather}


def as_stood(record: TreeRecord, kind: Mapping[str, SpeciesDays]) -> SpeciesDays:
    """What a kind shares, as it holds for a tree that did not stand in one place all its years.

    Parameters
    ----------
    record : TreeRecord
        With its places by growing year.
    kind : mapping of str to SpeciesDays
        Of its kind by place, at least `OPEN`.

    Returns
    -------
    SpeciesDays
        Of the place where it stands in the forecast year; days of a past year by the weather of the place
        where it stood then. A year in a place whose models are others teaches nothing.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> OPEN in {OPEN: 1}
    True
    """
    here = kind[_site_in(record, next(iter(kind.values())).weather.year.label, kind)]
    moved = {label: kind[_site_in(record, label, kind)] for label in here.weather.labels}
    if all(each is here for each in moved.values()):
        return here
    spring = _clock_as_stood(here.spring, {label: each.spring for label, each in moved.items()})
    autumn = here.autumn
    if autumn is not None:
        autumn = _clock_as_stood(autumn, {label: each.autumn for label, each in moved.items()})
    return replace(here, spring=spring, autumn=autumn)


def _clock_as_stood(here: Clock, then: Mapping[int, Clock | None]) -> Clock:
    past = {
        label: clock.past[label]
        for label, clock in then.items()
        if clock is not None and label in clock.past and clock.members == here.members
    }
    return replace(here, past=past)


def _site_in(record: TreeRecord, label: int, known: Mapping[str, object]) -> str:
    site = record.sites.get(label, OPEN)
    return site if site in known else OPEN


def yard_forecast(
    records: Sequence[TreeRecord], weather: Mapping[str, YardWeather], *, today: date, luck: Luck
) -> dict[int, StageForecast]:
    """Forecasts of all trees of a yard, by the tree's number.

    Parameters
    ----------
    records : sequence of TreeRecord
        Every tree with what was seen on it and where it stood.
    weather : mapping of str to YardWeather
        By place, all of one growing year, made for one issue day; at least `OPEN`, the yard's own.
        `one_place` where there is no other.
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
    >>> yard = one_place(yard_weather(warm, members(warm, issue=issue, year=GrowingYear(2014))))
    >>> trees = [TreeRecord(1, taxon("acer_palmatum")), TreeRecord(2, taxon("acer_palmatum"))]
    >>> sorted(yard_forecast(trees, yard, today=issue, luck=Luck(7, 4)))
    [1, 2]
    """
    by_kind: dict[str, list[TreeRecord]] = defaultdict(list)
    for each in records:
        by_kind[each.taxon.key].append(each)
    untaught: dict[int, SpeciesDays] = {}
    taught: dict[int, SpeciesDays] = {}
    usual: dict[str, Usual | None] = {}
    for key, trees in by_kind.items():
        places = _places(trees, weather, luck, guests=_judged(trees, weather[OPEN].year, today))
        untaught |= {each.tree: as_stood(each, places) for each in trees}
        moved = taught_kind(places, *_own_days(trees, untaught, weather, today), luck)
        taught |= {each.tree: as_stood(each, moved) for each in trees}
        told_of_kind = [known_by(each.seen, today) for each in trees]
        leads = to_leaf(places[OPEN].spring)
        usual[key] = usual_leaf(told_of_kind, weather[OPEN].year, leads, own=False)
    lessons = {
        each.tree: lesson(each, untaught[each.tree], today=today, taught=taught[each.tree])
        for each in records
    }
    told = list(lessons.values())
    terms = place_terms(told)
    return {
        each.tree: stage_forecast(
            each,
            taught[each.tree],
            today=today,
            shared=shared_for(lessons[each.tree], told, terms),
            kin_usual=usual[each.taxon.key],
        )
        for each in records
    }


def _judged(trees: Sequence[TreeRecord], year: GrowingYear, today: date) -> bool:
    """Whether a kind has as many own seasons as models are weighed by."""
    seasons = {
        each.year.label
        for tree in trees
        for each in known_by(tree.seen, today)
        if each.teaches and each.year.label < year.label
    }
    return len(seasons) >= spread_of("refit_seasons")


def _places(
    trees: Sequence[TreeRecord], weather: Mapping[str, YardWeather], luck: Luck, *, guests: bool
) -> dict[str, SpeciesDays]:
    """The models of one kind, run once in each place where one of its trees stands or stood."""
    labels = (weather[OPEN].year.label, *weather[OPEN].labels)
    wanted = {OPEN} | {_site_in(each, label, weather) for each in trees for label in labels}
    return {site: species_days(trees[0].taxon, weather[site], luck, guests=guests) for site in sorted(wanted)}


def _own_days(
    trees: Sequence[TreeRecord],
    species: Mapping[int, SpeciesDays],
    weather: Mapping[str, YardWeather],
    today: date,
) -> tuple[list[OwnDay], list[OwnDay]]:
    """The best sighting of each tree and past season, of spring and of autumn."""
    spring: list[OwnDay] = []
    autumn: list[OwnDay] = []
    for tree in trees:
        told, own = known_by(tree.seen, today), species[tree.tree]
        for clock, found in ((own.spring, spring), (own.autumn, autumn)):
            if clock is None:
                continue
            for each in best_by_year(clock, told, own.weather.year):
                site = _site_in(tree, each.label, weather)
                found.append(OwnDay(each.label, site, each.interval.code, each.interval.middle_index))
    return spring, autumn
