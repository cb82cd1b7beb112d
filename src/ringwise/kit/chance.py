"""Counter-based chance: a draw is a pure function of where it is used, never of how many came before.

A draw is keyed by (seed, future, year, half, purpose, entity). So an operation in one course shifts no
other draw, courses share their luck, and any number of workers gives the same result. The hash is
splitmix64 (Steele, Lea & Flood 2014, from memory), chained over the key's parts; the compiled twin
lives in the growth kernels and is tested against this one.
"""

from __future__ import annotations

import math
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray

_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1 = np.uint64(0xBF58476D1CE4E5B9)
_MIX_2 = np.uint64(0x94D049BB133111EB)


class Purpose(IntEnum):
    """What a draw is for; numbers are part of stored results and never change."""

    WEATHER_YEAR = 1
    VIGOUR = 2
    PARAMETER = 3
    BUD = 4
    DIRECTION = 5
    SHED = 6
    SURVIVE = 7
    ROOTING = 8
    UNION = 9
    MEASUREMENT = 10
    HOURS = 11
    BACK_BUD = 12
    DEMO = 13
    CHECK_SIGN = 14
    FORECAST = 15
    CLOSURE = 16
    DESCRIBED_WEATHER = 17
    FIT = 18
    SUBSTRATE = 19
    SHAPE = 20
    WEIGHTS = 21
    DECAY = 22
    ROT_LOSS = 23


def spread_places(n: int) -> FloatArray:
    """Places in a turn that lie apart however many are taken: each a golden section on from the last.

    Parameters
    ----------
    n : int
        How many.

    Returns
    -------
    ndarray (n,)
        From 0 up to 1, none twice.

    Examples
    --------
    >>> [round(float(place), 2) for place in spread_places(4)]
    [0.0, 0.62, 0.24, 0.85]
    """
    return np.asarray(np.arange(n) * ((math.sqrt(5.0) - 1.0) / 2.0) % 1.0)


def mix64(value: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """One round of splitmix64 over an array.

    Parameters
    ----------
    value : (n,) uint64
        Any values.

    Returns
    -------
    (n,) uint64
        Well-mixed values.

    Examples
    --------
    >>> hex(int(mix64(np.zeros(1, np.uint64))[0]))
    '0xe220a8397b1dcdaf'
    """
    with np.errstate(over="ignore"):
        z = value + _GOLDEN
        moved = z >> np.uint64(30)  # in place from here on: draws are most of a large outlook's time
        z ^= moved
        z *= _MIX_1
        np.right_shift(z, np.uint64(27), out=moved)
        z ^= moved
        z *= _MIX_2
        np.right_shift(z, np.uint64(31), out=moved)
        z ^= moved
        return z


def uniform(
    seed: int, future: object, year: object, half: object, purpose: int, entity: object
) -> FloatArray:
    """Uniform draws in the open interval (0, 1), one for each broadcast element of the key.

    Parameters
    ----------
    seed : int
        The run's seed.
    future, year, half, entity : int or (n,) int
        Where the draw is used.
    purpose : int
        A `Purpose`.

    Returns
    -------
    (n,) float
        Draws; the same key always gives the same draw.

    Examples
    --------
    >>> a = uniform(7, np.arange(3), 0, 0, Purpose.VIGOUR, 0)
    >>> b = uniform(7, 2, 0, 0, Purpose.VIGOUR, 0)
    >>> bool(a[2] == b[0])
    True
    """
    state = mix64(np.full(1, seed & 0xFFFFFFFFFFFFFFFF, dtype=np.uint64))
    for part in (future, year, half, purpose, entity):
        # The state grows to the shape of the parts so far, so what all elements share is mixed once.
        state = mix64(state ^ np.atleast_1d(np.asarray(part, dtype=np.int64)).astype(np.uint64))
    return ((state >> np.uint64(11)).astype(np.float64) + 0.5) * (1.0 / 9007199254740992.0)


def normal(seed: int, future: object, year: object, half: object, purpose: int, entity: object) -> FloatArray:
    """Standard normal draws by the Box-Muller form of two keyed uniforms.

    Parameters
    ----------
    seed, future, year, half, purpose, entity
        As in `uniform`; entity is used twice, as 2e and 2e+1.

    Returns
    -------
    (n,) float
        Draws.

    Examples
    --------
    >>> draws = normal(1, np.arange(4000), 0, 0, Purpose.VIGOUR, 0)
    >>> bool(abs(draws.mean()) < 0.06 and abs(draws.std() - 1) < 0.05)
    True
    """
    twice = np.asarray(entity, dtype=np.int64) * 2
    u = uniform(seed, future, year, half, purpose, twice)
    v = uniform(seed, future, year, half, purpose, twice + 1)
    return np.sqrt(-2.0 * np.log(u)) * np.cos(2.0 * math.pi * v)
