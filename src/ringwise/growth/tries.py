"""Odds that learn from the grower's own tries: one grower, many kinds of tree, shared through one effect."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.growth.biology import Biology
from ringwise.growth.odds import Odds, odds_table, prior_odds
from ringwise.growth.try_conditions import OwnTry, shift_logit
from ringwise.kit.errors import out_of_range
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.types import FloatArray

_CHANCES_N, _EFFECTS_N = 100, 41  # nodes of the quadrature: chance of a kind, effect of the grower
_YEAR_WEEKS = 365.25 / 7.0
_SURE_TRIES_N = 8.0  # a prior that weighs fewer tries than this is called wide


@dataclass(frozen=True)
class Tries:
    """The own tries of one kind of tree by one group of techniques, with what the book says of it."""

    prior: Odds
    own: tuple[OwnTry, ...] = ()

    @property
    def tries_n(self) -> int:
        """How many were made."""
        return len(self.own)

    @property
    def came_off_n(self) -> int:
        """How many of them came off."""
        return sum(each.came_off for each in self.own)


@dataclass(frozen=True)
class Learned:
    """A tree's odds after the grower's own tries; what nobody tried stays as the book has it (None)."""

    layer: Odds | None = None
    graft: Odds | None = None
    scion: Odds | None = None
    severed: Odds | None = None
    root_weeks: float | None = None
    union_years: float | None = None
    counts: tuple[tuple[str, int, int], ...] = ()  # cell, came off, tried, of this kind of tree

    def count(self, cell: str) -> tuple[int, int]:
        """How many own tries of a group of techniques came off, and how many were made."""
        return next(((came, tried) for name, came, tried in self.counts if name == cell), (0, 0))


def book_odds(life: Biology, cell: str) -> Odds:
    """What print and practice say of a group of techniques on a kind of tree.

    Parameters
    ----------
    life : Biology
        The kind of tree.
    cell : str
        layer, graft, scion or severed.

    Returns
    -------
    Odds
        The prior, its weight capped.

    Source
    ------
    odds.csv.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> book_odds(biology(("fagus",)), "layer").basis
    'assumed'
    """
    if cell == "scion":
        return prior_odds(f"scion_{life.graft_class}")
    return {"layer": life.layer, "graft": life.approach, "severed": life.severed}[cell]


def _likelihood(chances: FloatArray, effects: FloatArray, own: Sequence[OwnTry]) -> FloatArray:
    """Likelihood of tries, (chances, effects), by each chance in the plain case and each grower's effect."""
    base = np.log(chances / (1.0 - chances))[:, None] + effects[None, :]
    out = np.ones(base.shape)
    for each in own:
        prob = 1.0 / (1.0 + np.exp(-(base + shift_logit(each.covariates))))
        out *= prob if each.came_off else 1.0 - prob
    return out


def _nodes(prior: Odds) -> tuple[FloatArray, FloatArray]:
    """Chances and their weights under the prior: the nodes of Gauss and Jacobi, exact for beta densities."""
    from scipy.special import roots_jacobi

    nodes, weights = roots_jacobi(_CHANCES_N, prior.failures_n - 1.0, prior.successes_n - 1.0)
    return np.clip(0.5 * (1.0 + nodes), 1e-12, 1.0 - 1e-12), weights / weights.sum()


def learned_odds(of: Tries, others: Sequence[Tries] = (), *, grower_sd_logit: float | None = None) -> Odds:
    """The odds of a kind of tree and technique after own tries of it and of others.

    Tries of other kinds and techniques speak through the grower's effect: someone whose maples all took has
    better odds with an elm as well, by a little.

    Parameters
    ----------
    of : Tries
        What is asked for.
    others : sequence of Tries
        All else that the grower tried, each with its own prior.
    grower_sd_logit : float, optional
        Spread of growers on the logit; by default the table's.

    Returns
    -------
    Odds
        In the plain case, a beta distribution of the same mean and spread; the prior where nothing was tried.

    Raises
    ------
    RangeError
        If the spread of growers is negative.

    Source
    ------
    own: hierarchical logit with a normal effect of the grower (sd assumed), by quadrature in two dimensions.

    Examples
    --------
    >>> came, failed = OwnTry("air_layer", True), OwnTry("air_layer", False)
    >>> after = learned_odds(Tries(Odds(6.0, 3.0), (came, came, came, failed)))
    >>> 0.66 < after.mean_prob < 0.78
    True
    """
    sd = odds_table().get("any", "grower_sd").number if grower_sd_logit is None else grower_sd_logit
    if sd < 0:
        raise out_of_range("spread of growers", f"{sd}", "0 or more")
    tried = [each for each in others if each.own]
    if not of.own and not tried:
        return of.prior
    nodes, weights = np.polynomial.hermite_e.hermegauss(_EFFECTS_N)
    effects = np.asarray(sd * nodes, dtype=np.float64)
    share = np.asarray(weights / weights.sum(), dtype=np.float64)
    for each in tried:
        told, weighed = _nodes(each.prior)
        share = share * (weighed @ _likelihood(told, effects, each.own))
    chances, weighed = _nodes(of.prior)
    joint = _likelihood(chances, effects, of.own) * weighed[:, None] * share[None, :]
    joint /= joint.sum()
    plain = 1.0 / (1.0 + np.exp(-(np.log(chances / (1.0 - chances))[:, None] + effects[None, :])))
    mean = float((joint * plain).sum())
    variance = float((joint * (plain - mean) ** 2).sum())
    weight = mean * (1.0 - mean) / variance - 1.0
    return Odds(mean * weight, (1.0 - mean) * weight, "fitted" if of.own else of.prior.basis)


def learned_median(median: float, each_ratio: float, known_ratio: float, own: Sequence[float]) -> float:
    """A median time after own times: each pulls it by how far tries differ among themselves.

    Parameters
    ----------
    median : float
        Of the book; in any unit.
    each_ratio : float
        Spread of ln time between tries.
    known_ratio : float
        How well the book's median is known, as spread of its ln.
    own : sequence of float
        Own times in the same unit, above 0.

    Returns
    -------
    float
        In the same unit.

    Raises
    ------
    RangeError
        If a time is not above 0.

    Source
    ------
    own: conjugate normal update of ln time.

    Examples
    --------
    >>> learned_median(8.0, 0.35, 0.49, ())
    8.0
    >>> 5.0 < learned_median(8.0, 0.35, 0.49, (5.0, 5.0)) < 6.0
    True
    """
    if any(not each > 0 for each in own):
        raise out_of_range("time of a try", f"{min(own)}", "above 0")
    if not own:
        return median
    prior, each = 1.0 / known_ratio**2, 1.0 / each_ratio**2
    told = prior * math.log(median) + each * math.fsum(math.log(x) for x in own)
    return math.exp(told / (prior + each * len(own)))


def _timing(name: str, spread: str, own: Sequence[float]) -> float | None:
    if not own:
        return None
    row = odds_table().get("any", name)
    if row.low is None or row.high is None:
        return None
    known = (math.log(row.high) - math.log(row.low)) / (2.0 * SDS_OF_80)
    return learned_median(row.number, odds_table().get("any", spread).number, known, own)


def learned(mine: dict[str, Tries], others: Sequence[Tries]) -> Learned:
    """All that own tries say of one kind of tree.

    Parameters
    ----------
    mine : dict of str to Tries
        By group of techniques, of this kind of tree; a group without tries may be there too.
    others : sequence of Tries
        Of other kinds of tree, by group.

    Returns
    -------
    Learned
        Its odds and times.

    Source
    ------
    own: as `learned_odds` and `learned_median`.

    Examples
    --------
    >>> tries = {"layer": Tries(Odds(6.0, 3.0), (OwnTry("air_layer", True, weeks=6.0),))}
    >>> told = learned(tries, ())
    >>> told.count("layer"), round(told.root_weeks, 1), told.graft
    ((1, 1), 6.6, None)
    """
    odds: dict[str, Odds] = {}
    for cell, tries in mine.items():
        rest = [*others, *(each for name, each in mine.items() if name != cell)]
        if tries.own or any(each.own for each in rest):
            odds[cell] = learned_odds(tries, rest)
    weeks = {
        cell: [each.weeks for each in tries.own if each.came_off and each.weeks is not None]
        for cell, tries in mine.items()
    }
    years = [each / _YEAR_WEEKS for each in weeks.get("graft", ())]
    return Learned(
        layer=odds.get("layer"),
        graft=odds.get("graft"),
        scion=odds.get("scion"),
        severed=odds.get("severed"),
        root_weeks=_timing("root_weeks", "root_ln_sd", weeks.get("layer", ())),
        union_years=_timing("union_years", "union_ln_sd", years),
        counts=tuple((cell, each.came_off_n, each.tries_n) for cell, each in mine.items() if each.own),
    )


def life_after(life: Biology, told: Learned | None) -> Biology:
    """A kind of tree with the odds that the grower's own tries leave of the book's.

    Parameters
    ----------
    life : Biology
        By the book.
    told : Learned or None
        What own tries say.

    Returns
    -------
    Biology
        The same where nothing was tried.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> life_after(biology(("morus",)), Learned(layer=Odds(9.0, 1.0))).layer.successes_n
    9.0
    """
    if told is None:
        return life
    return replace(
        life,
        layer=told.layer or life.layer,
        approach=told.graft or life.approach,
        severed=told.severed or life.severed,
        root_weeks=told.root_weeks or life.root_weeks,
        union_years=told.union_years or life.union_years,
    )


def is_wide(odds: Odds) -> bool:
    """Whether odds weigh so few tries that they say little.

    Parameters
    ----------
    odds : Odds
        The odds.

    Returns
    -------
    bool
        True below eight tries.

    Source
    ------
    own: assumed.

    Examples
    --------
    >>> is_wide(Odds(2.0, 3.0)), is_wide(Odds(7.0, 2.0))
    (True, False)
    """
    return odds.successes_n + odds.failures_n < _SURE_TRIES_N
