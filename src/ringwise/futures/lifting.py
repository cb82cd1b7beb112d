"""A tree lifted from the ground beside the same tree left there: paired futures, the same luck."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ringwise.futures.course import Course, Step
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Worker, parameters_of, start_trees
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block
from ringwise.growth.start import Condition, empty_arrays, litres_of_ground
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

LEAST_MM, MOST_MM = 8.0, 200.0
SEASONS = 3  # over which growth is compared
_YEARS = SEASONS + 1  # a year in the ground first, so that both start from one state
_SECOND = 2  # the year of the second season after the lift
_MOST_FUTURES = 2000
_LONGEST = 10  # shoots that are measured
_MOST_SEGMENTS, _LOWER = 1500, 0.75
_ROOM = 40_000  # segments: all twigs of four years find room, so that none is missed by the mean shoot


@dataclass(frozen=True)
class Lifted:
    """Lifted over unlifted: growth in thickness over three seasons, shoots in the second, and who lives.

    `shoot_ratio` is of the mean length of the ten longest shoots of the second season: those in full light.
    """

    growth_ratio: float
    shoot_ratio: float
    survival_prob: float
    futures: int


def lifted(
    keys: tuple[str, ...], life: Biology, diameter_mm: float, *, volume_l: float, futures: int, seed: int
) -> Lifted:
    """What lifting costs a tree of a base diameter, in paired futures of the growth model.

    Parameters
    ----------
    keys : tuple of str
        Species, genus, group; for the form of the tree.
    life : Biology
        Its taxon.
    diameter_mm : float
        At the base, 8 to 200 mm.
    volume_l : float
        Into which it is set; infinite back into open ground.
    futures, seed : int
        How many pairs, and their seed.

    Returns
    -------
    Lifted
        Ratios of sums over the pairs in which the lifted tree lives on.

    Raises
    ------
    RangeError
        If the diameter, the litres or the number of futures is out of bounds.

    Source
    ------
    own: nothing but the share of roots lost, their regrowth and the need of the leaf above acts here.

    Examples
    --------
    >>> MOST_MM
    200.0
    """
    _check(diameter_mm, volume_l, futures)
    start = _start(keys, diameter_mm, seed)
    step = Step(1, "spring", "lift", volume_l=0.0 if np.isinf(volume_l) else volume_l)
    plans = [
        plan_of(Course("stay", "", ""), start, keys),
        plan_of(Course("lift", "", "", (step,)), start, keys),
    ]
    parameters, first = parameters_of(start, life, Block(seed, 0, futures)), start_trees(start)[0]
    room = Worker()
    room.trees = (empty_arrays(_ROOM), room.trees[1])
    rows = np.array(
        [
            [_life(room, first, parameters[future], (seed, future), plan) for plan in plans]
            for future in range(futures)
        ]
    )
    return _told(rows)


def _check(diameter_mm: float, volume_l: float, futures: int) -> None:
    if not LEAST_MM <= diameter_mm <= MOST_MM:
        raise out_of_range("diameter", f"{diameter_mm:g} mm", f"{LEAST_MM:g} to {MOST_MM:g} mm")
    if not volume_l > 0:
        raise out_of_range("litres", f"{volume_l:g} L", "above 0 L")
    if not 1 <= futures <= _MOST_FUTURES:
        raise out_of_range("futures", str(futures), f"1 to {_MOST_FUTURES}")


def _start(keys: tuple[str, ...], diameter_mm: float, seed: int) -> Start:
    """A tree that has stood in open ground, of the usual height there; headed lower where twigs are many."""
    form = form_for(keys)
    height_mm = load_table("ringwise.operations", "effects").get("lift", "height_ratio").number * diameter_mm
    table = tree_from_tape(tape_from_basics(diameter_mm, height_mm, form, seed=seed), seed=seed, form=form)
    while table.n > _MOST_SEGMENTS:
        height_mm *= _LOWER
        tape = tape_from_basics(diameter_mm, height_mm, form, seed=seed)
        table = tree_from_tape(tape, seed=seed, form=form)
    return Start((table,), Condition(litres_of_ground(), 4, 3.0), 0, "F")


def _life(room: Worker, start: Any, par: FloatArray, key: tuple[int, int], plan: Any) -> list[float]:
    """Growth in diameter over the seasons, length of the longest shoots in the second of them, alive."""
    from ringwise.futures import kernels
    from ringwise.growth.tree_kernels import base_row

    tree = room.trees[0]
    kernels.begin(room.trees, start, par, (*key, np.int64(0)), room.grid)
    before_mm = shoot_mm = 0.0
    for year in range(_YEARS):
        kernels.live_year(room.trees, par, (*key, year), plan, room.grid)
        if year == 0:
            before_mm = _diameter_mm(tree, base_row(tree))
        if year == _SECOND:
            shoot_mm = _longest_mm(tree, year)
    grown_mm = _diameter_mm(tree, base_row(tree)) - before_mm
    return [grown_mm, shoot_mm, float(tree[3][at.ALIVE])]


def _longest_mm(tree: Any, year: int) -> float:
    """Mean length of the longest shoots of a year, each along its own axis."""
    n = int(tree[4][0])
    parent, order, born = (tree[1][column, :n] for column in (at.PARENT, at.ORDER, at.BORN))
    length = np.where(born == year, tree[0][at.LENGTH, :n], 0.0).astype(np.float64)
    for row in np.flatnonzero(born == year):  # parents come before children
        above = parent[row]
        if order[row] == order[above]:
            length[row] += length[above]
            length[above] = 0.0  # the shoot goes on: it is counted at its end
    return float(np.sort(length)[-_LONGEST:].mean())


def _diameter_mm(tree: Any, row: int) -> float:
    return float(np.sqrt(tree[0][at.WOOD, row] * 4.0 / np.pi))


def _told(rows: FloatArray) -> Lifted:
    """Ratios over the pairs whose lifted tree lives; `rows` is (future, left or lifted, what)."""
    lives = rows[:, 1, 2] > 0
    left, up = rows[lives, 0], rows[lives, 1]
    whole = left.sum(axis=0)
    ratio = np.divide(up.sum(axis=0), whole, out=np.full(3, np.nan), where=whole > 0)
    return Lifted(float(ratio[0]), float(ratio[1]), float(lives.mean()), len(rows))
