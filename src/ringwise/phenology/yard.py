"""All trees of a yard at once: the models run once a kind, and trees tell each other what they may."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from ringwise.kit.days import GrowingYear
from ringwise.phenology.choice import Luck
from ringwise.phenology.clock import best_by_year
from ringwise.phenology.forecast import StageForecast, stage_forecast
from ringwise.phenology.lessons import lesson, place_terms, season_lessons, shared_for
from ringwise.phenology.seen import TreeRecord, known_by, spread_of
from ringwise.phenology.species import Clock, SpeciesDays, YardWeather, species_days
from ringwise.phenology.stages import SPRING
from ringwise.phenology.teaching import OwnDay, taught_kind
from ringwise.phenology.usual import Usual, to_leaf, usual_leaf

OPEN = ""  # the yard's own place, under the weather as it was imported


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
    >>> import numpy as np
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
    past = [lesson(each, untaught[each.tree], today=today) for each in records]
    told = season_lessons(past, {each.tree: each for each in records}, taught, today=today)
    lessons = {each.tree: each for each in told}
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
    """Whether a kind has as many own springs as models are weighed by."""
    seasons = {
        each.year.label
        for tree in trees
        for each in known_by(tree.seen, today)
        if each.teaches and each.code in SPRING and each.year.label < year.label
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
