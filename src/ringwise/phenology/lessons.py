"""What the trees of a yard tell each other: of the place, of their kind, and of this season."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.phenology.clock import Shared, learned_offset, season_residual
from ringwise.phenology.forecast import alone, beside, spring_spread
from ringwise.phenology.offsets import Prior, offset
from ringwise.phenology.seen import SeenStage, TreeRecord, known_by, spread_of
from ringwise.phenology.species import SpeciesDays


@dataclass(frozen=True)
class Lesson:
    """What one tree tells the others: its mean residual over past seasons, and this season's.

    `past_days` holds the mean residual for each parameter draw, `own_sd_days` its spread around the place's
    offset; `season_days` is None where nothing was seen this year, or before `season_lessons` held it against
    what the place and the kind had led to expect.
    """

    tree: int
    taxon: str
    group: str
    seasons: int
    past_days: FloatArray
    own_sd_days: float
    season_days: float | None = None


def lesson(record: TreeRecord, species: SpeciesDays, *, today: date) -> Lesson:
    """What the past seasons of one tree tell the others of its yard.

    Parameters
    ----------
    record : TreeRecord
        The tree and what was seen on it.
    species : SpeciesDays
        Of its kind, as it stood before own seasons taught it: what they say of the place must not be lost.
    today : date
        Later sightings are left aside.

    Returns
    -------
    Lesson
        With no past seasons where nothing teaches, and nothing of this season yet.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> young = Lesson(1, "acer_palmatum", "G2", 0, np.zeros(2), 1.0)
    >>> young.seasons, young.season_days is None
    (0, True)
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
    )


def season_lessons(
    lessons: Sequence[Lesson],
    records: Mapping[int, TreeRecord],
    species: Mapping[int, SpeciesDays],
    *,
    today: date,
) -> list[Lesson]:
    """Lessons with what this season tells: how far each tree is from what its place led to expect.

    Parameters
    ----------
    lessons : sequence of Lesson
        Of the past seasons of all trees of the yard.
    records : mapping of int to TreeRecord
        Each tree by its number.
    species : mapping of int to SpeciesDays
        Of each tree's kind as it stands now, by the tree's number.
    today : date
        Later sightings are left aside.

    Returns
    -------
    list of Lesson
        In the same order. What past seasons of other trees say of the place and of the kind is expected of
        every tree, so it is no shift of this season and is not counted once more.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> season_lessons([], {}, {}, today=date(2027, 5, 1))
    []
    """
    terms = place_terms(lessons)
    past = [replace(each, season_days=None) for each in lessons]  # no season speaks for another one's
    found = []
    for each in past:
        told = known_by(records[each.tree].seen, today)
        expected = shared_for(each, past, terms)
        found.append(replace(each, season_days=_season_days(species[each.tree], told, expected)))
    return found


def _season_days(species: SpeciesDays, told: Sequence[SeenStage], expected: Shared) -> float | None:
    clock, year = species.spring, species.weather.year
    others = beside(clock, expected)
    learned = learned_offset(clock, told, year, spring_spread(others))
    if others.kin_weight_log is not None:
        learned = replace(learned, weight_log=learned.weight_log + others.kin_weight_log)
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
    >>> elm = Lesson(1, "ulmus_procera", "G1", 4, np.array([2.0, 4.0]), 3.0)
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
    >>> elm = Lesson(2, "ulmus_pumila", "G1", 0, np.zeros(2), 1.0)
    >>> beech = Lesson(3, "fagus_sylvatica", "G3", 0, np.zeros(2), 1.0)
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
