"""All that weighing a turning's courses gives: worths, pairs, other weights, turns, the worth of knowing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ringwise.futures.aims import Aims, shares_met, weighing
from ringwise.futures.course import Course
from ringwise.futures.dominance import NEITHER, dominance
from ringwise.futures.flips import Flip, flips
from ringwise.futures.learning import (
    WaitFromLives,
    input_information,
    perfect_information,
    worth_of_waiting_lived,
)
from ringwise.futures.outcome import Lives
from ringwise.futures.weighing import (
    Field,
    TimeWeights,
    UnderOtherWeights,
    better_frac,
    field_of,
    under_other_weights,
    years_until_met,
)
from ringwise.growth.draws import DRAWN_NAMES
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.types import FloatArray

ALWAYS = "always"


@dataclass(frozen=True)
class CourseWorth:
    """What one course is worth: its band over futures, by horizon, and when the aims are met.

    `until_met_years` holds the years by which 1, 5 and 9 in 10 futures meet them, None for not within the
    run; `never_frac` is the share that does not. Of a separated layer `lost_frac` is of its top alone, and
    `none_left_frac` the share in which the stump is dead as well; None where there never is a stump.
    """

    course: str
    worth: FloatArray
    band: Ranged
    met_by_year: Mapping[int, Ranged]
    until_met_years: tuple[float | None, float | None, float | None]
    never_frac: float
    lost_frac: float
    none_left_frac: float | None = None


@dataclass(frozen=True)
class WeighedPair:
    """Two courses future by future: how often the first is ahead, and which one dominates, if any."""

    first: str
    second: str
    first_better_frac: float
    dominant: str  # key of the course that dominates, or ""
    order: str  # "first", "second" or "none"


@dataclass(frozen=True)
class Wait:
    """Waiting with one course for what it shows, instead of beginning the other one now."""

    keep: str
    act: str
    found: WaitFromLives


@dataclass(frozen=True)
class Weighed:
    """A turning weighed by its aims; nothing in it is a winner: weights and ranges are the grower's."""

    aims: Aims
    time: TimeWeights
    horizons: tuple[int, ...]
    years: int
    today: FloatArray  # share of each wish met now
    today_frac: float
    faults_today_n: float
    by_wish: Mapping[str, FloatArray]
    courses: tuple[CourseWorth, ...]
    pairs: tuple[WeighedPair, ...]
    other: UnderOtherWeights
    flips: tuple[Flip, ...]
    knowing_all: float
    knowing: Mapping[str, float]
    waits: tuple[Wait, ...]

    def worth(self, course: str) -> CourseWorth:
        """What a course is worth."""
        return next(each for each in self.courses if each.course == course)

    @property
    def by_worth(self) -> tuple[CourseWorth, ...]:
        """The courses by their mean worth, the highest first."""
        return tuple(sorted(self.courses, key=lambda each: -float(each.worth.mean())))


def weigh(
    courses: Sequence[Course],
    lives: Mapping[str, Lives],
    aims: Aims,
    time: TimeWeights,
    horizons: Sequence[int],
) -> Weighed:
    """Weigh courses by a grower's aims.

    Parameters
    ----------
    courses : sequence of Course
        What was lived.
    lives : mapping of str to Lives
        Each course lived, with the same seed and futures.
    aims : Aims
        What is aimed at.
    time : TimeWeights
        Weights of early, middle and late years.
    horizons : sequence of int
        Years ahead that count.

    Returns
    -------
    Weighed
        All of it.

    Raises
    ------
    RangeError
        If the courses were not lived alike.

    Source
    ------
    own: see `weighing`, `dominance`, `flips` and `learning`.

    Examples
    --------
    >>> from ringwise.futures.aims import Wish
    >>> from ringwise.futures.outcome import KEPT
    >>> from ringwise.growth import layout as at
    >>> one = Lives("a", 0, 1, "x", np.ones((40, 6, KEPT)), np.zeros((40, at.PARAMETERS)))
    >>> aims = Aims("own", (Wish("tips_n", 1.0, 0.0, 2.0),))
    >>> weighed = weigh((Course("a", "", ""),), {"a": one}, aims, TimeWeights(1, 1, 1), (1, 5))
    >>> round(weighed.worth("a").band.median, 3)
    0.425
    """
    first = next(iter(lives.values()))
    kept = tuple(sorted({min(year, first.years) for year in horizons if year > 0}))
    field = field_of(lives, aims, kept, time)
    worths = {key: field.worth(key) for key in lives}
    pairs = tuple(_pair(a, b, worths) for a, b in combinations(lives, 2))
    table = np.stack(list(worths.values()), axis=1)
    order = np.argsort(-table.mean(axis=0), kind="stable")
    ahead = tuple(lives)[order[0]]
    knowing = {
        name: input_information(first.parameters[:, index], table) for index, name in DRAWN_NAMES.items()
    }
    shares = field.shares[first.course]
    return Weighed(
        aims=aims,
        time=time,
        horizons=kept,
        years=first.years,
        today=_unfaulted_today(first, aims),
        today_frac=float((shares[:, 0] @ field.weights).mean()),
        faults_today_n=float(np.nan_to_num(first.of("faults_n")[:, 0]).mean()),
        by_wish=dict(zip(field.courses, field.by_wish, strict=True)),
        courses=tuple(_course_worth(field, key, worths[key], lives[key], kept) for key in lives),
        pairs=pairs,
        other=under_other_weights(field, first.seed),
        flips=_turns(first.parameters, worths, ahead),
        knowing_all=perfect_information(table),
        knowing=dict(sorted(knowing.items(), key=lambda each: -each[1])),
        waits=_waits(courses, lives, field, worths),
    )


def _turns(parameters: FloatArray, worths: Mapping[str, FloatArray], ahead: str) -> tuple[Flip, ...]:
    """Inputs that turn the preference for the course with the highest mean against any other, each once."""
    found = [
        turn
        for key in worths
        if key != ahead
        for turn in flips(parameters, worths[ahead], worths[key], (ahead, key))
    ]
    nearest: dict[str, Flip] = {}
    for turn in sorted(found, key=lambda each: each.distance):
        nearest.setdefault(turn.input, turn)
    return tuple(nearest.values())


def _unfaulted_today(lives: Lives, aims: Aims) -> FloatArray:
    return np.asarray(shares_met(lives, aims)[:, 0].mean(axis=0))


def _pair(first: str, second: str, worths: Mapping[str, FloatArray]) -> WeighedPair:
    a, b = worths[first], worths[second]
    ahead, behind = dominance(a, b), dominance(b, a)
    order = ahead if ahead != NEITHER else behind
    dominant = first if ahead != NEITHER else second if behind != NEITHER else ""
    return WeighedPair(first, second, better_frac(a, b), dominant, order)


def _course_worth(
    field: Field, key: str, worth: FloatArray, lives: Lives, horizons: tuple[int, ...]
) -> CourseWorth:
    met = field.met(key)
    until = years_until_met(met, weighing("met", "from"))
    quantiles = [float(np.quantile(until, share, method="higher")) for share in (0.1, 0.5, 0.9)]
    shown = [each if np.isfinite(each) else None for each in quantiles]
    dead, second = lives.alive[:, -1] <= 0, lives.of("second_kept") > 0
    return CourseWorth(
        course=key,
        worth=worth,
        band=ranged(worth),
        met_by_year={year: ranged(met[:, year]) for year in (0, *horizons)},
        until_met_years=(shown[0], shown[1], shown[2]),
        never_frac=float(np.isinf(until).mean()),
        lost_frac=float(dead.mean()),
        none_left_frac=float((dead & ~second[:, -1]).mean()) if second.any() else None,
    )


def first_sign_years(course: Course) -> int | None:
    """When a course first waits for something seen: the first year in which a step hangs on a check.

    Parameters
    ----------
    course : Course
        Any.

    Returns
    -------
    int or None
        Years ahead; None where no step hangs on anything.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.catalogue import ready_course
    >>> first_sign_years(ready_course("keep")), first_sign_years(ready_course("accept"))
    (1, None)
    """
    hanging = [step.after_years for step in course.steps if step.check or step.condition != ALWAYS]
    return min(hanging, default=None)


def _first_work_years(course: Course) -> float:
    """When a course first does what cannot be undone; routine looks do not count."""
    done = [step.after_years for step in course.steps if not step.operation.startswith("check")]
    return min(done, default=np.inf)


def _waits(
    courses: Sequence[Course], lives: Mapping[str, Lives], field: Field, worths: Mapping[str, FloatArray]
) -> tuple[Wait, ...]:
    """Every course that waits for a sign before it does anything, against each that acts before that."""
    out = []
    for keep in courses:
        years = first_sign_years(keep)
        if years is None or not 0 < years < field.year_weights.size - 1 or _first_work_years(keep) < years:
            continue
        seen = _seen(lives[keep.key], years)
        for act in courses:
            if act.key == keep.key or not _first_work_years(act) < years:
                continue
            late = _begun_late(field, keep.key, act.key, years)
            now = max(float(worths[keep.key].mean()), float(worths[act.key].mean()))
            found = worth_of_waiting_lived(worths[keep.key], late, now, seen, years)
            out.append(Wait(keep.key, act.key, found))
    return tuple(sorted(out, key=lambda each: -each.found.now))


def _seen(lives: Lives, years: int) -> FloatArray:
    """What each future shows by the end of the year of the check: named checks, ring and graft."""
    names = ("checks_seen", "layer_state", "graft_state")
    return np.stack([lives.of(name)[:, years + 1] for name in names], axis=1)


def _begun_late(field: Field, keep: str, act: str, years: int) -> FloatArray:
    """Worth of a course begun so many years later: first years of the other one, then its own."""
    waited, done = field.met(keep), field.met(act)
    met = np.concatenate([waited[:, : years + 1], done[:, 1 : done.shape[1] - years]], axis=1)
    return np.asarray(met @ field.year_weights)
