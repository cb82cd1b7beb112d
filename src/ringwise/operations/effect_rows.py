"""What the compiled effects of a hand are given: the numbers of effects.csv in a row of parameters."""

from __future__ import annotations

import math

from ringwise.growth import layout as at
from ringwise.growth.odds import odds_table
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.operations.timing import ROOM

EFFECT_PLACES: dict[int, tuple[str, str]] = {
    at.P_SCAR: ("any", "scar"),
    at.P_WEAK_RESERVE: ("any", "weak_reserve"),
    at.P_GENTLE_SHARE: ("any", "gentle_share"),
    at.P_MIX_YEARS: ("repot", "mix_years"),
    at.P_MIX_LIFE: ("repot", "mix_life"),
    at.P_LIFT_SHARE: ("lift", "root_removed"),
    at.P_LIFT_YEARS: ("lift", "recovery"),
    at.P_FIELD_SHARE: ("field_plant", "root_removed"),
    at.P_RESCUE_GAIN: ("root_rescue", "reserve_gain"),
    at.P_SPLIT_LOSS: ("split_clump", "root_loss"),
    at.P_LAYER_ROOTS: ("layer", "new_roots"),
    at.P_RING_THIN: ("layer", "ring_thin"),
    at.P_RING_THICK: ("layer", "ring_thick"),
    at.P_RING_LIMIT: ("layer", "ring_limit"),
    at.P_RING_MOST: ("layer", "ring_most"),
    at.P_RING_LEAST: ("layer", "ring_least"),
    at.P_THICK_MM: ("layer", "thick_stem"),
    at.P_UNROOTED: ("layer", "unrooted"),
    at.P_HEAD_SHARE: ("head_back", "kept"),
    at.P_PINCH_CONTROL: ("pinch", "control_loss"),
    at.P_PARTIAL: ("partial_defoliation", "share"),
    at.P_FEED: ("feed", "budget"),
    at.P_FEED_LEAST: ("feed", "budget_least"),
    at.P_FEED_MOST: ("feed", "budget_most"),
    at.P_GRAFT_WOOD: ("graft", "donor_wood"),
    at.P_GRAFT_UNITS: ("graft", "donor_units"),
    at.P_THREAD_HOLE: ("graft", "thread_hole"),
    at.P_UNION_FIRST: ("graft", "union_first"),
    at.P_UNION_RATE: ("graft", "union_rate"),
    at.P_SLIP: ("graft", "slip"),
    at.P_WEAK_UNION: ("graft", "weak_union"),
    at.P_LATE: ("graft", "late"),
    at.P_NOTCH_SIGN: ("graft", "notch_sign"),
    at.P_NOTCH_DELAY: ("graft", "notch_delay"),
    at.P_ROOT_GRAFT_YEARS: ("root_graft", "years"),
    at.P_FREE_YEARS: ("chop", "free_years"),
    at.P_TALL_POT: ("top", "tall_pot"),
    at.P_TALL_FIELD: ("top", "tall_ground"),
    at.P_HEAD_TO: ("top", "cut_to"),
}


def with_hands(parameters: FloatArray) -> FloatArray:
    """Put the numbers of the effects into rows of drawn parameters.

    Parameters
    ----------
    parameters : (..., parameters) float
        Rows of `draw_parameters`; changed in place.

    Returns
    -------
    (..., parameters) float
        The same array.

    Source
    ------
    effects.csv: see its rows; odds.csv for what a thread graft loses against an approach graft.

    Examples
    --------
    >>> import numpy as np
    >>> float(with_hands(np.zeros(at.PARAMETERS))[at.P_RING_MOST])
    50.0
    """
    table = load_table(ROOM, "effects")
    for place, (key, name) in EFFECT_PLACES.items():
        parameters[..., place] = table.get(key, name).number
    parameters[..., at.P_BEND] = math.radians(table.get("wire", "bend").number)
    parameters[..., at.P_THREAD] = odds_table().get("shift", "thread").number
    return parameters
