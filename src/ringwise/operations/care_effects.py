"""Care of a tree in training, compiled: cut back, pinched, leaf cut, fed, guyed.

The yearly cut back holds outline and tips. Leaf cuts, feed and ties are told to the year's growth through
pools, as shares of the year; growth takes them from there and forgets them at the end of the season.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.tree_kernels import count_children, draw_key, uniform
from ringwise.kit.kernels import compiled_in_place as compiled

_CUT = np.int64(6)  # purpose of draws: a twig that goes, by whatever cause
_TWIG_MM2 = 30.0  # routine care cuts nothing thicker, except shoots of this year
_INNER = 0.8  # inside this share of the outline shoots keep more units
_KEEP_INNER, _KEEP_OUTER = 3.0, 2.0  # units left of this year's shoots, one less on a full crown
_DOME = 0.2  # how much lower the outline is held at the crown's edge than over the trunk; form only
_FULL_LESS = 1.0
_LEAST_CONTROL = 0.44  # no axis gives way to its side shoots more than this; assumed
_THIN = 1.0  # a side twig goes with a chance of the excess times this less its light; assumed
_HALF_CARE = np.int64(3)  # the half-year number of draws for care, after spring 0 and summer 1


@compiled
def outline_share(real: Any, whole: Any, row: Any, aim: Any, outline: Any) -> Any:
    """Where a segment ends against the outline that is held: 1 on it, more outside."""
    height_mm, reach_mm = aim
    x, y, z = real[at.END_X, row], real[at.END_Y, row], real[at.END_Z, row]
    layers, sides = outline.shape
    layer = min(max(np.int64(z / height_mm * layers), np.int64(0)), layers - 1)
    side = np.int64(math.floor(math.atan2(x, y) / (2.0 * math.pi) * sides)) % sides
    across = math.sqrt(x * x + y * y)
    dome = 1.0 + _DOME * (across / reach_mm) ** 2
    # A grafted branch fills a gap of the outline: there the reach of the whole crown counts.
    side_mm = reach_mm if whole[at.FLAGS, row] & at.GRAFT_AXIS else outline[layer, side]
    return max(z / height_mm * dome, across / max(side_mm, 1.0))


@compiled
def cut_back(tree: Any, par: Any, luck: Any, outline: Any) -> Any:
    """Mark what goes: shoots beyond a few units, beyond the outline, the weakest tips; how many marks."""
    real, whole, ids, pools, count = tree
    count_children(tree)
    tips = 0
    for row in range(count[0]):
        parent = whole[at.PARENT, row]
        young = whole[at.BORN, row] == luck[2]
        goes_on = young and parent >= 0 and whole[at.BORN, parent] == luck[2]
        real[at.ABOVE, row] = 0.0 if not young else real[at.ABOVE, parent] + 1.0 if goes_on else 1.0
        tips += whole[at.CHILDREN, row] == 0
    wanted = max(par[at.P_TIPS] * math.sqrt(pools[at.LITRES]), par[at.P_AIM_TIPS])
    excess = max(0.0, 1.0 - wanted / tips)
    less = _FULL_LESS if excess > 0.0 else 0.0
    aim = (par[at.P_AIM_HEIGHT], max(0.5 * par[at.P_AIM_SPREAD], 1.0))
    key = draw_key(luck, _HALF_CARE, _CUT)
    marked = 0
    for row in range(1, count[0]):
        thick = real[at.WOOD, row] > _TWIG_MM2 and whole[at.BORN, row] < luck[2]
        if thick or whole[at.FLAGS, row] & at.JOINED:
            continue
        where = outline_share(real, whole, row, aim, outline)
        keep = (_KEEP_INNER if where < _INNER else _KEEP_OUTER) - less
        goes = where > 1.0 or real[at.ABOVE, row] > keep
        forked = whole[at.CHILDREN, whole[at.PARENT, row]] > 1
        if not goes and forked and whole[at.CHILDREN, row] <= 1 and excess > 0.0:
            goes = uniform(key, ids[row]) < excess * (_THIN - real[at.LIGHT, row])
        if goes:
            whole[at.MARK, row] = 1
            marked += 1
    return marked


@compiled
def pinch(tree: Any, par: Any, share: Any) -> None:
    """Take soft tips all season: shorter units, and each axis loses a little of its control."""
    real, pools = tree[0], tree[3]
    pools[at.PINCHED] = max(pools[at.PINCHED], share)
    for row in range(tree[4][0]):
        real[at.CONTROL, row] = max(_LEAST_CONTROL, real[at.CONTROL, row] - par[at.P_PINCH_CONTROL] * share)


@compiled
def take_leaf(tree: Any, share: Any) -> None:
    """Take a share of the leaves; two cuts of one year add up."""
    pools = tree[3]
    pools[at.DEFOLIATED] = 1.0 - (1.0 - pools[at.DEFOLIATED]) * (1.0 - share)


@compiled
def feed(tree: Any, par: Any, factor: Any) -> None:
    """Feed for a season; `factor` multiplies the budget, 0 is the usual. None to the weak or freshly cut."""
    pools = tree[3]
    if pools[at.RESERVE] <= par[at.P_WEAK_RESERVE] or pools[at.ROOT_CUT] > 0.0:
        return
    added = factor - 1.0 if factor > 0.0 else par[at.P_FEED]
    pools[at.FED] = min(par[at.P_FEED_MOST], max(par[at.P_FEED_LEAST], added))


@compiled
def guy(tree: Any, years: Any) -> None:
    """Tie the trunk so that it cannot move, for so many seasons; 0 lets it go."""
    pools = tree[3]
    pools[at.GUY_YEARS] = years
    pools[at.GUYED] = 1.0 if years > 0.0 else 0.0


@compiled
def keep_guyed(pools: Any) -> None:
    """At the start of a year: a tie that is still on holds for it, one whose time is over is taken off."""
    pools[at.GUYED] = 1.0 if pools[at.GUY_YEARS] > 0.0 else 0.0
    pools[at.GUY_YEARS] = max(0.0, pools[at.GUY_YEARS] - 1.0)
