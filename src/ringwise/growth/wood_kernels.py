"""Wood, compiled: rings by the pipe rule within what lit leaf can make, wounds and wire as it thickens."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.float_kernels import exponential, logarithm, product_total
from ringwise.growth.rank_kernels import is_empty
from ringwise.growth.tree_kernels import draw_key, sum_down, uniform
from ringwise.kit.kernels import compiled_in_place as compiled

_ONE, _ACROSS = np.float32(1.0), np.float32(math.sqrt(4.0 / math.pi))
_NO_LEAF = np.float32(1e-30)  # stands for no leaf above, whose logarithm has no number
_DECAY, _SUMMER = np.int64(22), np.int64(1)  # purpose of draws, as in kit.chance, and the half-year


@compiled
def pipe_demand(above_cm2: Any, par: Any, unit_cm2: Any) -> Any:
    """Sapwood area that the leaf above asks for."""
    if above_cm2 <= 0.0:
        return 0.0
    power = (above_cm2 / unit_cm2) ** (2.0 / par[at.P_EXPONENT])
    return par[at.P_PIPE] * unit_cm2 * power


@compiled
def ask(tree: Any, par: Any) -> Any:
    """What each segment asks for, as area into the vigour column; the wood of all, and the lit leaf."""
    real, _whole, _ids, pools, count = tree
    n = count[0]
    above, asked, sapwood = real[at.ABOVE], real[at.VIGOUR], real[at.SAPWOOD]
    length, leaf, lit = real[at.LENGTH], real[at.LEAF], real[at.LIGHT]
    unit = max(pools[at.LEAF_UNIT], 1e-3)
    per_unit = np.float32(1.0 / unit)
    power = np.float32(2.0 / par[at.P_EXPONENT])
    pipe = np.float32(par[at.P_PIPE] * unit)
    least = np.float32(par[at.P_RING] if pools[at.RESERVE] > par[at.P_FLOOR] else 0.0)
    left = np.float32(1.0 - 1.0 / par[at.P_SAPWOOD])
    for row in range(n):
        need = pipe * exponential(power * logarithm(above[row] * per_unit + _NO_LEAF))
        asked[row] = max(need - sapwood[row] * left, least * need)
    return product_total(asked, length, n), product_total(leaf, lit, n)


@compiled
def ring(tree: Any, par: Any) -> None:
    """A year's wood: what the leaf above asks for beyond living sapwood, within the wood budget.

    The year and the tree's own vigour widen the ring, not the pipes: a strong tree lays on more wood for the
    same leaf every year, and has no more sapwood to catch up with.
    """
    real, whole, _ids, pools, count = tree
    n = count[0]
    for row in range(n):
        real[at.ABOVE, row] = real[at.LEAF, row]
    sum_down(tree, at.ABOVE)
    wanted, lit = ask(tree, par)
    pools[at.RING] = min(1.0, wood_budget(pools, par, lit) / wanted) if wanted > 0.0 else 0.0
    scale = np.float32(pools[at.RING])
    wide = np.float32(math.exp(pools[at.WEATHER] + par[at.P_VIGOUR]))
    # A trunk that cannot sway makes less wood for strength; its wood conducts as before.
    guyed = np.float32(pools[at.GUYED] * (1.0 - par[at.P_GUYED]))
    left = np.float32(1.0 - 1.0 / par[at.P_SAPWOOD])
    asked, wood, sapwood, grown = real[at.VIGOUR], real[at.WOOD], real[at.SAPWOOD], real[at.GROWN]
    flags = whole[at.FLAGS]
    for row in range(n):
        added = asked[row] * scale
        sway = np.float32(flags[row] & np.int32(at.TRUNK)) * guyed
        thicker = wood[row] + added * wide * (_ONE - sway)
        grown[row] = (math.sqrt(thicker) - math.sqrt(wood[row])) * _ACROSS
        sapwood[row] = min(sapwood[row] * left + added, thicker)
        wood[row] = thicker


@compiled
def wood_budget(pools: Any, par: Any, lit_cm2: Any) -> Any:
    """Wood that lit leaf can make in a year at usual vigour, in mm3; roots in a small pot slow each leaf."""
    pot = min(1.0, (pools[at.LITRES] / par[at.P_REFERENCE_L]) ** par[at.P_POT])
    return par[at.P_WOOD] * lit_cm2 * pot ** par[at.P_NET] * (1.0 + pools[at.FED])


@compiled
def close_wounds(tree: Any, par: Any, luck: Any) -> None:
    """A year of wound closure by the growth of the wood beside each wound; long open ones may decay."""
    real, whole, ids, _pools, count = tree
    if is_empty(real[at.WOUND], count[0]) and is_empty(real[at.WIRE_RADIUS], count[0]):
        return
    key = draw_key(luck, _SUMMER, _DECAY)
    for row in range(count[0]):
        width, grown = real[at.WOUND, row], real[at.GROWN, row]
        if real[at.WIRE_RADIUS, row] > 0.0:
            pass_wire(tree, par, row)
        if width > 0.0:
            real[at.WOUND_YEARS, row] += 1.0
            if grown > 0.0:
                shape = (width / par[at.P_WIDTH_REFERENCE]) ** par[at.P_WIDTH]
                shape *= (grown / par[at.P_GROWTH_REFERENCE]) ** par[at.P_GROWTH]
                closed = par[at.P_CLOSURE] * shape * grown * (1.0 - real[at.WOUND_LOSS, row])
                real[at.WOUND, row] = max(0.0, width - closed)
            late = real[at.WOUND, row] > 0.0 and real[at.WOUND_YEARS, row] > par[at.P_DECAY_YEARS]
            if late and uniform(key, ids[row]) < par[at.P_ROT]:
                whole[at.FLAGS, row] |= at.DECAYED


@compiled
def pass_wire(tree: Any, par: Any, row: Any) -> None:
    """A year under wire: it bites once the wood has grown by more than the gap that was left."""
    real = tree[0]
    real[at.WIRE_YEARS, row] += 1.0
    radius = math.sqrt(real[at.WOOD, row] / math.pi)
    deep = radius - real[at.WIRE_RADIUS, row] - par[at.P_WIRE_GAP]
    real[at.BITE, row] = max(real[at.BITE, row], deep)


@compiled
def kept_bend(tree: Any, row: Any) -> Any:
    """Share of its bend that a segment keeps when its wire comes off: what grew since holds it."""
    real = tree[0]
    before = real[at.WIRE_RADIUS, row]
    now = max(math.sqrt(real[at.WOOD, row] / math.pi), before)
    return 1.0 - (before / now) ** 4 if now > 0.0 else 0.0
