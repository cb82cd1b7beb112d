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
    at.P_ROOT_PRUNE: ("root_prune_in_ground", "root_removed"),
    at.P_NEAR_MOST: ("root_prune_in_ground", "near_gain"),
    at.P_NEAR_YEARS: ("root_prune_in_ground", "near_years"),
    at.P_PLACE_TURN: ("place", "turn"),
    at.P_PLACE_RISE: ("place", "rise"),
    at.P_HELD_TWIG: ("cut_back", "twig_area"),
    at.P_HELD_INNER: ("cut_back", "inner_share"),
    at.P_KEEP_INNER: ("cut_back", "keep_inner"),
    at.P_KEEP_OUTER: ("cut_back", "keep_outer"),
    at.P_HELD_DOME: ("cut_back", "dome"),
    at.P_COLLAR: ("cut_back", "collar_bud"),
    at.P_FULL_LESS: ("cut_back", "full_less"),
    at.P_THIN_LOW: ("cut_back", "thin_low"),
    at.P_THIN_OLD: ("cut_back", "thin_old"),
    at.P_LEGGY: ("cut_back", "leggy"),
    at.P_HANGS: ("cut_back", "hangs"),
    at.P_INWARD_FROM: ("cut_back", "inward_from"),
    at.P_INWARD_NEAR: ("cut_back", "inward_near"),
    at.P_FREE_TO: ("top", "free_to"),
    at.P_NEAR_CUT: ("top", "near_cut"),
    at.P_ROUTINE: ("routine", "repot_share"),
    at.P_HEAVY_REST: ("routine", "heavy_rest"),
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
    put_rings(parameters)
    parameters[..., at.P_BEND] = math.radians(table.get("wire", "bend").number)
    parameters[..., at.P_THREAD] = odds_table().get("shift", "thread").number
    return parameters


def put_rings(parameters: FloatArray) -> None:
    """Put the usual width of a ring into rows of parameters: midway between the least and the most.

    Parameters
    ----------
    parameters : (..., parameters) float
        Changed in place.

    Source
    ------
    rings.csv: the same rows tell where a ring can be set.

    Examples
    --------
    >>> import numpy as np
    >>> row = np.zeros(at.PARAMETERS)
    >>> put_rings(row)
    >>> row[[at.P_RING_THIN, at.P_RING_THICK]].tolist()
    [1.5, 1.25]
    """
    rings = load_table(ROOM, "rings")
    for place, kind in ((at.P_RING_THIN, "thin"), (at.P_RING_THICK, "thick")):
        least, most = (rings.get("ring", f"{kind}_{end}_ratio").number for end in ("least", "most"))
        parameters[..., place] = 0.5 * (least + most)
    parameters[..., at.P_RING_LIMIT] = rings.get("ring", "thin_to").number
    parameters[..., at.P_RING_MOST] = rings.get("ring", "most").number
    parameters[..., at.P_CLUMP_FOOT] = rings.get("clump", "low_share").number
