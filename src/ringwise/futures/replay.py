"""One future redrawn from its seed, year by year, as trees that can be looked at."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.futures.course import Course
from ringwise.futures.feasible import check_feasible
from ringwise.futures.outcome import KEPT
from ringwise.futures.plan import plan_of
from ringwise.futures.simulate import Run, Worker, parameters_of, start_trees, which_start
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block
from ringwise.growth.start import table_of
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.table import SegmentTable


def replay(
    start: Start, course: Course, life: Biology, run: Run, *, future: int, at_years: Sequence[int]
) -> list[SegmentTable | None]:
    """A future's tree after given numbers of years.

    Parameters
    ----------
    start, course, life, run
        As given to `simulate`; only the run's seed and years matter.
    future : int
        The future's number.
    at_years : sequence of int
        0 for now, up to the run's years.

    Returns
    -------
    list of SegmentTable or None
        None where the tree is dead by then; otherwise the same tree as in the run.

    Raises
    ------
    RangeError
        If a year is outside the run.

    Source
    ------
    own: the same compiled years from the same keys.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> course, life = Course("accept", "", ""), biology(("morus",))
    >>> trees = replay(start, course, life, Run(4, 3), future=0, at_years=(0, 3))
    >>> [tree is not None for tree in trees]
    [True, True]
    """
    return lived(start, course, life, run, future=future, at_years=at_years)[0]


def replay_both(
    start: Start, course: Course, life: Biology, run: Run, *, future: int, at_years: Sequence[int]
) -> list[tuple[SegmentTable | None, SegmentTable | None]]:
    """As `replay`, with the second tree beside the first: the stump of a layer, the other half of a clump.

    Parameters
    ----------
    start, course, life, run, future, at_years
        As in `replay`.

    Returns
    -------
    list of pairs
        None for a tree that is dead or not there.

    Raises
    ------
    RangeError
        If a year is outside the run.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> course, life = Course("accept", "", ""), biology(("morus",))
    >>> replay_both(start, course, life, Run(4, 3), future=0, at_years=(0,))[0][1] is None
    True
    """
    found, _values = _relived(start, course, life, run, future=future, at_years=at_years)
    return found


def lived(
    start: Start, course: Course, life: Biology, run: Run, *, future: int, at_years: Sequence[int]
) -> tuple[list[SegmentTable | None], FloatArray]:
    """As `replay`, with the future's measures of every year besides.

    Parameters
    ----------
    start, course, life, run, future, at_years
        As in `replay`.

    Returns
    -------
    tuple
        Trees, and (years + 1) x measures.

    Raises
    ------
    RangeError
        If a year is outside the run.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> course, life = Course("accept", "", ""), biology(("morus",))
    >>> lived(start, course, life, Run(4, 3), future=0, at_years=(0,))[1].shape[0]
    4
    """
    found, values = _relived(start, course, life, run, future=future, at_years=at_years)
    return [first for first, _second in found], values


def _relived(
    start: Start, course: Course, life: Biology, run: Run, *, future: int, at_years: Sequence[int]
) -> tuple[list[tuple[SegmentTable | None, SegmentTable | None]], FloatArray]:
    from ringwise.futures import kernels
    from ringwise.futures.measure_kernels import measure

    for year in at_years:
        if not 0 <= year <= run.years:
            raise out_of_range(_("year to draw"), str(year), _("0 to {n}").format(n=run.years))
    check_feasible(course, start, life)
    plan = plan_of(course, start, life.keys)
    parameters = parameters_of(start, life, Block(run.seed, future, 1))[0]
    starts = start_trees(start)
    begins = starts[which_start(run.seed, future, len(starts))]
    room = Worker()
    values = np.zeros((run.years + 1, KEPT))
    found: dict[int, tuple[SegmentTable | None, SegmentTable | None]] = {}
    kernels.begin(room.trees, begins, parameters, (run.seed, future, 0), room.grid)
    for year in range(run.years + 1):
        if year > 0:
            kernels.live_year(room.trees, parameters, (run.seed, future, year - 1), plan, room.grid)
        measure(room.trees[0], room.trees[1], plan[7], values[year])
        if year in at_years:
            alive = [tree[3][at.ALIVE] > 0 and tree[4][0] > 0 for tree in room.trees]
            first, second = (
                table_of(tree, first_year=start.first_year) if lives else None
                for tree, lives in zip(room.trees, alive, strict=True)
            )
            found[year] = first, second
    return [found[year] for year in at_years], values
