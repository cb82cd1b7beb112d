"""One future's parameters: every uncertain number of growth drawn once, the same for all courses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import (
    Biology,
    Spread,
    codit_decay_years,
    growth_parameter,
    root_recovery_years,
    spread_of,
)
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.odds import odds_quantile, odds_table
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray

_FIXED = {
    at.P_REFERENCE_L: "pot_reference",
    at.P_MEMORY: "weather_memory",
    at.P_WEATHER: "weather_ln_sd",
    at.P_LATERAL: "lateral_weight",
    at.P_THRESHOLD: "lateral_threshold",
    at.P_DECAY: "bud_decay",
    at.P_RELEASE: "release_base",
    at.P_RELEASE_VIGOUR: "release_vigour",
    at.P_SHED: "shed_light",
    at.P_SHED_CHANCE: "shed_prob",
    at.P_EXTINCTION: "extinction",
    at.P_UNITS: "units_each_shoot",
    at.P_ROOT: "root_exponent",
    at.P_RESERVE: "reserve_base",
    at.P_RECOVERY: "reserve_recovery",
    at.P_RING: "ring_minimum",
    at.P_FLOOR: "reserve_floor",
    at.P_BOUND: "bound_loss",
    at.P_BOUND_FLOOR: "bound_floor",
    at.P_TWIG: "twig_area",
    at.P_TIPS: "tips_each_root_litre",
    at.P_ALIVE: "survive_base",
    at.P_EXCESS: "survive_excess",
    at.P_SEASON: "survive_season",
    at.P_GENTLE: "survive_gentle",
    at.P_WEAK: "survive_weak",
    at.P_ROT_LOSS: "rot_loss",
    at.P_STEADY: "steady_leaf",
    at.P_ROOM: "spring_room",
    at.P_COARSEST: "coarsest",
    at.P_AXIS: "axis_sd",
    at.P_CONTROL_LEAST: "control_least",
    at.P_CONTROL_MOST: "control_most",
    at.P_SNAG: "snag_area",
    at.P_SIDE_SWAY: "side_sway",
    at.P_NEARER: "cut_nearer",
    at.P_EPICORMIC_WIDER: "old_wood_wider",
    at.P_UNION_SHARE: "severed_union_share",
    at.P_STRETCH: "field_stretch",
    at.P_STRETCH_UNITS: "stretch_units",
    at.P_COMPENSATION: "root_compensation",
    at.P_WEEKS: "growing_weeks",
    at.P_SURPLUS: "root_surplus",
    at.P_CUT_RESERVE: "cut_reserve",
    at.P_LEAF_RESERVE: "leaf_cut_reserve",
    at.P_LEAF_SIZE: "leaf_cut_size",
    at.P_LEAF_CUT: "leaf_cut_share",
    at.P_LEAF_BACK: "leaf_cut_back",
    at.P_PINCH: "pinch_length",
    at.P_GUYED: "guyed",
    at.P_ACROTONY: "acrotony",
    at.P_NET: "net_exponent",
    at.P_WIRE_GAP: "wire_gap",
    at.P_LEAFY: "leaf_stretch",
    at.P_FED_LEAF: "capacity_exponent",
    at.P_SHOOT_MOST: "shoot_most",
    at.P_OUTWARD: "outward",
    at.P_UPWARD: "upward",
    at.P_SWAY: "sway",
}
_DRAWN = {
    at.P_PIPE: "pipe",
    at.P_EXPONENT: "area_exponent",
    at.P_POT: "pot_exponent",
    at.P_BUDGET: "budget_units",
    at.P_EPICORMIC: "epicormic",
    at.P_CAPACITY: "leaf_capacity",
    at.P_WOOD: "wood_budget",
}
_ODDS = {
    at.P_ROOT_SD: "root_ln_sd",
    at.P_SEASON_WEEKS: "season_weeks",
    at.P_UNION_SD: "union_ln_sd",
    at.P_SENSITIVITY: "sign_sensitivity",
    at.P_SPECIFICITY: "sign_specificity",
}
DRAWN_NAMES = {
    at.P_PIPE: "pipe",
    at.P_EXPONENT: "area_exponent",
    at.P_SAPWOOD: "sapwood_life",
    at.P_POT: "pot_exponent",
    at.P_VIGOUR: "vigour",
    at.P_BUDGET: "budget_units",
    at.P_CONTROL: "apical_control",
    at.P_EPICORMIC: "epicormic",
    at.P_CAPACITY: "leaf_capacity",
    at.P_WOOD: "wood_budget",
    at.P_UNIT: "unit_length",
    at.P_LAYER: "rooting",
    at.P_SEVERED: "severed_survival",
    at.P_SECTOR: "root_sector",
    at.P_UNION: "union",
    at.P_CLOSURE: "closure",
}
_FASTEST_ROOTS = 5.0  # score of root vigour
_CONTROL_SD = 0.02  # between trees of a taxon; the sheet of classes gives one start value each


@dataclass(frozen=True)
class Block:
    """Which futures are drawn: the run's seed, the first future and how many."""

    seed: int
    first: int
    count: int


def _normal(block: Block, index: int) -> FloatArray:
    futures = np.arange(block.first, block.first + block.count)
    return chance.normal(block.seed, futures, 0, 0, Purpose.PARAMETER, index)


def _uniform(block: Block, index: int) -> FloatArray:
    futures = np.arange(block.first, block.first + block.count)
    # Normals use entities 2i and 2i + 1 of the same purpose; these lie far above.
    return chance.uniform(block.seed, futures, 0, 0, Purpose.PARAMETER, 100_000 + index)


def _spread(spread: Spread, z: FloatArray) -> FloatArray:
    if spread.sd == 0.0:
        return np.full(z.shape, spread.middle)
    return spread.middle * np.exp(spread.sd * z) if spread.log else spread.middle + spread.sd * z


def draw_parameters(life: Biology, block: Block, vigour: VigourPosterior | None = None) -> FloatArray:
    """The parameters of a block of futures, one row each, in the order of `layout`.

    Parameters
    ----------
    life : Biology
        The taxon.
    block : Block
        Seed and futures.
    vigour : VigourPosterior, optional
        What the tree's own girths say; without it the prior.

    Returns
    -------
    (count, parameters) float
        A future's row depends on nothing but the seed, its number and the taxon.

    Raises
    ------
    RangeError
        If the block is empty.

    Source
    ------
    parameters.csv, species.csv, odds.csv, wounds.csv: see their rows.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> block = draw_parameters(biology(("morus_alba", "morus")), Block(7, 0, 3))
    >>> one = draw_parameters(biology(("morus_alba", "morus")), Block(7, 2, 1))
    >>> bool((block[2] == one[0]).all())
    True
    """
    if block.count < 1:
        raise out_of_range("futures", str(block.count), "1 or more")
    out = np.zeros((block.count, at.PARAMETERS))
    for index, name in _FIXED.items():
        out[:, index] = growth_parameter(name)
    table = load_table("ringwise.growth", "parameters")
    for index, name in _DRAWN.items():
        out[:, index] = _spread(spread_of(table.get("any", name)), _normal(block, index))
    low, high = growth_parameter("area_exponent_low"), growth_parameter("area_exponent_high")
    out[:, at.P_EXPONENT] = np.clip(out[:, at.P_EXPONENT], low, high)
    out[:, at.P_POT] = np.maximum(out[:, at.P_POT], 0.05)
    _draw_taxon(out, life, block)
    _draw_odds(out, life, block)
    _draw_wounds(out, life, block)
    prior = growth_parameter("vigour_ln_sd")
    mean, sd = (0.0, prior) if vigour is None else (vigour.mean_log, vigour.sd_log)
    out[:, at.P_VIGOUR] = mean + sd * _normal(block, at.P_VIGOUR)
    return out


def _draw_taxon(out: FloatArray, life: Biology, block: Block) -> None:
    out[:, at.P_SAPWOOD] = np.maximum(_spread(life.sapwood, _normal(block, at.P_SAPWOOD)), 1.0)
    out[:, at.P_UNIT] = _spread(life.unit, _normal(block, at.P_UNIT))
    drawn = life.apical_control_ratio + _CONTROL_SD * _normal(block, at.P_CONTROL)
    out[:, at.P_CONTROL] = np.clip(drawn, 0.46, 0.60)
    out[:, at.P_OPPOSITE] = 1.0 if life.opposite else 0.0
    out[:, at.P_CLASS] = life.back_bud_ratio
    out[:, at.P_ROOT_YEARS] = life.root_recovery_years
    out[:, at.P_INTERVAL] = life.repot_years
    out[:, at.P_FRACTION] = life.root_removed_frac
    out[:, at.P_FIELD] = life.field_vigour_ratio
    out[:, at.P_LEAF_GROWTH] = life.leaf_cut_growth_ratio
    slower = life.root_recovery_years / root_recovery_years(_FASTEST_ROOTS)
    out[:, at.P_HELD_WEEKS] = growth_parameter("held_weeks") * slower


def _draw_odds(out: FloatArray, life: Biology, block: Block) -> None:
    table = odds_table()
    for index, name in _ODDS.items():
        out[:, index] = table.get("any", name).number
    for index, odds in (
        (at.P_LAYER, life.layer),
        (at.P_SEVERED, life.severed),
        (at.P_SECTOR, life.sector),
        (at.P_UNION, life.approach),
    ):
        out[:, index] = odds_quantile(odds, _uniform(block, index))
    out[:, at.P_ROOT_WEEKS] = life.root_weeks
    out[:, at.P_UNION_YEARS] = life.union_years
    out[:, at.P_POT_BOUND] = table.get("shift", "pot_bound").number
    out[:, at.P_THICK] = table.get("shift", "thick_stem").number
    out[:, at.P_GRADE] = table.get("shift", "vigour_grade").number


def _draw_wounds(out: FloatArray, life: Biology, block: Block) -> None:
    table = load_table("ringwise.growth", "wounds")
    out[:, at.P_CLOSURE] = _spread(spread_of(table.get("any", "closure")), _normal(block, at.P_CLOSURE))
    for index, name in (
        (at.P_WIDTH, "width_exponent"),
        (at.P_GROWTH, "growth_exponent"),
        (at.P_WIDTH_REFERENCE, "width_reference"),
        (at.P_GROWTH_REFERENCE, "growth_reference"),
        (at.P_STUB, "stub_loss"),
        (at.P_ROT, "decay_hazard"),
    ):
        out[:, index] = table.get("any", name).number
    for index, season in (
        (at.P_SEASON_SUMMER, "summer"),
        (at.P_SEASON_AUTUMN, "autumn"),
        (at.P_SEASON_WINTER, "winter"),
    ):
        out[:, index] = table.get(season, "season").number
    out[:, at.P_DECAY_YEARS] = codit_decay_years(life.codit_class)
