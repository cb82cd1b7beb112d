"""What is kept of each future and year: a row of plain numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ringwise.kit.errors import out_of_range, unknown_name
from ringwise.kit.types import FloatArray

MEASURES = (
    "alive",
    "base_mm",
    "height_mm",
    "spread_mm",
    "tips_n",
    "taper_ratio",
    "sectors_n",
    "wound_mm",
    "graft_state",
    "graft_mm",
    "second_kept",
    "second_base_mm",
    "second_height_mm",
    "leaf_cm2",
    "layer_state",
    "hours_h",
)
ALIVE, BASE, HEIGHT, SPREAD, TIPS, TAPER, SECTORS, WOUND, GRAFT, GRAFT_MM = range(10)
SECOND, SECOND_BASE, SECOND_HEIGHT, LEAF, LAYER, HOURS = range(10, 16)
KEPT = len(MEASURES)
OF_LIVING = frozenset(MEASURES[1:10]) | {"leaf_cm2", "girth_mm"}  # has no value once the tree is dead


@dataclass(frozen=True)
class Lives:
    """One course lived many times: `values` is futures x (years + 1) x measures, year 0 being now.

    `parameters` holds each future's drawn inputs; `complete` is False where the run was cancelled.
    """

    course: str
    first_future: int
    seed: int
    engine: str
    values: FloatArray
    parameters: FloatArray
    complete: bool = True

    @property
    def futures(self) -> int:
        """How many futures there are."""
        return int(self.values.shape[0])

    @property
    def years(self) -> int:
        """How many years each was lived."""
        return int(self.values.shape[1]) - 1

    @property
    def alive(self) -> FloatArray:
        """1 where the tree is alive, by future and year."""
        return self.of("alive")

    def of(self, measure: str) -> FloatArray:
        """A measure by future and year; NaN where the tree is dead and only a living one has the measure."""
        if measure == "girth_mm":
            return math.pi * self.of("base_mm")
        if measure not in MEASURES:
            raise unknown_name("measure", measure, (*MEASURES, "girth_mm"))
        values = self.values[:, :, MEASURES.index(measure)]
        if measure in OF_LIVING:
            return np.where(self.values[:, :, ALIVE] > 0, values, np.nan)
        return values


def joined(parts: list[Lives]) -> Lives:
    """Blocks of one run as one, in the order of their futures.

    Parameters
    ----------
    parts : list of Lives
        Blocks of one course and seed that follow each other without a gap.

    Returns
    -------
    Lives
        All futures.

    Raises
    ------
    RangeError
        If there is no block, or a gap between two of them.

    Source
    ------
    own.

    Examples
    --------
    >>> one = Lives("accept", 0, 7, "x", np.zeros((2, 3, KEPT)), np.zeros((2, 4)))
    >>> two = Lives("accept", 2, 7, "x", np.zeros((1, 3, KEPT)), np.zeros((1, 4)))
    >>> joined([two, one]).futures
    3
    """
    if not parts:
        raise out_of_range("blocks of futures", "0", "1 or more")
    ordered = sorted(parts, key=lambda part: part.first_future)
    for before, after in pairwise(ordered):
        if before.first_future + before.futures != after.first_future:
            raise out_of_range(
                "first future of a block", str(after.first_future), "the one after the last block"
            )
    first = ordered[0]
    return Lives(
        first.course,
        first.first_future,
        first.seed,
        first.engine,
        np.concatenate([part.values for part in ordered]),
        np.concatenate([part.parameters for part in ordered]),
        all(part.complete for part in ordered),
    )
