"""The measuring by a turn of silhouettes against the plain way: a dense grid carved, meshed and thinned.

    .venv/bin/python bench/bench_turntable_grid.py [--voxel MM] [--small]

Both get the same rendered silhouettes of the same known tree in one run. The plain way keeps a cell of the
grid where every picture shows wood, takes its volume from marching cubes and its branches from a skeleton
(both by scikit-image), radii from the distance to the nearest empty cell, and cuts spurs of less than 4 mm.
Some minutes; the cells are held in memory (about 5 GB at 1 mm, `--small` some hundred MB).
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import numba
import numpy as np
from scipy.ndimage import distance_transform_edt, label
from scipy.sparse import coo_array
from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree
from skimage.measure import marching_cubes, mesh_surface_area
from skimage.morphology import skeletonize

from ringwise.structure.cameras import Camera
from ringwise.structure.turntable import View, reconstruct

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from trees.generator import SMALL, SPECIMEN, Tree, tree
from trees.renderer import silhouettes, turntable
from trees.scoring import Score, score
from trees.surfaces import wood

SPUR_MM = 4.0
SEED = 3


@dataclass(frozen=True)
class Ran:
    """One way: how long it took, what it found, and the volume it tells."""

    seconds: float
    score: Score
    segments: int


@numba.njit(cache=True)
def _carved(
    pictures: np.ndarray, poses: np.ndarray, low: np.ndarray, shape: tuple[int, int, int], voxel: float
) -> np.ndarray:
    """Cells whose middle is on wood in every picture."""
    views, high, wide = pictures.shape
    kept = np.zeros(shape, dtype=np.bool_)
    for i in range(shape[0]):
        x = low[0] + (i + 0.5) * voxel
        for j in range(shape[1]):
            y = low[1] + (j + 0.5) * voxel
            for k in range(shape[2]):
                z = low[2] + (k + 0.5) * voxel
                inside = True
                for v in range(views):
                    p = poses[v]
                    w = p[2, 0] * x + p[2, 1] * y + p[2, 2] * z + p[2, 3]
                    column = int(np.floor((p[0, 0] * x + p[0, 1] * y + p[0, 2] * z + p[0, 3]) / w + 0.5))
                    row = int(np.floor((p[1, 0] * x + p[1, 1] * y + p[1, 2] * z + p[1, 3]) / w + 0.5))
                    if not (0 <= row < high and 0 <= column < wide) or pictures[v, row, column] < 0.5:
                        inside = False
                        break
                kept[i, j, k] = inside
    return kept


def grid_way(cameras: tuple[Camera, ...], pictures: list[np.ndarray], made: Tree, voxel: float) -> Ran:
    """Carve, mesh, thin, and join the thinned cells to a tree."""
    nodes = np.concatenate([branch.points_mm for branch in made.branches])
    low, high = nodes.min(axis=0) - 30.0, nodes.max(axis=0) + 30.0
    low[2] = 0.0
    shape = tuple(int(each) for each in np.ceil((high - low) / voxel))
    poses = np.stack([each.k @ np.column_stack([each.r, each.t_mm]) for each in cameras])
    start = time.perf_counter()
    kept = _carved(np.stack(pictures), poses, low, shape, voxel)
    parts, _count = label(kept, structure=np.ones((3, 3, 3)))
    sizes = np.bincount(parts.ravel())
    sizes[0] = 0
    kept = np.pad(parts == sizes.argmax(), 1)
    low = low - voxel
    vertices, faces, _normals, _values = marching_cubes(kept.astype(np.float32), 0.5, spacing=(voxel,) * 3)
    a, b, c = (vertices[faces[:, corner]].astype(np.float64) for corner in range(3))
    volume_cm3 = abs(float(np.sum(np.cross(a, b) * c))) / 6.0 / 1000.0
    depth = distance_transform_edt(kept) * voxel  # less half a cell it would be off by more
    cells = np.argwhere(skeletonize(kept))
    table = _joined(cells, low + (cells + 0.5) * voxel, depth[tuple(cells.T)])
    seconds = time.perf_counter() - start
    assert mesh_surface_area(vertices, faces) > 0.0
    found = SimpleNamespace(table=table, origin_mm=table.origin_mm)
    return Ran(seconds, score(made, found, volume_cm3=volume_cm3), len(table.parent))


def _joined(cells: np.ndarray, places: np.ndarray, radius: np.ndarray) -> SimpleNamespace:
    """Thinned cells as a tree from the lowest one: shortest links, spurs cut, a row from cell to cell."""
    index = {tuple(cell): number for number, cell in enumerate(cells.tolist())}
    steps = [(i, j, k) for i in (-1, 0, 1) for j in (-1, 0, 1) for k in (-1, 0, 1) if (i, j, k) > (0, 0, 0)]
    links = [
        (number, index[there])
        for (x, y, z), number in list(index.items())
        for i, j, k in steps
        if (there := (x + i, y + j, z + k)) in index
    ]
    one, two = np.array(links).T
    far = np.linalg.norm(places[one] - places[two], axis=1)
    graph = minimum_spanning_tree(coo_array((far, (one, two)), shape=(len(cells), len(cells))).tocsr())
    root = int(np.argmin(places[:, 2]))
    order, above = breadth_first_order(graph, root, directed=False)
    keep = _without_spurs(order, above, places)
    order = [each for each in order if keep[each]]
    row = {each: number - 1 for number, each in enumerate(order)}  # the root is a place, not a row
    rows = order[1:]
    ways = places[rows] - places[above[rows]]
    length = np.linalg.norm(ways, axis=1)
    parent = np.array([row[above[each]] for each in rows])
    parent[0] = -1
    parent[1:] = np.maximum(parent[1:], 0)
    return SimpleNamespace(
        parent=parent,
        order=np.zeros(len(rows), dtype=np.int64),
        length_mm=length,
        direction=ways / length[:, None],
        wood_mm2=np.pi * np.maximum(radius[rows], 0.05) ** 2,
        origin_mm=places[root],
    )


def _without_spurs(order: np.ndarray, above: np.ndarray, places: np.ndarray) -> np.ndarray:
    children = np.bincount(above[order[1:]], minlength=len(places))
    keep = np.ones(len(places), dtype=bool)
    for tip in order[::-1]:
        if children[tip] != 0:
            continue
        chain, length, here = [], 0.0, int(tip)
        while above[here] >= 0 and children[here] <= 1:
            chain.append(here)
            length += float(np.linalg.norm(places[here] - places[above[here]]))
            here = int(above[here])
        if length < SPUR_MM and above[here] >= 0:
            keep[chain] = False
    return keep


def our_way(cameras: tuple[Camera, ...], pictures: list[np.ndarray], made: Tree) -> Ran:
    """The package's own measuring, after a first run that compiles."""
    start = time.perf_counter()
    views = [View(camera, picture) for camera, picture in zip(cameras, pictures, strict=True)]
    found = reconstruct(views)
    seconds = time.perf_counter() - start
    told = score(made, found.tree, volume_cm3=found.quality.volume_cm3)
    return Ran(seconds, told, found.tree.n)


def rows(ours: Ran, grid: Ran) -> list[tuple[str, Callable[[Ran], str]]]:
    """What is set side by side."""

    def radius(at: int) -> Callable[[Ran], str]:
        return lambda ran: f"{100 * ran.score.radius_error[at]:.1f} %"

    return [
        ("seconds", lambda ran: f"{ran.seconds:.1f}"),
        ("recall of length", lambda ran: f"{ran.score.recall:.3f}"),
        ("precision of length", lambda ran: f"{ran.score.precision:.3f}"),
        ("radius error, to 1.15 mm", radius(0)),
        ("radius error, to 1.6 mm", radius(1)),
        ("radius error, to 2.7 mm", radius(2)),
        ("radius error, to 5 mm", radius(3)),
        ("radius error, to 10 mm", radius(4)),
        ("radius error, above", radius(5)),
        ("volume over true", lambda ran: f"{ran.score.volume_ratio:.3f}"),
        ("tips found / right", lambda ran: f"{ran.score.tip_recall:.3f} / {ran.score.tip_precision:.3f}"),
        ("tips counted", lambda ran: f"{ran.score.tips} of {ran.score.tips_true}"),
        ("parents right", lambda ran: f"{ran.score.parents_right:.3f}"),
        ("segments", lambda ran: str(ran.segments)),
    ]


def main() -> None:
    """Print both ways side by side."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--voxel", type=float, default=1.0, help="side of a cell, mm")
    asked.add_argument("--small", action="store_true", help="a small tree and small pictures")
    wish = asked.parse_args()
    made = tree(SEED, SMALL if wish.small else SPECIMEN)
    surface = wood(made)
    size = (480, 640) if wish.small else (1200, 1600)
    cameras = turntable(surface, views=24, width_px=size[0], height_px=size[1])
    pictures = silhouettes(surface, cameras)
    length_m = made.length_mm / 1000.0
    print(f"{len(made.branches)} branches, {length_m:.1f} m, {len(cameras)} pictures {size[0]}x{size[1]}")
    warm = tree(SEED, SMALL)
    few = turntable(wood(warm), views=12, width_px=300, height_px=400)
    shown = silhouettes(wood(warm), few)
    our_way(few, shown, warm)  # compiles
    grid_way(few, shown, warm, 2.0)
    ours = our_way(cameras, pictures, made)
    grid = grid_way(cameras, pictures, made, wish.voxel)
    print(f"{'':28}{'ringwise':>16}{f'grid {wish.voxel:g} mm':>16}")
    for words, told in rows(ours, grid):
        print(f"{words:28}{told(ours):>16}{told(grid):>16}")
    print(f"{'time, grid over ringwise':28}{grid.seconds / ours.seconds:>16.1f}")


if __name__ == "__main__":
    main()
