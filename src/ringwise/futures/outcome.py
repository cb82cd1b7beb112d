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
    "first_branch_frac",
    "branch_ratio",
    "strahler_n",
    "tips_dm2",
    "internode_mm",
    "leader_frac",
    "leader_wood_frac",
    "wounds_n",
    "decayed_n",
    "bite_mm",
    "second_tips_n",
    "fault_bits",
    "checks_seen",
)
ALIVE, BASE, HEIGHT, SPREAD, TIPS, TAPER, SECTORS, WOUND, GRAFT, GRAFT_MM = range(10)
SECOND, SECOND_BASE, SECOND_HEIGHT, LEAF, LAYER, HOURS = range(10, 16)
FIRST_BRANCH, BRANCH_RATIO, STRAHLER, TIPS_DM2, INTERNODE, LEADER, LEADER_WOOD = range(16, 23)
WOUNDS, DECAYED, BITE, SECOND_TIPS, FAULTS, SEEN = range(23, 29)
KEPT = len(MEASURES)
UNKNOWN = -1.0  # stands in a row where a tree has no such measure: no branch, no fork
DERIVED = ("girth_mm", "height_to_base_ratio", "spread_to_height_ratio", "base_gain_ratio", "faults_n")
OF_SECOND = ("second_base_mm", "second_height_mm", "second_tips_n")
_NOT_OF_WOOD = {"alive", "graft_state", "second_kept", "layer_state", "hours_h", "checks_seen", *OF_SECOND}
OF_LIVING = frozenset({*MEASURES, *DERIVED} - _NOT_OF_WOOD)  # has no value once the tree is dead

# Kinds of faults, as bits of `fault_bits`; what each is stands in the table `faults` of structure.
FAULT_KINDS = ("bar", "wheel", "thick_high", "thick_branch", "inverse_taper", "one_sided")
BAR, WHEEL, THICK_HIGH, THICK_BRANCH, INVERSE_TAPER, ONE_SIDED = 1, 2, 4, 8, 16, 32

# Thresholds that the compiled measures read, in the order of `measure_limits`.
LEAST_BRANCH, LEVEL, OPPOSITE, APEX, WHEEL_OF, OVER, MAIN, THICK = range(8)
LEAST_INVERSE, EMPTY_SECTORS, RIVAL = range(8, 11)
LIMITS = 11


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
        """A measure by future and year; NaN where the tree has none, as a dead one has no height."""
        if measure in DERIVED:
            return self._derived(measure)
        if measure not in MEASURES:
            raise unknown_name("measure", measure, (*MEASURES, *DERIVED))
        kept = self.values[:, :, MEASURES.index(measure)]
        values = np.where(kept == UNKNOWN, np.nan, kept)
        if measure in OF_LIVING:
            return np.where(self.values[:, :, ALIVE] > 0, values, np.nan)
        if measure in OF_SECOND:
            return np.where(self.values[:, :, SECOND] > 0, values, np.nan)
        return values

    def _derived(self, measure: str) -> FloatArray:
        if measure == "girth_mm":
            return math.pi * self.of("base_mm")
        if measure == "height_to_base_ratio":
            return self.of("height_mm") / self.of("base_mm")
        if measure == "spread_to_height_ratio":
            return self.of("spread_mm") / self.of("height_mm")
        if measure == "base_gain_ratio":
            return self.of("base_mm") / self.of("base_mm")[:, :1]
        bits = self.of("fault_bits")
        whole = np.nan_to_num(bits).astype(np.int64)
        kinds = sum(((whole >> place) & 1 for place in range(len(FAULT_KINDS))), np.zeros_like(whole))
        return np.where(np.isnan(bits), np.nan, kinds)


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
