"""Compiled: how steep a picture's edges are, and its signed distances from those to the nearest pixels."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled


@compiled
def slopes(coverage: Any, low: Any, high: Any) -> Any:
    """Coverage per pixel at each inner pixel whose coverage lies between two bounds."""
    rows, columns = coverage.shape
    out = np.empty(rows * columns, np.float32)
    found = 0
    for row in range(1, rows - 1):
        for column in range(1, columns - 1):
            value = coverage[row, column]
            if value > low and value < high:
                across = coverage[row, column + 1] - coverage[row, column - 1]
                down = coverage[row + 1, column] - coverage[row - 1, column]
                out[found] = 0.5 * math.sqrt(across * across + down * down)
                found += 1
    return out[:found]


@compiled
def nearest_values(label: Any, mask: Any, values: Any, out: Any) -> None:
    """For each pixel of a mask the value of the pixel outside it whose label it carries."""
    rows, columns = label.shape
    of_label = np.zeros(rows * columns + 1, np.float32)
    for row in range(rows):
        for column in range(columns):
            if not mask[row, column]:
                of_label[label[row, column]] = values[row, column]
    for row in range(rows):
        for column in range(columns):
            out[row, column] = of_label[label[row, column]]


@compiled
def signed(wood: Any, inside: Any, outside: Any, slope: Any, out: Any) -> None:
    """Signed distance to the edge: that to the nearest pixel beyond it, less the part its coverage tells.

    `inside` and `outside`: distance to the nearest pixel beyond the edge, and the coverage of that pixel.
    """
    rows, columns = wood.shape
    for row in range(rows):
        for column in range(columns):
            if wood[row, column]:
                part = (0.5 - inside[1][row, column]) / slope
                out[row, column] = inside[0][row, column] - min(max(part, 0.0), 1.0)
            else:
                part = (outside[1][row, column] - 0.5) / slope
                out[row, column] = min(max(part, 0.0), 1.0) - outside[0][row, column]
