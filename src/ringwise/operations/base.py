"""What every operation must say of itself, and the contract that each is held to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ringwise.kit.errors import ParameterError, unknown_name
from ringwise.kit.ranged import Ranged
from ringwise.kit.words import _

GROUPS = ("G1", "G2", "G3", "G4", "G5", "G6", "G7")
POT_SIZES = ("XS", "S", "M", "L", "XL")  # by litres of substrate
SIZES = (*POT_SIZES, "F")  # F stands in the ground; work that needs a pot has no minutes there
REVERSIBILITY = ("R0", "R1", "R2", "R3")  # trivial, same season, two to ten years, never
NOT_DONE = "x"  # the opening code of a span that says "not done on this group"
ROOTS_ACTIVE = "RA"  # white tips seen at a drain hole, or the pot dries clearly faster again


@dataclass(frozen=True)
class StageSpan:
    """When an operation is done: from an opening to a closing bud or leaf state, both first buds.

    `closes` is the last state that still counts; the span ends when that state is passed. `hard` says
    that passing `hard_closes` ends it for good; `lead_weeks` opens it so long before `opens` is reached;
    `before_frost_weeks` closes it so long before the first autumn frost, if that comes sooner. An empty
    `opens` means a state that no bud shows (warm nights, flower over): `sign` says what to look for.
    """

    operation: str
    key: str
    opens: str
    closes: str
    hard_closes: str
    lead_weeks: float
    before_frost_weeks: float | None
    sign: str
    closes_by: str
    note: str
    basis: str
    source: str
    read: bool

    @property
    def done(self) -> bool:
        """Whether the operation is done at all on this group or species."""
        return self.opens != NOT_DONE

    @property
    def hard(self) -> bool:
        """Whether there is a state after which the work is excluded, not only past its best."""
        return bool(self.hard_closes)


@dataclass(frozen=True)
class Step:
    """One step of the work; `critical` steps run against the clock, `needs` names what lies ready."""

    text: str
    critical: bool = False
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kit:
    """What lies ready: tools for roots and tools for branches are kept apart."""

    roots: tuple[str, ...]
    branches: tuple[str, ...]
    materials: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """A branch of the sheet: what to do when something is met during the work."""

    what: str
    do: tuple[str, ...]


@dataclass(frozen=True)
class Aftercare:
    """One duty after the work. It ends by a sign; days only say when to start looking.

    `phase` is bare (before the first unfolded leaf), leaf (from it on) or any. `variant` is light, heavy
    or any. All signs of `ends` must be seen. `least_days` and `most_days` are the usual length; no duty
    ends by them alone, nor before `least_days`.
    """

    variant: str
    phase: str
    care: str
    do: str
    starts: str
    ends: tuple[str, ...]
    least_days: float | None
    most_days: float | None
    look_days: tuple[int, ...]
    basis: str
    source: str


@dataclass(frozen=True)
class Hazard:
    """A caution to tree or person, with who says so and when it applies.

    `applies` is always, or "material:NAME", "species:KEY", "weight".
    """

    text: str
    to_whom: str
    authority: str
    applies: str = "always"


@dataclass(frozen=True)
class Operation:
    """One operation, with all that the contract asks for; `noun` is its name in a sentence."""

    key: str
    code: str
    name: str
    noun: str
    reversibility: str
    vigour_min: int
    elective: bool
    root_work: bool
    conflict_class: str
    two_people_from: str
    why: str
    preconditions: tuple[str, ...]
    not_when: tuple[str, ...]
    steps: tuple[Step, ...]
    kit: Kit
    checks: tuple[str, ...]
    found: tuple[Found, ...]
    aftercare: tuple[Aftercare, ...]
    judge: str
    risk: str
    hazards: tuple[Hazard, ...]
    record: tuple[str, ...]
    minutes: Mapping[str, Ranged]
    spans: Mapping[str, tuple[StageSpan, ...]]

    @property
    def irreversible(self) -> bool:
        """Whether no later season undoes it."""
        return self.reversibility == "R3"

    def minutes_of(self, size_class: str) -> Ranged:
        """Working time for one skilled person at a size of pot, in minutes, with its 80 % band."""
        if size_class not in self.minutes:
            raise unknown_name(_("size class"), size_class, self.minutes)
        return self.minutes[size_class]


def _lacks(operation: Operation) -> list[str]:
    wanted = {
        "why": operation.why,
        "steps": operation.steps,
        "checks": operation.checks,
        "preconditions": operation.preconditions,
        "not_when": operation.not_when,
        "aftercare": operation.aftercare,
        "judge": operation.judge,
        "risk": operation.risk,
        "hazards": operation.hazards,
        "record": operation.record,
        "conflict_class": operation.conflict_class,
    }
    lacking = [name for name, value in wanted.items() if not value]
    lacking += [f"minutes for {size}" for size in POT_SIZES if size not in operation.minutes]
    lacking += [f"timing for {group}" for group in GROUPS if not operation.spans.get(group)]
    lacking += [f"step {i} without text" for i, step in enumerate(operation.steps) if not step.text.strip()]
    return lacking


def checked(operation: Operation) -> Operation:
    """The operation itself, if it fulfils the contract of the catalogue.

    Parameters
    ----------
    operation : Operation
        As read from the catalogue.

    Returns
    -------
    Operation
        The same value.

    Raises
    ------
    ParameterError
        If it lacks a part, names an unknown reversibility, or a duty of aftercare ends by no sign.

    Source
    ------
    own: own reasoning; the contract that a sheet at the bench needs.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> checked(OPERATIONS["repot"]).name
    'Repot'
    """
    lacking = _lacks(operation)
    if operation.reversibility not in REVERSIBILITY:
        lacking.append(f"a known reversibility (has {operation.reversibility})")
    if not 0 <= operation.vigour_min <= 5:
        lacking.append("a least vigour of 0 to 5")
    lacking += [f"an ending sign for {duty.care}" for duty in operation.aftercare if not duty.ends]
    lacking += [f"an authority for: {hazard.text}" for hazard in operation.hazards if not hazard.authority]
    if lacking:
        raise ParameterError(f"operation {operation.key} lacks {', '.join(lacking)}")
    return operation
