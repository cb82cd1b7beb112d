"""The usual day: the mean of own past springs, beside which every forecast is shown."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ringwise.kit.days import GrowingYear
from ringwise.phenology.seen import SeenStage, interval
from ringwise.phenology.species import Clock
from ringwise.phenology.stages import SPRING

LEAF = "11"


@dataclass(frozen=True)
class Usual:
    """Mean day of leaf unfolding over past seasons: of the tree itself, or of its kind in the yard."""

    day_index: float
    seasons: int
    own: bool


def usual_leaf(
    trees: Sequence[Sequence[SeenStage]], year: GrowingYear, to_leaf_days: Mapping[str, float], *, own: bool
) -> Usual | None:
    """The mean day on which leaves unfolded in past growing years.

    Parameters
    ----------
    trees : sequence of sequences of SeenStage
        What was seen on each tree: one tree, or all of a kind.
    year : GrowingYear
        The year of the forecast; earlier ones count.
    to_leaf_days : mapping of str to float
        Mean days from each stage that may stand in to the first leaf, from `to_leaf`.
    own : bool
        Whether it is the tree's own mean.

    Returns
    -------
    Usual, or None
        Of each season the stage next to the first leaf counts, moved by the mean days between. Seasons count
        alike, trees count alike within a season; None where no healthy tree was watched in spring.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> spring = GrowingYear(2026)
    >>> seen = SeenStage("07", spring, date(2026, 4, 5), date(2026, 4, 4))
    >>> usual_leaf([[seen]], GrowingYear(2027), {"07": 7.0, "11": 0.0}, own=True)
    Usual(day_index=102.0, seasons=1, own=True)
    """
    days: dict[int, list[float]] = defaultdict(list)
    for seen in trees:
        best: dict[int, tuple[float, float, float]] = {}
        for each in seen:
            if each.code in to_leaf_days and each.teaches and each.year.label < year.label:
                told, gap = interval(each), to_leaf_days[each.code]
                candidate = (abs(gap), told.variance, told.middle_index + gap)
                label = each.year.label
                best[label] = min(best.get(label, candidate), candidate)
        for label, (_gap, _variance, middle) in best.items():
            days[label].append(middle)
    if not days:
        return None
    means = [sum(each) / len(each) for each in days.values()]
    return Usual(sum(means) / len(means), len(means), own)


def to_leaf(clock: Clock) -> dict[str, float]:
    """Mean days from the stages of opening buds to the first leaf.

    Parameters
    ----------
    clock : Clock
        The spring of a kind.

    Returns
    -------
    dict of str to float
        By stage, from swelling buds to the leaf itself and the one after it, where it is negative.

    Source
    ------
    own reasoning: later stages stand too far off.

    Examples
    --------
    >>> import numpy as np
    >>> bare = Clock(("01", "11"), (), np.zeros((1, 0)), {}, np.array([[0.0, 16.0]]), (), np.zeros((1, 0)))
    >>> to_leaf(bare)
    {'01': 16.0, '11': 0.0}
    """
    mean = clock.gaps.mean(axis=0)
    near = SPRING[: SPRING.index(LEAF) + 2]
    return {
        code: float(mean[clock.column(LEAF)] - mean[k]) for k, code in enumerate(clock.codes) if code in near
    }
