"""Tender growth of one tree: which cold its buds, flowers and leaves stand on each night, in each sample."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit.tables import Parameter
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.season.frost_limits import bud_limits, killed_frac, leaf_limit
from ringwise.season.spans import stage_days

if TYPE_CHECKING:
    from ringwise.phenology.forecast import StageForecast

LEAVES_FROM, LEAVES_TO, FLOWERS_OVER = "10", "H1", "69"


@dataclass(frozen=True)
class _Phase:
    """From `first_index` up to `end_index` (one a sample) a night below `alarm_degC` does harm."""

    first_index: FloatArray
    end_index: FloatArray
    alarm_degC: float
    kill90_degC: float | None  # of flower buds, whose alarm is the 10 % point; None for leaves

    def on(self, nights_index: FloatArray) -> BoolArray:
        """(samples, nights): whether a night lies in the phase."""
        lies: BoolArray = (self.first_index[:, None] <= nights_index) & (
            nights_index < self.end_index[:, None]
        )
        return lies


@dataclass(frozen=True)
class Harm:
    """What nights do to the samples asked about: those struck, the share of flower buds lost in each.

    `limit_degC` is the strictest limit and `worst_degC` the coldest night that meets tender growth.
    """

    struck: BoolArray
    lost_frac: FloatArray | None
    limit_degC: float
    worst_degC: float


@dataclass(frozen=True)
class Tender:
    """The phases of one tree's tender growth; `leaf_days` and `hard_days` bound its leaves, by sample."""

    leaf_days: FloatArray
    hard_days: FloatArray
    rows: tuple[Parameter, ...]
    phases: tuple[_Phase, ...] = field(repr=False)

    def harm(self, night_degC: FloatArray, nights_index: FloatArray, known: BoolArray) -> Harm | None:
        """What nights do to the growth.

        Parameters
        ----------
        night_degC : (samples, nights) float
            Lowest of each night in the weather year of the sample.
        nights_index : (nights,) float
            Day indices of the growing year.
        known : (samples,) bool
            The samples whose weather year has no gap in these nights; the others are not looked at.

        Returns
        -------
        Harm or None
            Of the known samples; None where nothing is tender on any of the nights in any of them.
        """
        asked_degC = night_degC[known]
        struck = np.zeros(asked_degC.shape[0], dtype=np.bool_)
        lost = np.zeros(asked_degC.shape[0])
        limits, colds, has_buds = [], [], False
        for phase in self.phases:
            on = phase.on(nights_index)[known]
            if not bool(on.any()):
                continue
            cold = np.where(on, asked_degC, np.inf).min(axis=1)
            struck |= cold < phase.alarm_degC
            limits.append(phase.alarm_degC)
            colds.append(float(cold.min()))
            if phase.kill90_degC is not None:
                has_buds = True
                share = killed_frac(cold, kill10_degC=phase.alarm_degC, kill90_degC=phase.kill90_degC)
                lost = np.maximum(lost, share)
        if not limits:
            return None
        return Harm(struck, lost if has_buds else None, max(limits), min(colds))


def tender_growth(forecast: StageForecast, keys: tuple[str, ...]) -> Tender | None:
    """The tender growth of one tree in its growing year.

    Parameters
    ----------
    forecast : StageForecast
        Of the tree; flower stages count where they are forecast.
    keys : tuple of str
        From `records.taxa.lookup_keys`.

    Returns
    -------
    Tender or None
        None where no leaf stage is forecast.

    Source
    ------
    pennstate_orchard_frost for buds and blossom; vitasse2014 and own assumption for leaves.

    Examples
    --------
    >>> LEAVES_FROM < LEAVES_TO
    True
    """
    opened, hard = stage_days(forecast, LEAVES_FROM), stage_days(forecast, LEAVES_TO)
    if opened is None or hard is None:
        return None
    leaf = leaf_limit(keys)
    phases = [_Phase(opened, hard, leaf.value, None)]
    rows = list(leaf.rows)
    over = stage_days(forecast, FLOWERS_OVER)
    end = hard if over is None else over
    sampled = [(each, stage_days(forecast, each.code)) for each in bud_limits(keys)]
    known = [(each, days) for each, days in sampled if days is not None]
    for place, (limit, days) in enumerate(known):
        until = known[place + 1][1] if place + 1 < len(known) else np.maximum(end, days)
        phases.append(_Phase(days, until, limit.kill10_degC, limit.kill90_degC))
        rows += limit.rows
    return Tender(opened, hard, tuple(rows), tuple(phases))
