"""Rings along lines, compiled: each line becomes a closed tube with a flat cap at both ends.

Rings are carried along without twist. A polygon of n corners lies inside its circle; its corners are set
out by sqrt(2 pi / (n sin(2 pi / n))), so that its area is that of the round section.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

_STRAIGHT_BACK = 1e-6  # 1 + cosine of a turn below which the shortest turn is not defined


@compiled
def _across(tangent: Any, out: Any) -> None:
    """Any unit vector at right angles to a unit vector."""
    least = 0
    for axis in range(1, 3):
        if abs(tangent[axis]) < abs(tangent[least]):
            least = axis
    size = math.sqrt(1.0 - tangent[least] * tangent[least])
    for axis in range(3):
        out[axis] = -tangent[axis] * tangent[least] / size
    out[least] += 1.0 / size


@compiled
def _carry(before: Any, after: Any, side: Any) -> None:
    """Turn `side` by the shortest turn that takes one tangent to the next."""
    cosine = before[0] * after[0] + before[1] * after[1] + before[2] * after[2]
    if 1.0 + cosine < _STRAIGHT_BACK:
        _across(after, side)
        return
    share = (side[0] * after[0] + side[1] * after[1] + side[2] * after[2]) / (1.0 + cosine)
    for axis in range(3):
        side[axis] -= share * (before[axis] + after[axis])
    along = side[0] * after[0] + side[1] * after[1] + side[2] * after[2]
    for axis in range(3):
        side[axis] -= along * after[axis]  # rounding does not add up along a line
    size = math.sqrt(side[0] ** 2 + side[1] ** 2 + side[2] ** 2)
    for axis in range(3):
        side[axis] /= size


@compiled
def _tangent(nodes: Any, first: Any, last: Any, node: Any, out: Any) -> None:
    """The mean direction of the pieces that meet at a node."""
    sums = np.zeros(3)
    for piece in (node - 1, node):
        if piece < first or piece >= last:
            continue
        size = 0.0
        for axis in range(3):
            size += (nodes[piece + 1, axis] - nodes[piece, axis]) ** 2
        size = max(math.sqrt(size), 1e-12)
        for axis in range(3):
            sums[axis] += (nodes[piece + 1, axis] - nodes[piece, axis]) / size
    size = math.sqrt(sums[0] ** 2 + sums[1] ** 2 + sums[2] ** 2)
    if size < 1e-9:  # it turns straight back
        piece = max(node - 1, first)
        for axis in range(3):
            sums[axis] = nodes[piece + 1, axis] - nodes[piece, axis]
        size = max(math.sqrt(sums[0] ** 2 + sums[1] ** 2 + sums[2] ** 2), 1e-12)
    for axis in range(3):
        out[axis] = sums[axis] / size


@compiled
def _ring(where: Any, frame: Any, shape: Any, positions: Any, normals: Any) -> None:
    """Corners of one ring; `shape` is radius, lean of the wall, number of corners, first vertex."""
    radius, lean, sides, at = shape
    tangent, side, other = frame[0], frame[1], frame[2]
    size = math.sqrt(1.0 + lean * lean)
    for corner in range(sides):
        turn = 2.0 * math.pi * corner / sides
        c, s = math.cos(turn), math.sin(turn)
        for axis in range(3):
            out = c * side[axis] + s * other[axis]
            positions[at + corner, axis] = where[axis] + radius * out
            normals[at + corner, axis] = (out - lean * tangent[axis]) / size


@compiled
def _lean(nodes: Any, radius: Any, first: Any, last: Any, node: Any) -> Any:
    """How fast the radius changes along the line at a node."""
    low, high = max(node - 1, first), min(node + 1, last)
    size = 0.0
    for axis in range(3):
        size += (nodes[high, axis] - nodes[low, axis]) ** 2
    return (radius[high] - radius[low]) / max(math.sqrt(size), 1e-12)


@compiled
def _walls(at: Any, rings: Any, sides: Any, triangles: Any, filled: Any) -> Any:
    """Triangles between rings and of the two caps; the first corner of a wall is on the lower ring."""
    for ring in range(rings - 1):
        low, high = at + ring * sides, at + (ring + 1) * sides
        for corner in range(sides):
            after = (corner + 1) % sides
            triangles[filled, 0] = low + corner
            triangles[filled, 1] = low + after
            triangles[filled, 2] = high + after
            triangles[filled + 1, 0] = low + corner
            triangles[filled + 1, 1] = high + after
            triangles[filled + 1, 2] = high + corner
            filled += 2
    foot = at + rings * sides
    top = at + (rings - 1) * sides
    for corner in range(sides):
        after = (corner + 1) % sides
        triangles[filled, 0] = foot
        triangles[filled, 1] = at + after
        triangles[filled, 2] = at + corner
        triangles[filled + 1, 0] = foot + 1
        triangles[filled + 1, 1] = top + corner
        triangles[filled + 1, 2] = top + after
        filled += 2
    return filled


@compiled
def tubes(lines: Any, nodes: Any, radius: Any, rows: Any, out: Any) -> None:
    """All tubes: `lines` is first node (k + 1) and corners (k,); `out` is what a mesh holds."""
    first_node, sides = lines
    positions, normals, triangles, segment = out
    frame = np.zeros((3, 3))
    before = np.zeros(3)
    at, filled = 0, 0
    for line in range(len(sides)):
        first, last, n = first_node[line], first_node[line + 1] - 1, sides[line]
        set_out = math.sqrt(2.0 * math.pi / (n * math.sin(2.0 * math.pi / n)))
        foot = at + (last - first + 1) * n
        for node in range(first, last + 1):
            _tangent(nodes, first, last, node, frame[0])
            if node == first:
                _across(frame[0], frame[1])
            else:
                _carry(before, frame[0], frame[1])
            for axis in range(3):  # a loop compiles in a tenth of the time that an array's copy takes
                before[axis] = frame[0, axis]
            frame[2, 0] = frame[0, 1] * frame[1, 2] - frame[0, 2] * frame[1, 1]
            frame[2, 1] = frame[0, 2] * frame[1, 0] - frame[0, 0] * frame[1, 2]
            frame[2, 2] = frame[0, 0] * frame[1, 1] - frame[0, 1] * frame[1, 0]
            lean = _lean(nodes, radius, first, last, node)
            ring = at + (node - first) * n
            _ring(nodes[node], frame, (radius[node] * set_out, lean, n, ring), positions, normals)
            for corner in range(n):
                segment[ring + corner] = rows[node]
            if node in (first, last):
                cap = foot if node == first else foot + 1
                way = -1.0 if node == first else 1.0
                for axis in range(3):
                    positions[cap, axis] = nodes[node, axis]
                    normals[cap, axis] = way * frame[0, axis]
                segment[cap] = rows[node]
        filled = _walls(at, last - first + 1, n, triangles, filled)
        at = foot + 2
