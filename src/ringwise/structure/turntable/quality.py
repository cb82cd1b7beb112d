"""How good a reconstruction is: what the silhouettes show of it, and what it shows of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ringwise.kit.errors import RingwiseError

Progress = Callable[[float, str], bool]


class CancelledError(RingwiseError):
    """The work was stopped on wish; nothing was kept."""


@dataclass(frozen=True)
class Refused:
    """A view that was not used: its name, a code, why, and what to do."""

    name: str
    code: str
    why: str
    way_out: str


@dataclass(frozen=True)
class Warned:
    """A warning: a code for programs, a line for people."""

    code: str
    words: str


@dataclass(frozen=True)
class ViewQuality:
    """One view: share of its wood that the tree covers, share of the tree that lies on wood."""

    name: str
    covered_frac: float
    true_frac: float


@dataclass(frozen=True)
class Quality:
    """What a reconstruction rests on, in all and for each view.

    `tips_low` and `tips_high` bound the number of tips; `volume_cm3` is wood outside the parents; wood
    thinner than `least_diameter_mm` cannot be seen on these photos.
    """

    covered_frac: float
    true_frac: float
    views: tuple[ViewQuality, ...]
    refused: tuple[Refused, ...]
    ghosts_cut: int
    px_per_mm: float
    least_diameter_mm: float
    tips: int
    tips_low: int
    tips_high: int
    total_length_mm: float
    volume_cm3: float
    warnings: tuple[Warned, ...]
