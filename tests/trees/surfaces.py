"""Closed surfaces of triangles: the wood of a known tree, pots, boards, and shapes with closed forms."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trees.generator import ROUND, Array, Branch, Outline, Tree

Triangles = NDArray[np.int64]

WOOD = (0.36, 0.27, 0.2)
CLAY = (0.5, 0.24, 0.16)
SOIL = (0.3, 0.24, 0.19)


@dataclass(frozen=True)
class Mesh:
    """Triangles of one colour, or with a picture laid on by `uv` (shares from its upper left)."""

    vertices_mm: Array
    triangles: Triangles
    colour: tuple[float, float, float] = WOOD
    uv: Array | None = None
    texture: NDArray[np.float32] | None = None
    shaded: bool = True

    def volume_mm3(self) -> float:
        """Enclosed by the triangles; where parts overlap, each counts."""
        a, b, c = (self.vertices_mm[self.triangles[:, corner]] for corner in range(3))
        return float(np.sum(np.cross(a, b) * c) / 6.0)


def joined(meshes: list[Mesh]) -> Mesh:
    """Several meshes of one colour as one."""
    offsets = np.cumsum([0, *(len(mesh.vertices_mm) for mesh in meshes)])
    return Mesh(
        np.concatenate([mesh.vertices_mm for mesh in meshes]),
        np.concatenate([mesh.triangles + offset for mesh, offset in zip(meshes, offsets, strict=False)]),
        meshes[0].colour,
    )


def _frames(points: Array) -> tuple[Array, Array]:
    """Two directions across the line at each node, carried along without twist; the first points to +x."""
    ways = np.gradient(points, axis=0)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    side = np.array([1.0, 0.0, 0.0]) if abs(ways[0, 0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    sides = np.empty_like(ways)
    for index, way in enumerate(ways):
        side = side - way * (side @ way)
        side = side / np.linalg.norm(side)
        sides[index] = side
    return sides, np.cross(ways, sides)


def tube(
    points: Array,
    radii: Array,
    *,
    sides: int = 48,
    outline: Outline = ROUND,
    strength: Array | None = None,
    round_end: bool = False,
    colour: tuple[float, float, float] = WOOD,
) -> Mesh:
    """A closed tube about a line; its sections have the mean width (not the area) of the smooth outline."""
    strength = np.ones(len(points)) if strength is None else strength
    if round_end:
        points, radii, strength = _rounded(points, radii, strength)
    first, second = _frames(points)
    angle = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    # Corners on the outline alone would make every silhouette too narrow; on average this takes it back.
    wider = (np.pi / sides) / np.sin(np.pi / sides)
    shape = np.array([outline.shape(angle, each) for each in strength]) * (radii * wider)[:, None]
    rings = (
        points[:, None]
        + (shape * np.cos(angle))[..., None] * first[:, None]
        + (shape * np.sin(angle))[..., None] * second[:, None]
    )
    count = len(points)
    vertices = np.concatenate([rings.reshape(-1, 3), points[:1], points[-1:]])
    ring, corner = np.meshgrid(np.arange(count - 1), np.arange(sides), indexing="ij")
    after = (corner + 1) % sides
    a, b = ring * sides + corner, ring * sides + after
    c, d = a + sides, b + sides
    walls = np.concatenate([np.stack([a, b, d], -1).reshape(-1, 3), np.stack([a, d, c], -1).reshape(-1, 3)])
    here, there = np.arange(sides), (np.arange(sides) + 1) % sides
    low, high = count * sides, count * sides + 1
    last = (count - 1) * sides
    caps = np.concatenate(
        [
            np.column_stack([np.full(sides, low), there, here]),
            np.column_stack([np.full(sides, high), last + here, last + there]),
        ]
    )
    return Mesh(vertices, np.concatenate([walls, caps]), colour)


def _rounded(points: Array, radii: Array, strength: Array) -> tuple[Array, Array, Array]:
    """The line with its end rounded off: the wood still ends where the line does."""
    end = float(radii[-1])
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    back = np.concatenate([np.cumsum(steps[::-1])[::-1], [0.0]])
    keep = back > end
    way = (points[-1] - points[-2]) / steps[-1]
    turn = np.linspace(0.0, 0.5 * np.pi, 7)[:, None]
    cap = points[-1] - way * end * (1.0 - np.sin(turn))
    return (
        np.concatenate([points[keep], cap]),
        np.concatenate([radii[keep], np.maximum(end * np.cos(turn[:, 0]), 1e-3)]),
        np.concatenate([strength[keep], np.full(7, strength[-1])]),
    )


def _sides_for(branch: Branch) -> int:
    widest = float(branch.radii_mm.max())
    return 96 if widest > 8.0 else 48 if widest > 2.5 else 32


def wood(made: Tree) -> Mesh:
    """The surface of all wood of a tree, the branches' first millimetres inside their parents."""
    return joined(
        [
            tube(
                branch.points_mm,
                branch.radii_mm,
                sides=_sides_for(branch),
                outline=branch.outline,
                strength=branch.strength,
                round_end=True,
            )
            for branch in made.branches
        ]
    )


def sphere(centre: Array, radius: float, *, sides: int = 256) -> Mesh:
    """A sphere about a place."""
    turn = np.linspace(0.0, np.pi, sides)
    heights = -np.cos(turn) * radius
    points = np.asarray(centre) + np.column_stack([np.zeros(sides), np.zeros(sides), heights])
    return tube(points, np.maximum(np.sin(turn) * radius, 1e-6), sides=sides)


def round_pot(rim_mm: float, foot_mm: float, depth_mm: float) -> list[Mesh]:
    """A round pot whose rim lies at the soil, z = 0, and the soil in it; diameters at rim and foot."""
    line = np.array([[0.0, 0.0, -depth_mm], [0.0, 0.0, -0.5]])
    body = tube(line, np.array([foot_mm, rim_mm]) / 2.0, sides=128, colour=CLAY)
    top = np.array([[0.0, 0.0, -1.0], [0.0, 0.0, 0.0]])
    return [body, tube(top, np.full(2, rim_mm / 2.0 - 4.0), sides=128, colour=SOIL)]


def board(texture: NDArray[np.float32], width_mm: float, height_mm: float, z_mm: float) -> Mesh:
    """A flat picture lying on the table, its middle below the root, its upper left at -x, +y."""
    count = 48
    share = np.linspace(0.0, 1.0, count + 1)
    u, v = np.meshgrid(share, share, indexing="xy")
    vertices = np.column_stack(
        [(u.ravel() - 0.5) * width_mm, (0.5 - v.ravel()) * height_mm, np.full(u.size, z_mm)]
    )
    row, column = np.meshgrid(np.arange(count), np.arange(count), indexing="ij")
    a = (row * (count + 1) + column).ravel()
    b, c, d = a + 1, a + count + 1, a + count + 2
    triangles = np.concatenate([np.column_stack([a, c, b]), np.column_stack([b, c, d])])
    uv = np.column_stack([u.ravel(), v.ravel()])
    return Mesh(vertices, triangles, (1.0, 1.0, 1.0), uv, np.asarray(texture, dtype=np.float32), False)
