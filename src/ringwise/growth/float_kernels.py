"""exp, ln and arctan in single precision without branches, so that loops run several segments at a time."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled_in_place as compiled
from ringwise.kit.kernels import compiled_inside

_ONE, _HALF = np.float32(1.0), np.float32(0.5)
_LOG2_E, _LN_2, _MOST = np.float32(1.0 / math.log(2.0)), np.float32(math.log(2.0)), np.float32(120.0)
_EIGHTH, _TINY, _ZERO = np.float32(math.sqrt(2.0) - 1.0), np.float32(1e-30), np.float32(0.0)
_DIAGONAL, _QUARTER, _STRAIGHT = (np.float32(each * math.pi) for each in (0.25, 0.5, 1.0))
_A3, _A5, _A7, _A9, _A11, _A13 = (np.float32((-1) ** (each // 2) / each) for each in range(3, 14, 2))
_SIGN, _NO_SIGN = np.int32(-0x80000000), np.int32(0x7FFFFFFF)
_ROOT_HALF_BITS, _MANTISSA = np.int32(0x3F3504F3), np.int32(0x007FFFFF)
_BITS, _BIAS = np.int32(23), np.int32(127 - 120)
# Coefficients of the exponential series about a half, times root two.
_E0, _E1, _E2, _E3, _E4, _E5, _E6, _E7 = (
    np.float32(math.sqrt(2.0) / math.factorial(each)) for each in range(8)
)


@compiled_inside
def exponential(x: Any) -> Any:
    """exp of a float32 from -83 to 83, to about seven digits: a power of two times a short series."""
    twos = max(x * _LOG2_E, -_MOST)
    down = np.int32(twos + _MOST)  # cut from 0 up, so that the cut is a floor
    part = (twos - (np.float32(down) - _MOST) - _HALF) * _LN_2
    square = part * part
    low = (_E0 + _E1 * part) + square * (_E2 + _E3 * part)
    high = (_E4 + _E5 * part) + square * (_E6 + _E7 * part)
    bits = np.int32((down + _BIAS) << _BITS)  # 2 to the down less 120
    return (low + square * square * high) * bits.view(np.float32)


@compiled_inside
def logarithm(x: Any) -> Any:
    """ln of a float32 above 0, to about seven digits: its exponent and a short series for the rest."""
    bits = np.float32(x).view(np.int32) - _ROOT_HALF_BITS
    power = np.int32(bits >> _BITS)
    rest = np.int32((bits & _MANTISSA) + _ROOT_HALF_BITS)
    near = rest.view(np.float32)  # from root a half to root two
    t = (near - _ONE) / (near + _ONE)
    square = t * t
    series = np.float32(2.0 / 3.0) + square * (np.float32(0.4) + square * np.float32(2.0 / 7.0))
    series = np.float32(2.0) + square * (series + square * square * square * np.float32(2.0 / 9.0))
    return np.float32(power) * _LN_2 + t * series


@compiled_inside
def angle(x: Any, y: Any) -> Any:
    """The angle of (x, y) from the axis of y towards that of x, -pi to pi, to about seven digits."""
    wide, high = abs(x), abs(y)
    small, large = min(wide, high), max(wide, high)
    turned = small > _EIGHTH * large  # half-way to the diagonal: from there the series runs from that
    part = ((small - large) if turned else small) / max((small + large) if turned else large, _TINY)
    square = part * part
    series = _A7 + square * (_A9 + square * (_A11 + square * _A13))
    at_x = part * (_ONE + square * (_A3 + square * (_A5 + square * series))) + (
        _DIAGONAL if turned else _ZERO
    )
    at_x = _QUARTER - at_x if wide > high else at_x
    at_x = _STRAIGHT - at_x if y < _ZERO else at_x
    return -at_x if x < _ZERO else at_x


@compiled
def most(values: Any, n: Any) -> Any:
    """The largest of the first n numbers, none counting for less than 0.

    The bits of floats from 0 up are in order as whole numbers, those of the others are below 0: whole numbers
    are compared several at a time, which floats are not as long as one might be no number.
    """
    bits, held = values.view(np.int32), np.int32(0)
    for row in range(n):
        held = max(held, bits[row])
    return np.int32(held).view(np.float32)


@compiled
def most_below(values: Any, n: Any) -> Any:
    """How far the first n numbers go below 0; as `most`."""
    bits, held = values.view(np.int32), np.int32(0)
    for row in range(n):
        held = max(held, bits[row] ^ _SIGN)
    return np.int32(held).view(np.float32)


@compiled
def most_either_way(values: Any, n: Any) -> Any:
    """The largest size of the first n numbers, whatever their sign; as `most`."""
    bits, held = values.view(np.int32), np.int32(0)
    for row in range(n):
        held = max(held, bits[row] & _NO_SIGN)
    return np.int32(held).view(np.float32)


@compiled
def total(values: Any, n: Any) -> Any:
    """Sum of the first n values in double precision, in four strands that need not wait for each other."""
    a, b, c, d = 0.0, 0.0, 0.0, 0.0
    fours = n - n % 4
    for row in range(0, fours, 4):
        a += values[row]
        b += values[row + 1]
        c += values[row + 2]
        d += values[row + 3]
    for row in range(fours, n):
        a += values[row]
    return (a + b) + (c + d)


@compiled
def product_total(values: Any, others: Any, n: Any) -> Any:
    """Sum of the products of the first n pairs, as `total`."""
    a, b, c, d = 0.0, 0.0, 0.0, 0.0
    fours = n - n % 4
    for row in range(0, fours, 4):
        a += values[row] * others[row]
        b += values[row + 1] * others[row + 1]
        c += values[row + 2] * others[row + 2]
        d += values[row + 3] * others[row + 3]
    for row in range(fours, n):
        a += values[row] * others[row]
    return (a + b) + (c + d)
