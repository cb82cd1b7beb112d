"""What buds do in spring, compiled: tips go on, side buds open, cut ends and old wood shoot again."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.shoot_kernels import note_shoot, shoot_luck, three, write_shoots
from ringwise.growth.tree_kernels import draw_key, logistic, mix64, uniform
from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.kit.kernels import compiled_inside

_BUD, _BACK_BUD = np.int64(4), np.int64(12)  # purposes of draws, as in kit.chance
_SPRING, _FIRST, _ON, _ASIDE = np.int64(0), np.int64(0), np.int64(0), np.int64(1)
_USUAL_RAD = 0.0  # wider than usual; of no meaning on the axis
_BUDS_BELOW = 5  # nodes below a cut from which buds are woken
_MOST_RELEASED = 3


@compiled
def buds_below(tree: Any, tip: Any) -> Any:
    """Dormant buds within reach of a cut end."""
    buds, parents = tree[1][at.BUDS], tree[1][at.PARENT]
    row, found = np.int32(tip), np.int32(0)
    for _step in range(_BUDS_BELOW):
        found += buds[np.uint32(row)]
        row = parents[np.uint32(row)]
        if row < 0:
            break
    return found


@compiled_inside
def last_shoot_buds(tree: Any, tip: Any) -> Any:
    """Buds on the shoot that ends in a tip, made last year."""
    whole = tree[1]
    buds, parents, born, children = whole[at.BUDS], whole[at.PARENT], whole[at.BORN], whole[at.CHILDREN]
    row, found, year = np.uint32(tip), np.int32(0), born[np.uint32(tip)]
    while row > 0 and born[row] == year and children[row] <= 1:
        found += buds[row]
        row = np.uint32(parents[row])
    return found


@compiled_inside
def flush_tip(tree: Any, par: Any, year: Any, tip: Any, keys: Any) -> None:
    """Growth of a tip and of the side buds on its last shoot."""
    real, whole, ids, _pools, _count = tree
    vigour = real[at.VIGOUR, tip]
    control = real[at.CONTROL, tip]
    buds = last_shoot_buds(tree, tip) if whole[at.BORN, tip] >= year - 2 else 0
    weight = control + (1.0 - control) * par[at.P_LATERAL] * buds
    ahead = vigour * control / weight
    aside = vigour * (1.0 - control) * par[at.P_LATERAL] / weight
    row, born, passed = tip, whole[at.BORN, tip], 0
    while passed < buds and row > 0 and whole[at.BORN, row] == born and whole[at.CHILDREN, row] <= 1:
        below, here = whole[at.PARENT, row], whole[at.BUDS, row]
        # Buds near the tip come first; those at the foot of a shoot mostly sleep.
        open_buds(tree, par, row, (aside, 1.0 - par[at.P_ACROTONY] * passed / buds), keys)
        passed += here
        row = below
    if ahead >= 1.0 or uniform(keys[0], ids[tip]) < ahead:
        note_shoot(tree, par, tip, (_ON, max(ahead, 1.0), _USUAL_RAD, _ON))


@compiled_inside
def open_buds(tree: Any, par: Any, row: Any, share: Any, keys: Any) -> None:
    """Open the side buds of a segment, each with a chance; `share` is (vigour, favour of the place)."""
    whole, ids = tree[1], tree[2]
    vigour, favour = share
    for slot in range(whole[at.BUDS, row]):
        entity = ids[row] ^ np.uint64(7919 * (slot + 1))
        if uniform(keys[0], entity) * par[at.P_THRESHOLD] < vigour * favour * tree[3][at.FINE]:
            a, b, _c = three(mix64(keys[1] ^ entity))
            wider = 0.5 * par[at.P_SIDE_SWAY] * (a + b)
            units = max(vigour * favour, 0.6)
            if note_shoot(tree, par, row, (np.int64(slot), units, wider, _ASIDE)) >= 0:
                whole[at.BUDS, row] -= 1


@compiled
def release(tree: Any, par: Any, tip: Any, keys: Any) -> None:
    """Wake up to three of the nearest buds below a cut end."""
    real, whole, ids, _pools, _count = tree
    vigour = real[at.VIGOUR, tip]
    lift = par[at.P_RELEASE] + par[at.P_RELEASE_VIGOUR] * math.log(max(vigour, 0.05))
    row, woken = tip, 0
    for step in range(_BUDS_BELOW):
        chance = 0.0
        if whole[at.BUDS, row] > 0:
            chance = logistic(lift + 1.0 - 0.5 * step) * min(1.0, par[at.P_CLASS])
        for slot in range(whole[at.BUDS, row]):
            entity = ids[row] ^ np.uint64(104729 * (slot + 1))
            if woken < _MOST_RELEASED and uniform(keys[1], entity) < chance:
                a, b, _c = three(mix64(keys[0] ^ entity))
                wider = par[at.P_NEARER] + 0.5 * par[at.P_SIDE_SWAY] * (a + b)
                units = max(0.6, vigour * (0.6 if woken == 0 else 0.3))
                if note_shoot(tree, par, row, (np.int64(slot), units, wider, _ASIDE)) >= 0:
                    whole[at.BUDS, row] -= 1
                    woken += 1
        row = whole[at.PARENT, row]
        if row < 0 or woken >= _MOST_RELEASED:
            break


@compiled
def epicormic(tree: Any, par: Any, year: Any, rows: Any, keys: Any) -> None:
    """Sleeping buds on old wood, woken in proportion to the leaf that was taken; they also die slowly."""
    real, whole, ids, pools, _count = tree
    chance = par[at.P_EPICORMIC] * par[at.P_CLASS] * min(1.0, pools[at.REMOVED])
    mean = real[at.VIGOUR, 0] / max(real[at.DEMAND, 0], 1.0)
    for row in range(rows):
        if whole[at.BUDS, row] > 0 and whole[at.BORN, row] < year - 1:
            u = uniform(keys[1], ids[row])
            if u < chance * (0.3 + real[at.LIGHT, row]):
                units = min(max(mean, 1.0), 8.0)
                if note_shoot(tree, par, row, (_FIRST, units, par[at.P_EPICORMIC_WIDER], _ASIDE)) >= 0:
                    whole[at.BUDS, row] -= 1
            elif u > 1.0 - par[at.P_DECAY] * whole[at.BUDS, row]:
                whole[at.BUDS, row] -= 1


@compiled
def flush(tree: Any, par: Any, luck: Any) -> None:
    """All growth of a spring."""
    real, whole, _ids, pools, count = tree
    keys = (draw_key(luck, _SPRING, _BUD), draw_key(luck, _SPRING, _BACK_BUD))
    rows = count[0]
    for row in range(rows):
        whole[at.FLAGS, row] &= ~at.SHORT_SHOOT
    for row in range(rows):
        if count[0] >= whole.shape[1]:
            break  # no room for any shoot
        if whole[at.CHILDREN, row] == 0 and real[at.DEMAND, row] > 0.0:
            if whole[at.FLAGS, row] & at.CUT_END:
                release(tree, par, row, keys)
            else:
                flush_tip(tree, par, luck[2], row, keys)
    epicormic(tree, par, luck[2], rows, keys)
    write_shoots(tree, par, shoot_luck(luck), rows)
    pools[at.REMOVED] = 0.0
