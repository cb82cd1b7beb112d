"""The mesh of a tree of 20,000 segments, against a loop over its segments in plain Python, in one run.

Ends with 1 where the budget is missed. The loop makes the same kind of tube, ring by ring, for every segment
alone; what is compared is the processor's time of a warm call on one core, the best of several, so that
what else runs on the machine counts little. Each call gets a table that has kept no sums yet.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.mesh.leaves import leaves_of
from ringwise.structure.mesh.scene import scene_glb
from ringwise.structure.mesh.tree_mesh import tree_mesh
from ringwise.structure.mesh.tubes import usual_sides
from ringwise.structure.table import SegmentTable

BUDGET_S = 0.1
SEGMENTS = 20_000


def tree_of(segments: int, seed: int = 7) -> MeasuredTree:
    """A trunk, limbs, branches and twigs by the pipe rule, with so many segments."""
    rng = np.random.default_rng(seed)
    parent, way, length, order = [-1], [np.array([0.0, 0.0, 1.0])], [14.0], [0]
    tips = [0]
    while len(parent) < segments:
        row = tips.pop(int(rng.integers(0, len(tips))))
        for number in range(1 if rng.uniform() < 0.8 or len(tips) > 3000 else 2):
            step = way[row] + rng.normal(0.0, 0.12 if number == 0 else 0.7, 3) + np.array([0.0, 0.0, 0.02])
            parent.append(row)
            way.append(step / np.linalg.norm(step))
            length.append(max(4.0, 14.0 * 0.8 ** order[row]))
            order.append(order[row] + (number > 0))
            tips.append(len(parent) - 1)
    n = len(parent)
    wood = np.zeros(n)
    for row in range(n - 1, -1, -1):
        wood[row] = max(wood[row], 0.8)
        if row:
            wood[parent[row]] += wood[row]
    bearing = np.isin(np.arange(n), parent)
    return measured_of(
        SegmentTable(
            parent=np.array(parent),
            order=np.array(order),
            born=np.zeros(n),
            length_mm=np.array(length),
            direction=np.array(way),
            wood_mm2=wood,
            sapwood_mm2=wood,
            leaf_cm2=np.where(bearing, 0.0, 12.0),
            buds=np.zeros(n),
            clone=np.zeros(n),
            flags=np.zeros(n),
        )
    )


def naive(measured: MeasuredTree) -> tuple[list[tuple[float, ...]], list[tuple[int, ...]]]:
    """A tube for every segment, in a loop."""
    table = measured.table
    points, faces = [], []
    sides_of = usual_sides().of(table.diameter_mm / 2.0)
    for row in range(table.n):
        start, end, way = table.start_mm[row], table.end_mm[row], table.direction[row].astype(float)
        sides = int(sides_of[row])
        out = math.sqrt(2.0 * math.pi / (sides * math.sin(2.0 * math.pi / sides)))
        side = np.cross(way, np.eye(3)[int(np.argmin(np.abs(way)))])
        side /= np.linalg.norm(side)
        other = np.cross(way, side)
        at = len(points)
        for where, diameter in ((start, table.diameter_mm[row]), (end, table.end_diameter_mm[row])):
            for corner in range(sides):
                turn = 2.0 * math.pi * corner / sides
                point = where + diameter / 2.0 * out * (math.cos(turn) * side + math.sin(turn) * other)
                points.append(tuple(point))
        for corner in range(sides):
            after = (corner + 1) % sides
            faces.append((at + corner, at + after, at + sides + after))
            faces.append((at + corner, at + sides + after, at + sides + corner))
    return points, faces


def fresh(tree: MeasuredTree) -> MeasuredTree:
    """The same tree as one that was just read."""
    return replace(tree, table=replace(tree.table))


def best_s(what: Callable[[], object], times: int) -> float:
    """The shortest of several calls."""
    spent = []
    for _round in range(times):
        began = time.process_time()
        what()
        spent.append(time.process_time() - began)
    return min(spent)


def main() -> None:
    """Print the table."""
    tree = tree_of(SEGMENTS)
    began = time.perf_counter()
    mesh = tree_mesh(tree)
    print(f"first call (compiles where nothing is cached) {time.perf_counter() - began:6.2f} s")
    print(f"{tree.n} segments: {len(mesh.positions)} vertices, {len(mesh.triangles)} triangles")
    whole = best_s(lambda: tree_mesh(fresh(tree)), 7)
    tubes = best_s(lambda: tree_mesh(fresh(tree), skin=False), 7)
    plain = best_s(lambda: naive(fresh(tree)), 1)
    print(f"skin and tubes    {whole:7.3f} s   budget {BUDGET_S} s")
    print(f"tubes alone       {tubes:7.3f} s")
    print(f"loop in Python    {plain:7.3f} s   ratio to skin and tubes {plain / whole:.0f}")
    print(f"                            ratio to tubes alone   {plain / tubes:.0f}")
    leaves = leaves_of(tree, stage="hardened")
    assert leaves is not None
    print(
        f"leaves            {best_s(lambda: leaves_of(tree, stage='hardened'), 3):7.3f} s   {leaves.n} blades"
    )
    for detail in ("full", "light"):
        size = len(scene_glb(tree, detail=detail, leaves=leaves))
        spent = best_s(lambda detail=detail: scene_glb(fresh(tree), detail=detail, leaves=leaves), 3)
        print(f"scene {detail:8s}    {spent:7.3f} s   {size / 1e6:.2f} MB")
    if whole > BUDGET_S:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
