"""What a run starts from: equally likely trees, how the tree stands, what it aims at, its graft."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.calibration import VigourPosterior
from ringwise.growth.odds import odds_table, take_after_signs
from ringwise.growth.particles import Particles
from ringwise.growth.start import Arrays, Condition
from ringwise.growth.step import CAPACITY
from ringwise.growth.tries import Learned
from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.table import SegmentTable


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
class OpenWound:
    """An open wound of the trunk: its height above the soil, the width of its bare wood, since when."""

    height_mm: float
    width_mm: float
    open_years: float

    def __post_init__(self) -> None:
        if not self.width_mm > 0:
            raise out_of_range(_("width of a wound"), f"{self.width_mm:g} mm", _("above 0 mm"))
        if not self.open_years >= 0:
            raise out_of_range(_("years of a wound"), f"{self.open_years:g}", _("0 or more"))


@dataclass(frozen=True)
class Start:
    """The tree as it is known: several equally likely tables, and what stands beside them.

    `buds_seen` tells that dormant buds on old wood were seen; a tape does not tell of them.
    """

    tables: tuple[SegmentTable, ...]
    condition: Condition
    first_year: int
    size_class: str = "M"
    aim: Aim = Aim()
    graft: GraftNow | None = None
    vigour: VigourPosterior | None = None
    conifer: bool = False
    learned: Learned | None = None
    buds_seen: bool = False
    particles: Particles | None = None
    wounds: tuple[OpenWound, ...] = ()

    def __post_init__(self) -> None:
        if not self.tables:
            raise MissingFieldError(_("a run of futures needs at least one tree"))
        for table in self.tables:
            if table.n > CAPACITY // 2:
                raise out_of_range(
                    _("segments of the tree"), str(table.n), _("at most {n}").format(n=CAPACITY // 2)
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


def open_wounds(start: Start, arrays: Arrays) -> None:
    """Put the open wounds on record into a start tree: each on the piece of trunk at its height.

    Parameters
    ----------
    start : Start
        The tree.
    arrays : Arrays
        Changed in place, in the layout of growth. Of two wounds on one piece the wider one counts; one
        above the trunk's end is left out.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.start import start_arrays
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=400.0, diameter_mm=30.0)
    >>> start = Start((stem,), Condition(6.0), 2027, wounds=(OpenWound(120.0, 15.0, 2.0),))
    >>> arrays = start_arrays(stem, start.condition, first_year=2027)
    >>> open_wounds(start, arrays)
    >>> float(arrays[0][at.WOUND, 0])
    15.0
    """
    real, whole = arrays[0], arrays[1]
    trunk = np.nonzero(whole[at.FLAGS] & at.TRUNK)[0]
    for wound in start.wounds:
        above = trunk[real[at.END_Z, trunk] >= wound.height_mm]
        if not len(above):
            continue
        row = above[np.argmin(real[at.END_Z, above])]
        if wound.width_mm > real[at.WOUND, row]:
            real[at.WOUND, row], real[at.WOUND_YEARS, row] = wound.width_mm, wound.open_years
