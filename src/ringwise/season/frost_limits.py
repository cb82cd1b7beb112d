"""How much cold buds, blossom, leaves and roots stand, by kind and stage, and what share a night kills."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray
from ringwise.phenology.stages import ALL

ROOM, TABLE = "ringwise.season", "frost_limits"
_SLIGHT_FRAC = 0.1  # the two shares of the printed tables
_LOGIT = math.log((1 - _SLIGHT_FRAC) / _SLIGHT_FRAC)


@dataclass(frozen=True)
class BudLimit:
    """From stage `code` on, half an hour at `kill10_degC` kills a tenth of the flower buds."""

    code: str
    kill10_degC: float
    kill90_degC: float
    rows: tuple[Parameter, Parameter]


@dataclass(frozen=True)
class Limit:
    """What the weather must not pass, in the unit of its rows."""

    value: float
    rows: tuple[Parameter, ...]


def killed_frac(tissue_degC: FloatArray, *, kill10_degC: float, kill90_degC: float) -> FloatArray:
    """The share of flower buds that a temperature kills within half an hour.

    Parameters
    ----------
    tissue_degC : (...) float
        Of the buds; the air's is taken for it.
    kill10_degC, kill90_degC : float
        Where a tenth and nine tenths die, the second the colder.

    Returns
    -------
    (...) float
        0 to 1; NaN stays NaN.

    Source
    ------
    own assumption: the log-odds run in a straight line through the two printed points.

    Examples
    --------
    >>> nights = np.array([0, -2.2, -3.9])
    >>> killed_frac(nights, kill10_degC=-2.2, kill90_degC=-3.9).round(2).tolist()
    [0.0, 0.1, 0.9]
    """
    tissue = np.asarray(tissue_degC, dtype=np.float64)
    steps = (kill10_degC - tissue) / (kill10_degC - kill90_degC)
    share: FloatArray = 1.0 / (1.0 + np.exp(_LOGIT - 2 * _LOGIT * np.minimum(steps, 50.0)))
    return share


@lru_cache(maxsize=256)
def bud_limits(keys: tuple[str, ...]) -> tuple[BudLimit, ...]:
    """What the flower buds of a kind stand, stage by stage.

    Parameters
    ----------
    keys : tuple of str
        From `records.taxa.lookup_keys`.

    Returns
    -------
    tuple of BudLimit
        In the order of stages, from the closest key that has any; empty for kinds without a table.

    Source
    ------
    pennstate_orchard_frost: 30 min of exposure, 10 and 90 % killed.

    Examples
    --------
    >>> [each.code for each in bud_limits(("malus_sylvestris", "malus", "G4", "any"))]
    ['03', '07', '10', '55', '59', '60']
    >>> bud_limits(("acer_palmatum", "acer", "G2", "any"))
    ()
    """
    table = load_table(ROOM, TABLE)
    for key in keys:
        rows = table.of(key)
        codes = [code for code in ALL if f"bud.{code}.kill10_degC" in rows]
        if codes:
            return tuple(_bud_limit(rows, code) for code in codes)
    return ()


def _bud_limit(rows: dict[str, Parameter], code: str) -> BudLimit:
    slight, severe = rows[f"bud.{code}.kill10_degC"], rows[f"bud.{code}.kill90_degC"]
    return BudLimit(code, slight.number, severe.number, (slight, severe))


def leaf_limit(keys: tuple[str, ...]) -> Limit:
    """The night that is an alarm for leaves from their first tips until they are hard.

    Parameters
    ----------
    keys : tuple of str
        From `records.taxa.lookup_keys`.

    Returns
    -------
    Limit
        The value at which half of the leaves die, and a margin above it.

    Source
    ------
    vitasse2014 for two kinds; own assumption between its ends for all others.

    Examples
    --------
    >>> leaf_limit(("acer_palmatum", "acer", "G2", "any")).value
    -3.0
    """
    table = load_table(ROOM, TABLE)
    half, margin = table.first(keys, "leaf.kill50_degC"), table.get("any", "leaf.margin_degC")
    return Limit(half.number + margin.number, (half, margin))


def cut_root_limits() -> tuple[Limit, Limit]:
    """The two limits of freshly cut roots: carry in below the first, hard alarm below the second.

    Returns
    -------
    (Limit, Limit)
        For the core of the pot; for the bench's air where the core is not known.

    Source
    ------
    practice.

    Examples
    --------
    >>> [each.value for each in cut_root_limits()]
    [0.0, -2.0]
    """
    rows = [load_table(ROOM, TABLE).get("any", name) for name in ("root.cut_degC", "root.cut_alarm_degC")]
    carry, alarm = (Limit(row.number, (row,)) for row in rows)
    return carry, alarm


def settled_root_limit(keys: tuple[str, ...]) -> Limit:
    """The limit of roots in a pot that was not worked on for long.

    Parameters
    ----------
    keys : tuple of str
        From `records.taxa.lookup_keys`.

    Returns
    -------
    Limit
        What kills the kind's roots and a margin above it; one value for kinds that were not read.

    Source
    ------
    havis1976 (recalled); own assumption for all others.

    Examples
    --------
    >>> settled_root_limit(("acer_palmatum", "acer", "G2", "any")).value
    -7.0
    >>> settled_root_limit(("quercus_robur", "quercus", "G3", "any")).value
    -5.0
    """
    table = load_table(ROOM, TABLE)
    for key in keys:
        if table.has(key, "root.kill_degC"):
            killing, margin = table.get(key, "root.kill_degC"), table.get("any", "root.margin_degC")
            return Limit(killing.number + margin.number, (killing, margin))
    row = table.get("any", "root.settled_degC")
    return Limit(row.number, (row,))
