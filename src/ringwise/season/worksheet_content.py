"""What stands on a worksheet: plain values without any layout; every figure keeps its chain."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from ringwise.kit.errors import unknown_name
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.operations.base import Found, Hazard, Step
from ringwise.records.model import Hole


@dataclass(frozen=True)
class Figure:
    """A printed number with its unit: what it is, a remark, and where it comes from."""

    key: str
    label: str
    value: str
    remark: str
    trace: Trace


@dataclass(frozen=True)
class Part:
    """One component of the mix to make: by volume and in whole scoops."""

    name: str
    value: str
    scoops: int
    trace: Trace


@dataclass(frozen=True)
class Cut:
    """Pieces to cut beforehand: how many, of what, how long or wide."""

    count: int
    what: str
    size: str
    remark: str
    trace: Trace


@dataclass(frozen=True)
class WhyNow:
    """Why the work is due and how long its window stays open; `state` as in a window."""

    reason: str
    state: str
    headline: str
    lines: tuple[str, ...]
    blocked_by: tuple[str, ...]
    trace: Trace | None


@dataclass(frozen=True)
class Duty:
    """One duty of aftercare and the sign that ends it."""

    do: str
    ends: str


@dataclass(frozen=True)
class Phase:
    """One phase of aftercare."""

    title: str
    duties: tuple[Duty, ...]


@dataclass(frozen=True)
class Closed:
    """An open decision on the tree, and what this work does to its courses."""

    question: str
    effects: tuple[str, ...]


@dataclass(frozen=True)
class PotDrawing:
    """Numbers for a plan seen from above and a cut from the left to the right, all in mm.

    x runs to the right and y to the back from the middle of the pot; heights from the inside floor.
    """

    shape: str
    length_mm: float
    width_mm: float
    depth_mm: float
    floor_length_mm: float
    holes: tuple[Hole, ...]
    mesh_mm: tuple[float, ...]
    ties: tuple[tuple[float, float, float, float], ...]
    trunk_mm: float
    base_drop_mm: float
    substrate_mm: float
    dressing_mm: float
    ball_length_mm: float
    ball_width_mm: float
    ball_height_mm: float
    hollow_radius_mm: float
    hollow_depth_mm: float
    behind_mm: float = 0.0  # how far behind the middle the trunk stands


@dataclass(frozen=True)
class Ready:
    """What must lie ready before the tree comes out of its pot; `plan` is None where no pot is involved."""

    pot: str
    figures: tuple[Figure, ...] = ()
    parts: tuple[Part, ...] = ()
    scoop: str = ""
    grain: str = ""
    cuts: tuple[Cut, ...] = ()
    notes: tuple[str, ...] = ()
    dome_choices: tuple[tuple[str, str], ...] = ()
    drawing: PotDrawing | None = None
    traces: Mapping[str, Trace] = field(default_factory=dict, repr=False)


@dataclass(frozen=True)
class Worksheet:
    """All that one operation on one tree needs, on one page."""

    tree: str
    name: str
    species: str
    operation: str
    code: str
    made_on: date
    facts: tuple[str, ...]
    why_now: WhyNow
    ready: Ready
    tools_roots: tuple[str, ...]
    tools_branches: tuple[str, ...]
    materials: tuple[str, ...]
    last_time: tuple[str, ...]
    position: tuple[str, ...]
    steps: tuple[Step, ...]
    found: tuple[Found, ...]
    closes: tuple[Closed, ...]
    cautions: tuple[Hazard, ...]
    lifting: str
    people: int
    minutes: Figure
    checks: tuple[str, ...]
    aftercare: tuple[Phase, ...]
    judge: str
    record: tuple[str, ...]
    lift_note: str = ""

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure with a chain that is no piece to cut."""
        parts = tuple(
            Figure(f"part {each.name}", each.name, each.value, "", each.trace) for each in self.ready.parts
        )
        return (*self.ready.figures, *parts, self.minutes)

    def why(self, key: str) -> Trace:
        """The chain of one figure by its key; cuts by what they are; the pot's own by its arithmetic."""
        known = dict(self.ready.traces)
        known |= {figure.key: figure.trace for figure in self.figures}
        known |= {cut.what: cut.trace for cut in self.ready.cuts}
        if self.why_now.trace is not None:
            known["window"] = self.why_now.trace
        if key not in known:
            raise unknown_name(_("figure of the worksheet"), key, known)
        return known[key]
