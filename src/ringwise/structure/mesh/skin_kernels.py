"""One smooth surface round several lines of wood, compiled: a distance field on a grid, and nets over it.

The field is negative inside the wood. Along one line the nearest piece counts; where a branch leaves, its
field is blended with what is there already, so that the joint is rounded. The surface has one vertex in
every cell that it passes through, so that four cells round an edge of the grid make one quad.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

FAR_MM = 1e9
_TAP = 0.75  # of a cell: half the width over which the slope is taken
NUDGE = np.float32(0.02)  # of a cell: how deep a corner is put inside where a face would be ambiguous


@compiled
def _outline(outline: Any, height: Any, across: Any, back: Any) -> Any:
    """The measured radius against the round one, by height and direction; 1 where nothing was measured."""
    heights, ratios = outline
    count, around = ratios.shape
    if count == 0:
        return 1.0
    place = math.atan2(back, across) / (2.0 * math.pi) * around
    low = math.floor(place)
    part = place - low
    one, two = int(low) % around, (int(low) + 1) % around
    level, share = 0, 0.0
    while level < count - 1 and heights[level + 1] <= height:
        level += 1
    upper = min(level + 1, count - 1)
    if upper > level and height > heights[level]:
        share = (height - heights[level]) / (heights[upper] - heights[level])
    below = ratios[level, one] * (1.0 - part) + ratios[level, two] * part
    above = ratios[upper, one] * (1.0 - part) + ratios[upper, two] * part
    return below * (1.0 - share) + above * share


@compiled
def _box(piece: Any, reach: Any, grid: Any, shape: Any, box: Any) -> None:
    """First and last cell of the grid within reach of a piece."""
    thick = max(piece[6], piece[7]) * reach[1] + reach[0]
    for axis in range(3):
        low = min(piece[axis], piece[3 + axis]) - thick
        high = max(piece[axis], piece[3 + axis]) + thick
        box[0, axis] = max(0, math.floor((low - grid[axis]) / grid[3]))
        box[1, axis] = min(shape[axis], math.ceil((high - grid[axis]) / grid[3]) + 1)


@compiled
def lay_line(pieces: Any, rows: Any, outline: Any, grid: Any, reach: Any, field: Any, owner: Any) -> None:
    """The field of one line: the nearest of its tapered, round-ended pieces, with the segment it is of."""
    box = np.zeros((2, 3), np.int64)
    lobed = outline[1].shape[0] > 0
    for number in range(len(pieces)):
        piece = pieces[number]
        _box(piece, reach, grid, field.shape, box)
        dx, dy, dz = piece[3] - piece[0], piece[4] - piece[1], piece[5] - piece[2]
        share = 1.0 / max(dx * dx + dy * dy + dz * dz, 1e-18)
        foot, low, taper, row = piece[2], piece[6], piece[7] - piece[6], rows[number]
        for i in range(box[0, 0], box[1, 0]):
            px = grid[0] + i * grid[3] - piece[0]
            for j in range(box[0, 1], box[1, 1]):
                py = grid[1] + j * grid[3] - piece[1]
                for k in range(box[0, 2], box[1, 2]):
                    pz = grid[2] + k * grid[3] - foot
                    along = min(max((px * dx + py * dy + pz * dz) * share, 0.0), 1.0)
                    x, y, z = px - along * dx, py - along * dy, pz - along * dz
                    radius = low + along * taper
                    if lobed:
                        radius *= _outline(outline, foot + along * dz, x, y)
                    value = math.sqrt(x * x + y * y + z * z) - radius
                    if value < field[i, j, k]:
                        field[i, j, k] = value
                        owner[i, j, k] = row


@compiled
def blend_line(scratch: Any, mine: Any, corner: Any, width: Any, field: Any, owner: Any) -> None:
    """Join a branch's field, on its own small grid, to the whole with a rounded joint."""
    a, b, c = scratch.shape
    for i in range(a):
        for j in range(b):
            for k in range(c):
                one = scratch[i, j, k]
                if one >= FAR_MM:
                    continue
                x, y, z = corner[0] + i, corner[1] + j, corner[2] + k
                other = field[x, y, z]
                lap = max(width - abs(one - other), 0.0)
                if one < other:
                    owner[x, y, z] = mine[i, j, k]
                field[x, y, z] = min(one, other) - (lap * lap / (4.0 * width) if lap > 0.0 else 0.0)


@compiled
def cut_flat(field: Any, owner: Any, standing: Any, level: Any, grid: Any) -> None:
    """Nothing of the segments that stand in the soil below its level; what hangs lower stays."""
    a, b, c = field.shape
    for k in range(c):
        under = level - (grid[2] + k * grid[3])
        if under < -3.0 * grid[3]:
            break
        for i in range(a):
            for j in range(b):
                if standing[owner[i, j, k]] and under > field[i, j, k]:
                    field[i, j, k] = under


@compiled
def _mend_face(field: Any, corners: Any, nudge: Any) -> Any:
    """Fill one corner of a face whose inside corners meet only crosswise; 1 where it did."""
    values = np.zeros(4)
    for corner in range(4):
        values[corner] = field[corners[corner, 0], corners[corner, 1], corners[corner, 2]]
    first, second = values[0] < 0.0, values[1] < 0.0
    if first == second or first != (values[2] < 0.0) or second != (values[3] < 0.0):
        return 0
    one, two = (1, 3) if first else (0, 2)
    least = one if values[one] < values[two] else two
    field[corners[least, 0], corners[least, 1], corners[least, 2]] = -nudge
    return 1


@compiled
def mend(field: Any, near: Any, nudge: Any) -> Any:
    """Fill corners until no face of the grid is ambiguous, so that no edge has more than two faces.

    `near` is a distance from the surface beyond which no face can be crossed.
    """
    a, b, c = field.shape
    corners = np.zeros((4, 3), np.int64)
    mended, changed = 0, 1
    while changed > 0:
        changed = 0
        for i in range(a - 1):
            for j in range(b - 1):
                for k in range(c - 1):
                    if abs(field[i, j, k]) > near:
                        continue
                    here = field[i, j, k] < 0.0
                    x, y, z = field[i + 1, j, k] < 0.0, field[i, j + 1, k] < 0.0, field[i, j, k + 1] < 0.0
                    if x == y and x != here and here == (field[i + 1, j + 1, k] < 0.0):
                        _face(corners, i, j, k, 0, 1)
                        changed += _mend_face(field, corners, nudge)
                    if x == z and x != here and here == (field[i + 1, j, k + 1] < 0.0):
                        _face(corners, i, j, k, 0, 2)
                        changed += _mend_face(field, corners, nudge)
                    if y == z and y != here and here == (field[i, j + 1, k + 1] < 0.0):
                        _face(corners, i, j, k, 1, 2)
                        changed += _mend_face(field, corners, nudge)
        mended += changed
    return mended


@compiled
def _face(corners: Any, i: Any, j: Any, k: Any, one: Any, two: Any) -> None:
    """The four corners of a face, in order round it."""
    for corner in range(4):
        corners[corner, 0], corners[corner, 1], corners[corner, 2] = i, j, k
    corners[1, one] += 1
    corners[2, one] += 1
    corners[2, two] += 1
    corners[3, two] += 1


@compiled
def _at(field: Any, x: Any, y: Any, z: Any) -> Any:
    """The field between its corners, linear along each axis; places in cells."""
    i = min(max(int(x), 0), field.shape[0] - 2)
    j = min(max(int(y), 0), field.shape[1] - 2)
    k = min(max(int(z), 0), field.shape[2] - 2)
    u, v, w = x - i, y - j, z - k
    low = (field[i, j, k] * (1.0 - w) + field[i, j, k + 1] * w) * (1.0 - v)
    low += (field[i, j + 1, k] * (1.0 - w) + field[i, j + 1, k + 1] * w) * v
    high = (field[i + 1, j, k] * (1.0 - w) + field[i + 1, j, k + 1] * w) * (1.0 - v)
    high += (field[i + 1, j + 1, k] * (1.0 - w) + field[i + 1, j + 1, k + 1] * w) * v
    return low * (1.0 - u) + high * u


@compiled
def _steepest(field: Any, where: Any, out: Any) -> None:
    """The gradient over most of a cell each way: smoother than that inside one cell."""
    x, y, z = where[0], where[1], where[2]
    out[0] = (_at(field, x + _TAP, y, z) - _at(field, x - _TAP, y, z)) / (2.0 * _TAP)
    out[1] = (_at(field, x, y + _TAP, z) - _at(field, x, y - _TAP, z)) / (2.0 * _TAP)
    out[2] = (_at(field, x, y, z + _TAP) - _at(field, x, y, z - _TAP)) / (2.0 * _TAP)


@compiled
def _cell_vertex(field: Any, i: Any, j: Any, k: Any, where: Any) -> None:
    """The middle of the crossings of a cell's twelve edges, in cells."""
    count = 0
    where[0], where[1], where[2] = 0.0, 0.0, 0.0
    for axis in range(3):
        for one in range(2):
            for two in range(2):
                a, b, c = i, j, k
                if axis == 0:
                    b, c = j + one, k + two
                    start, end = field[a, b, c], field[a + 1, b, c]
                elif axis == 1:
                    a, c = i + one, k + two
                    start, end = field[a, b, c], field[a, b + 1, c]
                else:
                    a, b = i + one, j + two
                    start, end = field[a, b, c], field[a, b, c + 1]
                if (start < 0.0) == (end < 0.0):
                    continue
                where[0] += a
                where[1] += b
                where[2] += c
                where[axis] += start / (start - end)
                count += 1
    for axis in range(3):
        where[axis] /= count


@compiled
def _settle(field: Any, cell: Any, where: Any, slope: Any) -> None:
    """Move a vertex onto the surface along the slope, without leaving its cell's neighbourhood."""
    steep = max(slope[0] ** 2 + slope[1] ** 2 + slope[2] ** 2, 1e-12)
    for _round in range(2):
        share = _at(field, where[0], where[1], where[2]) / steep
        for axis in range(3):
            moved = where[axis] - share * slope[axis]
            where[axis] = min(max(moved, cell[axis] - 0.2), cell[axis] + 1.2)


@compiled
def crossings(field: Any) -> Any:
    """How many cells and how many edges of the grid the surface passes through."""
    a, b, c = field.shape
    cells, edges = 0, 0
    for i in range(a - 1):
        for j in range(b - 1):
            for k in range(c - 1):
                inside = 0
                for corner in range(8):
                    inside += field[i + (corner >> 2), j + ((corner >> 1) & 1), k + (corner & 1)] < 0.0
                if inside == 0 or inside == 8:
                    continue
                cells += 1
                here = field[i, j, k] < 0.0
                edges += here != (field[i + 1, j, k] < 0.0)
                edges += here != (field[i, j + 1, k] < 0.0)
                edges += here != (field[i, j, k + 1] < 0.0)
    return cells, edges


@compiled
def _owner(field: Any, owner: Any, i: Any, j: Any, k: Any) -> Any:
    """The segment of the corner deepest inside a cell."""
    least, found = np.float32(FAR_MM), owner[i, j, k]
    for corner in range(8):
        a, b, c = i + (corner >> 2), j + ((corner >> 1) & 1), k + (corner & 1)
        if field[a, b, c] < least:
            least, found = field[a, b, c], owner[a, b, c]
    return found


@compiled
def net_vertices(field: Any, owner: Any, grid: Any, numbers: Any, out: Any) -> None:
    """One vertex a crossed cell; `numbers` learns which cell has which."""
    positions, normals, segment = out
    a, b, c = field.shape
    where, slope = np.zeros(3), np.zeros(3)
    filled = 0
    for i in range(a - 1):
        for j in range(b - 1):
            for k in range(c - 1):
                inside = 0
                for corner in range(8):
                    inside += field[i + (corner >> 2), j + ((corner >> 1) & 1), k + (corner & 1)] < 0.0
                if inside == 0 or inside == 8:
                    continue
                _cell_vertex(field, i, j, k, where)
                _steepest(field, where, slope)
                _settle(field, (i, j, k), where, slope)
                size = max(math.sqrt(slope[0] ** 2 + slope[1] ** 2 + slope[2] ** 2), 1e-12)
                for axis in range(3):
                    normals[filled, axis] = slope[axis] / size
                    positions[filled, axis] = grid[axis] + where[axis] * grid[3]
                segment[filled] = _owner(field, owner, i, j, k)
                numbers[i, j, k] = filled
                filled += 1


@compiled
def _quad(numbers: Any, cell: Any, around: Any, out_way: Any, triangles: Any, filled: Any) -> None:
    """The two triangles of the four cells round a crossed edge."""
    i, j, k = cell
    one, two = around
    a = numbers[i, j, k]
    d = numbers[i - (one == 0), j - (one == 1), k - (one == 2)]
    b = numbers[i - (two == 0), j - (two == 1), k - (two == 2)]
    c = numbers[i - (one == 0) - (two == 0), j - (one == 1) - (two == 1), k - (one == 2) - (two == 2)]
    if out_way:
        b, d = d, b
    triangles[filled, 0], triangles[filled, 1], triangles[filled, 2] = a, b, c
    triangles[filled + 1, 0], triangles[filled + 1, 1], triangles[filled + 1, 2] = a, c, d


@compiled
def net_faces(field: Any, numbers: Any, triangles: Any) -> Any:
    """Quads round every crossed edge of the grid, as triangles, anticlockwise from outside."""
    a, b, c = field.shape
    filled = 0
    for i in range(1, a - 1):
        for j in range(1, b - 1):
            for k in range(1, c - 1):
                here = field[i, j, k] < 0.0
                if here != (field[i + 1, j, k] < 0.0):
                    _quad(numbers, (i, j, k), (1, 2), here, triangles, filled)
                    filled += 2
                if here != (field[i, j + 1, k] < 0.0):
                    _quad(numbers, (i, j, k), (2, 0), here, triangles, filled)
                    filled += 2
                if here != (field[i, j, k + 1] < 0.0):
                    _quad(numbers, (i, j, k), (0, 1), here, triangles, filled)
                    filled += 2
    return filled
