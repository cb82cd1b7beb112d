"""Which uncertain input would turn the preference between two courses, and at which value.

The futures lived already are weighted anew, so that an input has another mean: exponential tilting, which
bends their weights no more than that mean asks for. No future is lived again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.futures.aims import weighing
from ringwise.growth.draws import DRAWN_NAMES
from ringwise.kit.types import FloatArray

CHANCES = frozenset({"rooting", "severed_survival", "root_sector", "union"})
_STEP, _STEPS = 0.1, 80  # how the tilt is searched, in standard deviations of the input
_HALVINGS = 50
_SURE_SD = 3.0  # a weaker link between input and difference may be luck


@dataclass(frozen=True)
class Flip:
    """An input that turns the preference: `above` and `below` are the courses preferred on either side.

    `now` is its mean over the futures, `at` the mean at which both courses are worth the same.
    """

    input: str
    above: str
    below: str
    now: float
    at: float
    futures_n: float  # how many futures the reweighted ones are worth

    @property
    def distance(self) -> float:
        """How far off the turn lies, as a share of its present value (of vigour in its logarithm)."""
        scale = 1.0 if self.input == "vigour" else max(abs(self.now), 1e-12)
        return abs(self.at - self.now) / scale


def tilted(x: FloatArray, tilt: float) -> FloatArray:
    """Weights of futures under which an input has a higher or lower mean.

    Parameters
    ----------
    x : (n,) float
        The input, in standard deviations.
    tilt : float
        0 for equal weights.

    Returns
    -------
    (n,) float
        They sum to 1.

    Source
    ------
    csiszar1975: the least change of a distribution for a given mean, from memory.

    Examples
    --------
    >>> tilted(np.array([-1.0, 1.0]), 0.0).tolist()
    [0.5, 0.5]
    """
    raw = np.exp(tilt * x - (tilt * x).max())
    return np.asarray(raw / raw.sum())


def worth_of_weights(weights: FloatArray) -> float:
    """How many equally weighted futures unequally weighted ones are worth.

    Parameters
    ----------
    weights : (n,) float
        They sum to 1.

    Returns
    -------
    float
        At most n.

    Source
    ------
    kish1965: effective sample size, from memory.

    Examples
    --------
    >>> worth_of_weights(np.full(4, 0.25))
    4.0
    """
    return 1.0 / float((weights**2).sum())


def turning_value(
    x: FloatArray, difference: FloatArray, least_futures_n: float
) -> tuple[float, float] | None:
    """The mean of an input at which the mean of a difference is 0.

    Parameters
    ----------
    x, difference : (n,) float
        The input and the paired difference of each future.
    least_futures_n : float
        Reweighted futures must be worth this many.

    Returns
    -------
    (float, float) or None
        The mean of the input nearest to its present one, and the futures' worth; None where it lies too far
        out for these futures, or input and difference have no link beyond luck.

    Source
    ------
    own: tilting step by step to either side, then halving.

    Examples
    --------
    >>> x = np.linspace(0.0, 1.0, 2001)
    >>> round(turning_value(x, x - 0.4, 40.0)[0], 6)
    0.4
    """
    spread = float(x.std())
    if spread <= 0 or float(difference.std()) <= 0:
        return None
    z = (x - x.mean()) / spread
    link = float((z * (difference - difference.mean())).mean() / difference.std())
    if abs(link) * math.sqrt(x.size) < _SURE_SD:
        return None
    side = -math.copysign(1.0, link * float(difference.mean()))
    sign = math.copysign(1.0, float(difference.mean()))
    inner = 0.0
    for step in range(1, _STEPS + 1):
        outer = side * step * _STEP
        weights = tilted(z, outer)
        if worth_of_weights(weights) < least_futures_n:
            return None
        if sign * float(weights @ difference) <= 0:
            break
        inner = outer
    else:
        return None
    for _halving in range(_HALVINGS):
        middle = (inner + outer) / 2.0
        if sign * float(tilted(z, middle) @ difference) > 0:
            inner = middle
        else:
            outer = middle
    weights = tilted(z, outer)
    return float(weights @ x), worth_of_weights(weights)


def flips(
    parameters: FloatArray, worth: FloatArray, other: FloatArray, courses: tuple[str, str]
) -> tuple[Flip, ...]:
    """The inputs that turn the preference between two courses, the nearest first.

    Parameters
    ----------
    parameters : (futures, parameters) float
        The drawn inputs of each future.
    worth, other : (futures,) float
        Worth of each future under the two courses.
    courses : (str, str)
        Their keys.

    Returns
    -------
    tuple of Flip
        Empty where none of the inputs can, within what is thought possible of it.

    Source
    ------
    csiszar1975: as `tilted`.

    Examples
    --------
    >>> from ringwise.growth import layout as at
    >>> inputs = np.zeros((400, at.PARAMETERS)); inputs[:, at.P_LAYER] = np.linspace(0.0, 1.0, 400)
    >>> found = flips(inputs, inputs[:, at.P_LAYER], np.full(400, 0.4), ("layer", "keep"))
    >>> found[0].input, found[0].above, round(found[0].at, 4)
    ('rooting', 'layer', 0.4)
    """
    difference = worth - other
    least = weighing("flip", "least_futures")
    found = []
    for index, name in DRAWN_NAMES.items():
        x = parameters[:, index]
        turn = turning_value(x, difference, least)
        if turn is None:
            continue
        now, first = float(x.mean()), float(difference.mean()) > 0
        rises = (turn[0] < now) == first  # the first course is preferred above the turn
        above, below = courses if rises else courses[::-1]
        found.append(Flip(name, above, below, now, turn[0], turn[1]))
    return tuple(sorted(found, key=lambda each: each.distance))
