"""Names for the array types that cross room borders."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Float32Array: TypeAlias = NDArray[np.float32]
IntArray: TypeAlias = NDArray[np.int64]
Int32Array: TypeAlias = NDArray[np.int32]
BoolArray: TypeAlias = NDArray[np.bool_]
DayArray: TypeAlias = NDArray[np.datetime64]
FloatLike: TypeAlias = float | FloatArray | IntArray  # one value, or one a day
