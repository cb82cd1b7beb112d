"""The usual day: the mean of own past springs, beside which every forecast is shown."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from ringwise.kit.days import GrowingYear
from ringwise.phenology.seen import SeenStage, interval

LEAF = "11"


@dataclass(frozen=True)
class Usual:
    """Mean day of leaf unfolding over past seasons: of the tree itself, or of its kind in the yard."""

    day_index: float
    seasons: int
    own: bool


def usual_leaf(trees: Sequence[Sequence[SeenStage]], year: GrowingYear, *, own: bool) -> Usual | None:
    """The mean day on which leaves unfolded in past growing years.

    Parameters
    ----------
    trees : sequence of sequences of SeenStage
        What was seen on each tree: one tree, or all of a kind.
    year : GrowingYear
        The year of the forecast; earlier ones count.
    own : bool
        Whether it is the tree's own mean.

    Returns
    -------
    Usual, or None
        Seasons count alike, trees count alike within a season; None where the stage itself was never dated
        on a healthy tree.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> from datetime import date
    >>> spring = GrowingYear(2026)
    >>> seen = SeenStage("11", spring, date(2026, 4, 12), date(2026, 4, 11))
    >>> usual_leaf([[seen]], GrowingYear(2027), own=True)
    Usual(day_index=102.0, seasons=1, own=True)
    """
    days: dict[int, list[float]] = defaultdict(list)
    for seen in trees:
        best: dict[int, tuple[float, float]] = {}
        for each in seen:
            if each.code == LEAF and each.teaches and each.year.label < year.label:
                told = interval(each)
                label = each.year.label
                best[label] = min(best.get(label, (float("inf"), 0.0)), (told.variance, told.middle_index))
        for label, (_variance, middle) in best.items():
            days[label].append(middle)
    if not days:
        return None
    means = [sum(each) / len(each) for each in days.values()]
    return Usual(sum(means) / len(means), len(means), own)
