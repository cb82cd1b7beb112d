"""What a hand takes from growth, against print, in paired runs of the growth step itself.

Leaf cuts: Heichel & Turner 1984 (authors from memory), Oecologia, 10.1007/BF00377364, abstract: whole trees
defoliated three years running by 0, 50, 75 and 100 %; branch growth 23 % less in red maple and 40 % less in
red oak, mean over treatments. Tolerances of 8 and 10 points as the growth notes set them.
Guying: Arboriculture & Urban Forestry, table on stabilisation systems: trunk diameter of red maple grew
11.4 mm guyed and 15.7 mm free in a year (n = 10), a factor of 0.73; tolerance 0.05.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, start_arrays
from ringwise.growth.step import in_capacity, light_grid
from ringwise.kit.types import FloatArray
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

TREES, YEARS = 24, 3
MAPLE, OAK = ("acer_rubrum", "acer", "G2"), ("quercus_rubra", "quercus", "G3")
Hand = Callable[[Arrays, FloatArray], None]


def _wood(tree: Arrays) -> dict[int, float]:
    """Wood of the branches by the names of their segments, in mm3."""
    n = int(tree[4][0])
    rows = np.flatnonzero(tree[1][at.ORDER, :n] > 0)
    volume = tree[0][at.WOOD, rows].astype(float) * tree[0][at.LENGTH, rows]
    return dict(zip(tree[2][rows].tolist(), volume.tolist(), strict=True))


def _lived(keys: tuple[str, ...], future: int, hand: Hand) -> tuple[float, float]:
    """Branch wood laid on in the third year, and growth of the trunk's diameter over all years."""
    from ringwise.growth import kernels

    form = form_for(keys)
    table = tree_from_tape(tape_from_basics(60.0, 1800.0, form, seed=future), seed=future, form=form)
    par = with_hands(draw_parameters(biology(keys), Block(11, future, 1)))[0]
    tree = in_capacity(start_arrays(table, Condition(math.inf, 4), first_year=0))
    grid, before = light_grid(), {}
    kernels.settle(tree, par, (11, future, 0))
    first_mm = math.sqrt(tree[0][at.WOOD, 0] * 4 / math.pi)
    for year in range(YEARS):
        luck = (11, future, year)
        before = _wood(tree)
        kernels.weather_year(tree, par, luck)
        kernels.spring(tree, par, luck, grid)
        hand(tree, par)
        kernels.summer(tree, par, luck, grid)
        after = _wood(tree)
        kernels.end_year(tree)
    grown = sum(volume - before.get(name, 0.0) for name, volume in after.items())
    return grown, math.sqrt(tree[0][at.WOOD, 0] * 4 / math.pi) - first_mm


def _cut(share: float) -> Hand:
    from ringwise.operations import care_effects

    return lambda tree, _par: care_effects.take_leaf(tree, share) if share > 0 else None


@pytest.mark.parametrize(("keys", "loss", "within"), [(MAPLE, 0.23, 0.08), (OAK, 0.40, 0.10)])
def test_leaf_cuts_of_three_years_cost_branch_growth_as_in_print(
    keys: tuple[str, ...], loss: float, within: float
) -> None:
    grown = {
        share: np.mean([_lived(keys, future, _cut(share))[0] for future in range(TREES)])
        for share in (0.0, 0.5, 0.75, 1.0)
    }
    losses = [1.0 - grown[share] / grown[0.0] for share in (0.5, 0.75, 1.0)]
    assert losses == sorted(losses)
    assert np.mean(losses) == pytest.approx(loss, abs=within)


def test_a_guyed_trunk_thickens_by_three_quarters() -> None:
    from ringwise.operations import care_effects

    def guy(tree: Arrays, _par: FloatArray) -> None:
        care_effects.guy(tree, 1.0)
        care_effects.keep_guyed(tree[3])

    free = np.mean([_lived(MAPLE, future, _cut(0.0))[1] for future in range(TREES)])
    tied = np.mean([_lived(MAPLE, future, guy)[1] for future in range(TREES)])
    assert tied / free == pytest.approx(0.73, abs=0.05)
