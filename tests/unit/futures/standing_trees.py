"""Two small trees to live with: a one-sided mulberry and a maple with a pending graft."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from ringwise.futures.start import Aim, GraftNow, Start
from ringwise.growth.biology import Biology, biology
from ringwise.growth.start import Condition
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape_tree import tree_from_tape

MULBERRY = ("morus_alba", "morus", "G1")
MAPLE = ("acer_palmatum", "acer", "G2")
ONE_SIDED = (True,) * 5 + (False,) * 4 + (True,) * 3


def _tables(keys: tuple[str, ...], trunk_mm: float, height_mm: float) -> tuple[SegmentTable, ...]:
    form = form_for((*keys, "any"))
    tape = tape_from_basics(trunk_mm, height_mm, form, seed=1)
    return tuple(tree_from_tape(tape, seed=seed, form=form, born_year=2026) for seed in range(3))


def _aim(tables: tuple[SegmentTable, ...], height_mm: float) -> Aim:
    ends = tables[0].end_mm
    return Aim(height_mm, 2.0 * float(np.hypot(ends[:, 0], ends[:, 1]).max()))


@lru_cache(maxsize=1)
def mulberry() -> tuple[Start, Biology]:
    """92 mm across, 52 cm tall, in 6.1 L, four sectors without roots."""
    tables = _tables(MULBERRY, 92.0, 520.0)
    condition = Condition(6.1, 4, 3.9, ONE_SIDED)
    return Start(tables, condition, 2027, "M", _aim(tables, 520.0)), biology(MULBERRY)


@lru_cache(maxsize=1)
def maple() -> tuple[Start, Biology]:
    """41 mm across, 44 cm tall, in 4.5 L, a graft set 1.8 years ago that does not thicken beyond."""
    tables = _tables(MAPLE, 41.0, 440.0)
    graft = GraftNow(130.0, 3.0, 1.8, (5.1, 5.6, 6.0, 6.3), (5.0, 5.4, 5.7, 5.9))
    start = Start(tables, Condition(4.5, 4, 1.9), 2027, "M", _aim(tables, 440.0), graft)
    return start, biology(MAPLE)
