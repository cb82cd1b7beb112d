"""A course lived many times, in blocks that do not depend on each other."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from threading import local
from typing import Any, TypeAlias

import numpy as np

from ringwise.futures.course import MOST_YEARS, Course
from ringwise.futures.feasible import check_feasible
from ringwise.futures.measure_limits import measure_limits
from ringwise.futures.outcome import KEPT, Lives
from ringwise.futures.plan import plan_of
from ringwise.futures.start import Start, graft_pools, open_wounds
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.particles import put_particles
from ringwise.growth.start import Arrays, empty_arrays, start_arrays
from ringwise.growth.step import CAPACITY, light_grid
from ringwise.growth.tries import life_after
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.table import SegmentTable, checked

BLOCK = 25  # futures of one block: a second of work at most, so that a run can be stopped between blocks
MOST_FUTURES = 100_000
_ENGINE = ("growth", "operations", "futures")  # rooms whose compiled code and tables make a future
_COMPILED = ("kernels", "effects", "layout", "effect_codes")  # as the compiler's cache knows them
_PLAIN = frozenset(
    {
        *("biology", "odds", "tries", "try_conditions", "draws", "particles", "start", "step"),
        *("effect_rows", "conflict_costs", "conflicts", "gaps"),
        *("course", "plan", "outline", "look_codes", "outcome", "simulate"),
    }
)

_Lived: TypeAlias = tuple[FloatArray, FloatArray]  # values and drawn inputs of a block
Progress = Callable[[int, int], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class Run:
    """How a course is lived: how often, how long, from which seed and future on, by how many workers."""

    futures: int = 500
    years: int = 20
    seed: int = 1
    workers: int = 2
    first_future: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.futures <= MOST_FUTURES:
            raise out_of_range(_("futures"), str(self.futures), _("1 to {n}").format(n=MOST_FUTURES))
        if not 1 <= self.years <= MOST_YEARS:
            raise out_of_range(_("years"), str(self.years), _("1 to {n}").format(n=MOST_YEARS))
        if not 1 <= self.workers <= 256:
            raise out_of_range(_("workers"), str(self.workers), _("1 to 256"))
        if self.first_future < 0:
            raise out_of_range(_("first future"), str(self.first_future), _("0 or more"))
        if not 0 <= self.seed < 2**63:
            raise out_of_range(_("seed"), str(self.seed), _("0 to below 2^63"))


@lru_cache(maxsize=1)
def engine_version() -> str:
    """A fingerprint of the engine: its sources and parameter tables; stored with every result.

    Returns
    -------
    str
        Twelve hexadecimal digits; replays are exact for the same value only.

    Source
    ------
    own.

    Examples
    --------
    >>> len(engine_version())
    12
    """
    digest = hashlib.sha256()
    for room in _ENGINE:
        folder = resources.files(f"ringwise.{room}")
        for file in sorted(folder.iterdir(), key=lambda each: each.name):
            stem = file.name.removesuffix(".py")
            if file.name != stem and (stem.endswith(_COMPILED) or stem in _PLAIN):
                digest.update(file.read_bytes())
        for file in sorted((folder / "data").iterdir(), key=lambda each: each.name):
            if file.name.endswith(".csv"):
                digest.update(file.read_bytes())
    digest.update(measure_limits().tobytes())
    return digest.hexdigest()[:12]


def parameters_of(start: Start, life: Biology, block: Block) -> FloatArray:
    """The drawn inputs of a block of futures, with the start's aim and graft.

    Parameters
    ----------
    start : Start
        The tree.
    life : Biology
        Its taxon.
    block : Block
        Seed and futures.

    Returns
    -------
    (count, parameters) float
        One row a future, equal for all courses.

    Source
    ------
    own: the draws of `draw_parameters` beside the start's own numbers.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> parameters_of(start, biology(("morus",)), Block(1, 0, 2)).shape == (2, at.PARAMETERS)
    True
    """
    out = with_hands(draw_parameters(life_after(life, start.learned), block, start.vigour))
    if start.particles is not None:
        put_particles(out, start.particles, block)
    out[:, at.P_AIM_HEIGHT] = start.aim.height_mm
    out[:, at.P_AIM_SPREAD] = start.aim.spread_mm
    out[:, at.P_AIM_TIPS] = np.median([_tips(table) for table in start.tables])
    out[:, at.P_HOURS] = load_table("ringwise.futures", "care").get("any", "minutes_ln_sd").number
    if start.graft is not None:
        prior = out[:, at.P_UNION]
        out[:, at.P_GRAFT_NOW] = [start.graft.take_prob(float(prob)) for prob in prior]
    return out


def _tips(table: SegmentTable) -> int:
    return int((np.bincount(table.parent[1:], minlength=table.n) == 0).sum()) if table.n > 1 else 1


def start_trees(start: Start) -> tuple[Arrays, ...]:
    """The start's equally likely trees in the layout of growth.

    Parameters
    ----------
    start : Start
        The tree.

    Returns
    -------
    tuple of Arrays
        One for each table.

    Raises
    ------
    StructureError
        If a table is no tree.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> len(start_trees(Start((stem, stem), Condition(6.0), 2027)))
    2
    """
    trees = []
    held = start.aim.height_mm > 0 and not math.isinf(start.condition.volume_l)
    for table in start.tables:
        arrays = start_arrays(checked(table), start.condition, first_year=start.first_year)
        graft_pools(start, arrays[3])
        open_wounds(start, arrays)
        if held:
            _cut_tips(arrays)
        trees.append(arrays)
    return tuple(trees)


def _cut_tips(arrays: Arrays) -> None:
    """Mark the shoots of last year as cut: routine care has held this tree, as it will from now on."""
    whole = arrays[1]
    tips = (whole[at.CHILDREN] == 0) & (whole[at.FLAGS] & at.DEAD == 0)
    tips[0] = False
    whole[at.FLAGS, tips] |= at.CUT_END


def which_start(seed: int, future: int, trees: int) -> int:
    """Which of the equally likely start trees a future has.

    Parameters
    ----------
    seed, future : int
        The run's seed and the future's number.
    trees : int
        How many there are.

    Returns
    -------
    int
        An index.

    Source
    ------
    own.

    Examples
    --------
    >>> which_start(1, 0, 1)
    0
    """
    draw = float(chance.uniform(seed, future, 0, 0, Purpose.MEASUREMENT, 0)[0])
    return min(int(draw * trees), trees - 1)


class Worker(local):
    """Room of one thread: two trees and a light grid, used again for each future."""

    def __init__(self) -> None:
        self.trees = (empty_arrays(CAPACITY), empty_arrays(CAPACITY))
        self.grid = light_grid()


def _live_block(
    block: Block, start: Start, life: Biology, plan: tuple[Any, ...], years: int, room: Worker
) -> _Lived:
    from ringwise.futures import kernels

    starts = start_trees(start)
    parameters = parameters_of(start, life, block)
    values = np.zeros((block.count, years + 1, KEPT))
    for row in range(block.count):
        future = block.first + row
        first = starts[which_start(block.seed, future, len(starts))]
        kernels.live(room.trees, first, parameters[row], (block.seed, future), plan, room.grid, values[row])
    return values, parameters


def simulate(
    start: Start,
    course: Course,
    life: Biology,
    run: Run,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Lives:
    """Live a course many times.

    Parameters
    ----------
    start : Start
        The tree as it is known.
    course : Course
        What is done.
    life : Biology
        Its taxon.
    run : Run
        How often, how long, seed, workers, first future.
    progress : callable, optional
        Told (futures done, futures in all) after each block.
    cancelled : callable, optional
        Asked between blocks; if it says so, the blocks lived so far are handed back as incomplete.

    Returns
    -------
    Lives
        The same for any number of workers; a future depends on the seed and its number alone.

    Raises
    ------
    NotReadyError
        If the course cannot be done on this tree.

    Source
    ------
    own: keyed draws; growth as in shinozaki1964, borchert_honda1984, poorter2012.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> lives = simulate(start, Course("accept", "Accept", ""), biology(("morus",)), Run(4, 3, workers=1))
    >>> lives.values.shape[:2]
    (4, 4)
    """
    check_feasible(course, start, life)
    plan = plan_of(course, start, life.keys)
    last = run.first_future + run.futures
    blocks = [
        Block(run.seed, first, min(BLOCK, last - first)) for first in range(run.first_future, last, BLOCK)
    ]
    light_grid()
    room = Worker()
    begun: list[Future[_Lived]] = []  # in the order of the blocks, however they end
    running: set[Future[_Lived]] = set()
    told = 0
    with ThreadPoolExecutor(run.workers) as pool:
        while True:
            stop = cancelled is not None and cancelled()
            # A worker gets its next block as soon as it is free: nobody waits for the slowest.
            while not stop and len(running) < run.workers and len(begun) < len(blocks):
                begun.append(pool.submit(_live_block, blocks[len(begun)], start, life, plan, run.years, room))
                running.add(begun[-1])
            if not running:
                break
            ended, running = wait(running, return_when=FIRST_COMPLETED)
            told += sum(len(each.result()[0]) for each in ended)
            if progress is not None:
                progress(told, run.futures)
    return _lives(course, run, [each.result() for each in begun], len(begun) == len(blocks))


def _lives(course: Course, run: Run, done: Sequence[_Lived], complete: bool) -> Lives:
    values = [each[0] for each in done] or [np.zeros((0, run.years + 1, KEPT))]
    parameters = [each[1] for each in done] or [np.zeros((0, at.PARAMETERS))]
    return Lives(
        course.key,
        run.first_future,
        run.seed,
        engine_version(),
        np.concatenate(values),
        np.concatenate(parameters),
        complete,
    )
