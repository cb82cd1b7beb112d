"""What a grower aims at, as weighted measures with ranges, and how far a future meets it; no beauty score.

A measure counts fully inside its range, nothing beyond its ends, and in proportion between. Hard faults
and a lost tree are never averaged away: each kind of fault takes its share of the whole, a dead tree all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.futures.outcome import DERIVED, MEASURES, Lives
from ringwise.kit.errors import InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

SETS = ("meadow", "formal", "fine", "clump", "thicken")
_NO_AIM = {"alive", "graft_state", "layer_state", "hours_h", "fault_bits", "checks_seen", "faults_n"}
AIMED = tuple(name for name in (*MEASURES, *DERIVED) if name not in _NO_AIM)
MOST_WEIGHT = 100.0
_QUESTION = "question:"


@dataclass(frozen=True)
class Wish:
    """One measure that is aimed at: its weight, the range that counts fully and where it counts nothing.

    None: open to that side.
    """

    measure: str
    weight: float = 1.0
    none_below: float | None = None
    full_from: float | None = None
    full_to: float | None = None
    none_above: float | None = None

    def __post_init__(self) -> None:
        if self.measure not in AIMED:
            raise unknown_name(_("measure"), self.measure, AIMED)
        if not 0 < self.weight <= MOST_WEIGHT:
            field = _("weight of {measure}").format(measure=self.measure)
            raise out_of_range(field, f"{self.weight:g}", _("above 0 to {n}").format(n=MOST_WEIGHT))
        if self.full_from is None and self.full_to is None:
            raise MissingFieldError(_("{measure} needs a range, such as 2..5").format(measure=self.measure))
        ends = [each for each in self.corners if each is not None]
        if not all(math.isfinite(each) for each in ends) or ends != sorted(ends):
            raise InputError(
                _("the range of {measure} does not rise: {ends}; give its lower end first").format(
                    measure=self.measure, ends=", ".join(f"{each:g}" for each in ends)
                )
            )

    @property
    def corners(self) -> tuple[float | None, float | None, float | None, float | None]:
        """The four places between which the value rises, stays full and falls."""
        return self.none_below, self.full_from, self.full_to, self.none_above

    def met(self, values: FloatArray) -> FloatArray:
        """Share from 0 to 1 by which values meet the wish; a measure that is not there meets nothing."""
        share = np.ones_like(values, dtype=np.float64)
        if self.full_from is not None:
            share = np.minimum(share, _rise(values, self.none_below, self.full_from))
        if self.full_to is not None:
            falls_to = None if self.none_above is None else -self.none_above
            share = np.minimum(share, _rise(-values, falls_to, -self.full_to))
        return np.where(np.isnan(values), 0.0, share)


def _rise(values: FloatArray, none_below: float | None, full_from: float) -> FloatArray:
    if none_below is None or none_below == full_from:
        return (values >= full_from).astype(np.float64)
    return np.clip((values - none_below) / (full_from - none_below), 0.0, 1.0)


@dataclass(frozen=True)
class Aims:
    """A grower's aims: the set they began from, and its wishes; `own` where the grower stored them."""

    name: str
    wishes: tuple[Wish, ...]
    own: bool = False

    def __post_init__(self) -> None:
        if not self.wishes:
            raise MissingFieldError(_("aims need at least one measure"))
        names = [wish.measure for wish in self.wishes]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise InputError(_("{measure} is aimed at twice; give it once").format(measure=twice))

    @property
    def weights(self) -> FloatArray:
        """Weights that sum to 1."""
        raw = np.array([wish.weight for wish in self.wishes])
        result: FloatArray = raw / raw.sum()
        return result

    def wish(self, measure: str) -> Wish | None:
        """The wish for a measure, None where it is not aimed at."""
        return next((each for each in self.wishes if each.measure == measure), None)


def aim_title(name: str) -> str:
    """What a ready-made set aims at, in words.

    Parameters
    ----------
    name : str
        One of `SETS`; any other is handed back.

    Returns
    -------
    str
        Words.

    Source
    ------
    own.

    Examples
    --------
    >>> aim_title("fine")
    'a small tree with fine twigs'
    """
    words = {
        "meadow": _("a spreading broadleaf as it grows in a meadow"),
        "formal": _("a formal single-line tree"),
        "fine": _("a small tree with fine twigs"),
        "clump": _("a clump of lines from one base"),
        "thicken": _("a trunk to thicken first"),
    }
    return words.get(name, name)


def aim_set(name: str) -> Aims:
    """A ready-made set of aims.

    Parameters
    ----------
    name : str
        One of `SETS`.

    Returns
    -------
    Aims
        As the table has it.

    Raises
    ------
    UnknownNameError
        If there is no such set.

    Source
    ------
    practice: table aims.csv; ranges of the trade, weights are a start to be changed.

    Examples
    --------
    >>> aim_set("thicken").wish("base_gain_ratio").full_from
    1.6
    """
    if name not in SETS:
        raise unknown_name(_("set of aims"), name, SETS)
    return Aims(name, _wishes(name))


def _wishes(key: str) -> tuple[Wish, ...]:
    rows = [row for row in load_rows("ringwise.futures", "aims") if row["aim"] == key]
    ends = ("none_below", "full_from", "full_to", "none_above")
    return tuple(
        Wish(
            row["measure"],
            float(row["weight"]),
            *(float(row[end]) if row[end] else None for end in ends),
        )
        for row in rows
    )


def for_question(aims: Aims, question: str) -> Aims:
    """Aims with what the question itself is about, where they do not weigh it yet.

    Parameters
    ----------
    aims : Aims
        Of the tree.
    question : str
        Such as "base" or "graft".

    Returns
    -------
    Aims
        A grower's own weight for the same measure stays.

    Source
    ------
    practice: rows `question:` of aims.csv.

    Examples
    --------
    >>> [each.measure for each in for_question(aim_set("meadow"), "graft").wishes][-1]
    'graft_mm'
    """
    more = tuple(wish for wish in _wishes(_QUESTION + question) if aims.wish(wish.measure) is None)
    return Aims(aims.name, (*aims.wishes, *more), aims.own)


def weighing(key: str, parameter: str) -> float:
    """A number of the table of weighing.

    Parameters
    ----------
    key, parameter : str
        Of its row.

    Returns
    -------
    float
        Its value.

    Source
    ------
    own: weighing.csv.

    Examples
    --------
    >>> weighing("fault", "keeps")
    0.85
    """
    return load_table("ringwise.futures", "weighing").get(key, parameter).number


def shares_met(lives: Lives, aims: Aims) -> FloatArray:
    """How far each wish is met in each future and year.

    Parameters
    ----------
    lives : Lives
        A course lived.
    aims : Aims
        What is aimed at.

    Returns
    -------
    (futures, years + 1, wishes) float
        0 to 1; a dead tree meets nothing but what its second tree meets.

    Source
    ------
    own: value in straight pieces over a range.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> lives = Lives("a", 0, 1, "x", np.ones((2, 3, KEPT)), np.zeros((2, 1)))
    >>> shares_met(lives, Aims("own", (Wish("tips_n", 1.0, 0.0, 4.0),)))[0, 0].tolist()
    [0.25]
    """
    return np.stack([wish.met(lives.of(wish.measure)) for wish in aims.wishes], axis=-1)


def fault_factor(faults_n: FloatArray) -> FloatArray:
    """What kinds of hard faults leave of the aims met.

    Parameters
    ----------
    faults_n : float array
        Kinds of faults on the tree; NaN for a dead one.

    Returns
    -------
    float array
        1 without a fault, down to the floor.

    Source
    ------
    own: weighing.csv, rows `fault`.

    Examples
    --------
    >>> fault_factor(np.array([0.0, 1.0, 50.0])).tolist()
    [1.0, 0.85, 0.3]
    """
    kept = weighing("fault", "keeps") ** np.nan_to_num(faults_n)
    return np.maximum(kept, weighing("fault", "floor"))


def aims_met(lives: Lives, aims: Aims, weights: Sequence[float] | FloatArray | None = None) -> FloatArray:
    """Share of the aims met in each future and year, hard faults taken off.

    Parameters
    ----------
    lives : Lives
        A course lived.
    aims : Aims
        What is aimed at.
    weights : sequence of float, optional
        Other weights than the grower's, in the order of the wishes; only their ratios matter.

    Returns
    -------
    (futures, years + 1) float
        0 to 1.

    Source
    ------
    own: additive value with penalties; weighing.csv.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> lives = Lives("a", 0, 1, "x", np.ones((2, 3, KEPT)), np.zeros((2, 1)))
    >>> float(aims_met(lives, Aims("own", (Wish("tips_n", 1.0, 0.0, 4.0),)))[0, 0])
    0.2125
    """
    raw = aims.weights if weights is None else np.asarray(weights, dtype=np.float64)
    share = raw / raw.sum()
    met: FloatArray = shares_met(lives, aims) @ share * fault_factor(lives.of("faults_n"))
    return met
