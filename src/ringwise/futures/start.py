"""What a run starts from: equally likely trees, how the tree stands, what it aims at, its graft."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.futures.course import Course
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.odds import odds_table, take_after_signs
from ringwise.growth.start import Condition
from ringwise.growth.step import CAPACITY
from ringwise.growth.tries import Learned
from ringwise.kit.errors import MissingFieldError, NotReadyError, out_of_range
from ringwise.kit.show import length
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.operations.effect_codes import EFFECTS
from ringwise.structure.table import Flag, SegmentTable


@dataclass(frozen=True)
class Aim:
    """The outline that routine care holds; zero height means that nobody cuts back."""

    height_mm: float = 0.0
    spread_mm: float = 0.0


@dataclass(frozen=True)
class GraftNow:
    """A graft that is on the tree: where, how long, and the pairs of thickness read at its checks."""

    height_mm: float
    clock: float
    attached_years: float
    before_mm: tuple[float, ...] = ()
    after_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if len(self.before_mm) != len(self.after_mm):
            raise MissingFieldError(_("a graft check needs a thickness before and one beyond the joint"))
        if not self.attached_years >= 0:
            raise out_of_range(_("years of a graft"), f"{self.attached_years}", _("0 or more"))

    @property
    def signs(self) -> tuple[bool, ...]:
        """For each check whether the donor was thicker beyond the joint, outside calliper error."""
        error_mm = odds_table().get("any", "calliper_error").number
        pairs = zip(self.before_mm, self.after_mm, strict=True)
        return tuple(after - before > error_mm for before, after in pairs)

    def take_prob(self, prior_prob: float) -> float:
        """Chance that it has taken or will, after its checks."""
        return take_after_signs(prior_prob, self.signs)


@dataclass(frozen=True)
class Start:
    """The tree as it is known: several equally likely tables, and what stands beside them."""

    tables: tuple[SegmentTable, ...]
    condition: Condition
    first_year: int
    size_class: str = "M"
    aim: Aim = Aim()
    graft: GraftNow | None = None
    vigour: VigourPosterior | None = None
    conifer: bool = False
    learned: Learned | None = None

    def __post_init__(self) -> None:
        if not self.tables:
            raise MissingFieldError(_("a run of futures needs at least one tree"))
        for table in self.tables:
            if table.n > CAPACITY // 2:
                raise out_of_range(
                    _("segments of the tree"), str(table.n), _("at most {n}").format(n=CAPACITY // 2)
                )


def check_feasible(course: Course, start: Start, life: Biology) -> None:
    """Refuse a course that cannot be done on this tree, in one line.

    Parameters
    ----------
    course : Course
        The course.
    start : Start
        The tree.
    life : Biology
        Its taxon.

    Raises
    ------
    NotReadyError
        For a layer above which or below which nothing would live, a ring at a graft union, or graft
        steps on a tree without a graft site.

    Source
    ------
    practice: a layer needs live growth on both sides, except at the base, where the old roots are given up.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> start = Start((stem,), Condition(6.0), 2027)
    >>> check_feasible(Course("accept", "Accept", ""), start, biology(("morus",)))
    """
    for step in course.steps:
        if step.operation in ("air_layer", "ground_layer"):
            _check_ring(step.operation, step.height_mm, start, life)
        if step.operation in ("chop", "prune") and not 0 < step.height_mm < _height_mm(start.tables[0]):
            raise NotReadyError(
                _("a cut at {height} does not meet the tree").format(height=length(step.height_mm))
            )
        if step.operation in ("approach_graft", "sever_graft", "abandon_graft") and start.graft is None:
            raise NotReadyError(_("this tree has no graft site on record; log one first"))
        if EFFECTS[step.operation] == EFFECTS["lift"] and not math.isinf(start.condition.volume_l):
            raise NotReadyError(_("the tree stands in a pot; only a tree in the ground can be lifted"))


def _height_mm(table: SegmentTable) -> float:
    return float(table.end_mm[:, 2].max())


def _check_ring(operation: str, height_mm: float, start: Start, life: Biology) -> None:
    table = start.tables[0]
    if not 0 < height_mm < _height_mm(table):
        raise NotReadyError(_("a ring at {height} does not meet the trunk").format(height=length(height_mm)))
    near = abs(table.start_mm[:, 2] - height_mm) < max(10.0, float(table.diameter_mm[0]) / 2)
    if bool((near & ((table.flags & Flag.JOINED) > 0)).any()):
        raise NotReadyError(
            _("a ring at {height} would lie on a graft union").format(height=length(height_mm))
        )
    if operation == "ground_layer":
        return
    below = table.end_mm[:, 2] < height_mm
    leaf = bool((below & (table.leaf_cm2 > 0)).any())
    buds = bool((below & (table.buds > 0)).any())
    if start.conifer and not leaf:
        raise NotReadyError(
            _("a layer at {height} leaves no live green below it; the stump of a conifer would die").format(
                height=length(height_mm)
            )
        )
    if not leaf and not buds:
        raise NotReadyError(
            _("a layer at {height} leaves no live branch and no bud below it").format(
                height=length(height_mm)
            )
        )


def graft_pools(start: Start, pools: FloatArray) -> None:
    """Put the graft on record into the pools of a start tree.

    Parameters
    ----------
    start : Start
        The tree.
    pools : (pools,) float
        Changed in place, in the order of the layout.

    Source
    ------
    own.

    Examples
    --------
    >>> import numpy as np
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> pools = np.zeros(at.POOLS)
    >>> graft_pools(Start((stem,), Condition(6.0), 2027, graft=GraftNow(120.0, 3.0, 1.8)), pools)
    >>> bool(pools[at.GRAFT_STATE] == at.CALLUS)
    True
    """
    if start.graft is None:
        return
    pools[at.GRAFT_HEIGHT] = start.graft.height_mm
    pools[at.GRAFT_AZIMUTH] = start.graft.clock / 12.0 * 2.0 * math.pi
    pools[at.GRAFT_YEARS] = start.graft.attached_years
    pools[at.GRAFT_STATE] = at.CALLUS
