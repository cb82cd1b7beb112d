"""exp and ln in single precision without branches, so that loops over segments run several at a time."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled_in_place as compiled

_ONE, _HALF = np.float32(1.0), np.float32(0.5)
_LOG2_E, _LN_2, _MOST = np.float32(1.0 / math.log(2.0)), np.float32(math.log(2.0)), np.float32(120.0)
_ROOT_HALF_BITS, _MANTISSA = np.int32(0x3F3504F3), np.int32(0x007FFFFF)
_BITS, _BIAS, _HUNDRED_TWENTY = np.int32(23), np.int32(127), np.int32(120)


@compiled
def exponential(x: Any) -> Any:
    """exp of a float32 from -83 to 83, to about seven digits: a power of two times a short series."""
    twos = min(max(x * _LOG2_E, -_MOST), _MOST)
    down = np.int32(twos + _MOST) - _HUNDRED_TWENTY  # cut from 0 up, so that the cut is a floor
    part = (twos - np.float32(down) - _HALF) * _LN_2
    series = _ONE + part * np.float32(1.0 / 8.0)
    for over in range(7, 0, -1):
        series = _ONE + part * series * (_ONE / np.float32(over))
    bits = np.int32((down + _BIAS) << _BITS)  # 2 to the down
    return series * bits.view(np.float32) * np.float32(math.sqrt(2.0))


@compiled
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
