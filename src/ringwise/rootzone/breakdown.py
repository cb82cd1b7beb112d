"""How long the grains of a mix last: years until crumbled grains leave a pot too little air."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.ageing import ageing_row
from ringwise.rootzone.blend import blend
from ringwise.rootzone.components import Component, component
from ringwise.rootzone.container import container_state
from ringwise.rootzone.mix import Grain, Recipe
from ringwise.rootzone.pot import PotShape

LEVELS = (0.0, 0.05, 0.1, 0.2, 0.4)  # shares crumbled at which the mix is packed anew


@dataclass(frozen=True)
class GrainLife:
    """Years until the air of the whole fill is down to the floor; infinite where crumbling never gets there.

    `air_v` is the air at each share of `LEVELS`, `sunk_frac` how far the surface has sunk by then.
    """

    low_years: float
    median_years: float
    high_years: float
    air_v: FloatArray
    sunk_frac: FloatArray
    crumbles: bool
    trace: Trace


def grain_life(
    recipe: Recipe, grain: Grain, pot: PotShape, own: Mapping[str, Component] | None = None
) -> GrainLife:
    """How long the grains of a mix last in a pot.

    Parameters
    ----------
    recipe : Recipe
        The parts.
    grain : Grain
        The cut.
    pot : PotShape
        As filled.
    own : mapping of str to Component, optional
        The grower's own components.

    Returns
    -------
    GrainLife
        From the slow to the quick end of what is thought of a year's crumbling.

    Source
    ------
    own: broken grains are packed anew as fines, the severe edge of what can happen; practice: the rate.

    Examples
    --------
    >>> from ringwise.rootzone.mix import grain_for, recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(300, 220, 60))
    >>> life = grain_life(recipe("D"), grain_for(60), tray)
    >>> bool(life.low_years < life.median_years < life.high_years)
    True
    """
    row = ageing_row("broken_frac_year")
    floor = load_table("ringwise.rootzone", "calibrate").get("air", "floor_v")
    crumbles = any(component(key, own).breaks for key, _share in recipe.parts)
    levels = LEVELS if crumbles else LEVELS[:1]
    blends = [blend(recipe, grain=grain, own=own, broken_frac=level) for level in levels]
    air = np.array([float(container_state(pot, each.curve).air_filled_porosity_v) for each in blends])
    kept = np.array([float(each.yield_frac) for each in blends])
    broken = _broken_at(air, floor.number) if crumbles else math.inf
    low, median, high = (_years(broken, rate or row.number) for rate in (row.high, row.number, row.low))
    trace = Trace(
        _("life of the grains"),
        _("air {air} when fresh").format(air=f"{100 * air[0]:.0f} %"),
        "rootzone.breakdown",
        _("fines packed anew until the air is down to the floor"),
        "own",
        "assumed",
        (trace_parameter(row), trace_parameter(floor)),
    )
    return GrainLife(
        low, median, high, air_v=air, sunk_frac=1.0 - kept / kept[0], crumbles=crumbles, trace=trace
    )


def _years(broken_frac: float, yearly_frac: float) -> float:
    """Years until so much has crumbled, what is left crumbling on at the same pace."""
    return -math.log1p(-broken_frac) / yearly_frac if broken_frac < 1 else math.inf


def _broken_at(air_v: FloatArray, floor_v: float) -> float:
    """Share crumbled at which the air is down to the floor; infinite where no level gets there."""
    if air_v[0] <= floor_v:
        return 0.0
    below = np.flatnonzero(air_v <= floor_v)
    if below.size == 0:
        return math.inf
    k = int(below[0])
    part = (air_v[k - 1] - floor_v) / (air_v[k - 1] - air_v[k])
    return LEVELS[k - 1] + float(part) * (LEVELS[k] - LEVELS[k - 1])
