"""Leafless trees made by rules of their own, known in every radius: the truth that measuring is held against.

A tree is a list of branches. Each is a line of nodes a millimetre or two apart, with the radius of the circle
of equal area at each node and the outline of the section about the line. A branch starts at a node on its
parent's axis, so its first nodes lie inside the parent; `exit_node` is the first one outside.

World: mm, x to the right, y to the back, z up, the root at the origin on the soil.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

Array = NDArray[np.float64]

GOLDEN_RAD = np.pi * (3.0 - np.sqrt(5.0))
OUTLINE = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)


@dataclass(frozen=True)
class Outline:
    """A section's shape: an ellipse with lobes; `shape` gives radii whose area is that of the unit circle."""

    flat: float = 1.0  # short axis over long axis
    turn_rad: float = 0.0
    lobes: tuple[tuple[int, float, float], ...] = ()  # waves round the section: count, share, phase

    def shape(self, angle_rad: Array, strength: float | Array = 1.0) -> Array:
        """Radius by direction, for lobes of the given strength; flatness fades with the lobes."""
        strength = np.asarray(strength, dtype=np.float64)
        flat = 1.0 - (1.0 - self.flat) * np.minimum(strength, 1.0)
        return self._plain(angle_rad, strength, flat) / np.sqrt(
            np.mean(self._plain(OUTLINE, strength[..., None], flat[..., None]) ** 2, axis=-1)
        )

    def _plain(self, angle_rad: Array, strength: Array, flat: Array) -> Array:
        turned = angle_rad - self.turn_rad
        radius = flat / np.sqrt((flat * np.cos(turned)) ** 2 + np.sin(turned) ** 2)
        waves = sum(share * np.cos(count * angle_rad + phase) for count, share, phase in self.lobes)
        return radius * (1.0 + strength * waves)


ROUND = Outline()


@dataclass(frozen=True)
class Branch:
    """One branch; `node` is the parent's node it starts at, -1 for the trunk."""

    parent: int
    order: int
    node: int
    points_mm: Array  # (m, 3)
    radii_mm: Array  # (m,) of the circle of equal area
    outline: Outline
    strength: Array  # (m,) how strongly the outline departs from the circle
    exit_node: int

    @property
    def length_mm(self) -> float:
        """Along the whole line, the part inside the parent too."""
        return float(np.linalg.norm(np.diff(self.points_mm, axis=0), axis=1).sum())

    def along_mm(self) -> Array:
        """Distance of each node from the first."""
        steps = np.linalg.norm(np.diff(self.points_mm, axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)])

    def girth_mm(self, node: int) -> float:
        """What a tape reads round the section: the length of its convex hull."""
        shape = self.outline.shape(OUTLINE, self.strength[node])
        flat = self.radii_mm[node] * shape * np.exp(1j * OUTLINE)
        return convex_length(np.column_stack([flat.real, flat.imag]))


def convex_length(points: Array) -> float:
    """Length round the convex hull of points of a plane."""
    return float(ConvexHull(points).area)  # of a flat hull this is its perimeter


@dataclass(frozen=True)
class Tree:
    """Branches, each after its parent; the first is the trunk."""

    branches: tuple[Branch, ...]
    seed: int
    name: str = ""

    @property
    def height_mm(self) -> float:
        """Highest node."""
        return float(max(branch.points_mm[:, 2].max() for branch in self.branches))

    @property
    def length_mm(self) -> float:
        """All lines together."""
        return sum(branch.length_mm for branch in self.branches)

    def counts(self) -> list[int]:
        """How many branches of each order."""
        orders = [branch.order for branch in self.branches]
        return [orders.count(order) for order in range(max(orders) + 1)]

    def girth_at_mm(self, height_mm: float) -> float:
        """Of the trunk, where its axis first reaches a height; between nodes in proportion."""
        trunk = self.branches[0]
        above = int(np.argmax(trunk.points_mm[:, 2] >= height_mm))
        if above == 0:
            return trunk.girth_mm(0)
        low, high = trunk.points_mm[above - 1, 2], trunk.points_mm[above, 2]
        share = (height_mm - low) / (high - low)
        return trunk.girth_mm(above - 1) * (1.0 - share) + trunk.girth_mm(above) * share


@dataclass(frozen=True)
class Rules:
    """How a tree is made; the defaults give a leafless tree of about 56 cm with about 245 branches."""

    height_mm: float = 552.0
    base_radius_mm: float = 24.0
    flare: float = 0.3  # how much wider the base is than the taper alone gives
    outline: Outline = field(
        default=Outline(flat=0.84, turn_rad=0.5, lobes=((3, 0.06, 0.3), (5, 0.025, 1.0)))
    )
    lean_deg: float = 4.0
    twin: float = 0.0  # radius of a second trunk over that of the first; 0 is none
    branches: tuple[int, int, int] = (14, 61, 169)  # wanted of order 1, 2, 3
    longest_mm: tuple[float, float, float] = (205.0, 88.0, 34.0)
    rise_deg: tuple[float, float] = (8.0, 58.0)  # above the level, of low and of high branches
    hanging: float = 0.0  # how much the first branch weeps
    tip_radius_mm: tuple[float, float] = (0.9, 1.1)
    clear_mm: float = 0.6  # least gap between the surfaces of two branches that are not joined
    collar: float = 0.22


SPECIMEN = Rules()
DENSE = replace(
    SPECIMEN, branches=(22, 178, 555), longest_mm=(225.0, 92.0, 32.0), clear_mm=0.5, rise_deg=(4.0, 66.0)
)
SMALL = replace(
    SPECIMEN,
    height_mm=180.0,
    base_radius_mm=11.0,
    branches=(7, 14, 14),
    longest_mm=(85.0, 40.0, 18.0),
    tip_radius_mm=(1.0, 1.2),
)


class _Growing:
    """Branches made so far, and their nodes in one list for the check that no two run into each other."""

    def __init__(self, rules: Rules, rng: np.random.Generator) -> None:
        self.rules, self.rng = rules, rng
        self.branches: list[Branch] = []
        self.radii: list[Array] = []
        self.low, self.high = np.empty((0, 3)), np.empty((0, 3))  # the box about each branch

    def keep(self, branch: Branch) -> int:
        number = len(self.branches)
        self.branches.append(branch)
        # The widest part of the section counts for the gap.
        self.radii.append(branch.radii_mm * branch.outline.shape(OUTLINE).max())
        reach = self.radii[-1][:, None]
        self.low = np.concatenate([self.low, [(branch.points_mm - reach).min(axis=0)]])
        self.high = np.concatenate([self.high, [(branch.points_mm + reach).max(axis=0)]])
        return number

    def clear(self, points: Array, radii: Array, parent: int, free: int) -> bool:
        """Whether a new line keeps off other wood, off its parent's only beyond `free` nodes."""
        if points[:, 2].min() < -60.0:
            return False
        nodes, wide, owner = self._near(points, radii)
        if len(nodes) == 0:
            return True
        gap = np.linalg.norm(points[:, None] - nodes[None], axis=2)
        gap -= radii[:, None] + wide[None] + self.rules.clear_mm
        gap[:free, owner == parent] = np.inf
        return bool(gap.min() >= 0.0)

    def _near(self, points: Array, radii: Array) -> tuple[Array, Array, NDArray[np.int64]]:
        """Nodes of the branches whose box comes near the new line."""
        pad = float(radii.max()) + self.rules.clear_mm
        low, high = points.min(axis=0) - pad, points.max(axis=0) + pad
        found: tuple[list[Array], list[Array], list[NDArray[np.int64]]] = ([], [], [])
        boxes = np.all((self.high >= low) & (self.low <= high), axis=1)
        for number in np.nonzero(boxes)[0]:
            branch = self.branches[number]
            nodes, wide = branch.points_mm[branch.exit_node :], self.radii[number][branch.exit_node :]
            reach = wide[:, None]
            near = np.all((nodes + reach >= low) & (nodes - reach <= high), axis=1)
            if near.any():
                found[0].append(nodes[near])
                found[1].append(wide[near])
                found[2].append(np.full(int(near.sum()), number))
        if not found[0]:
            return np.empty((0, 3)), np.empty(0), np.empty(0, dtype=np.int64)
        return np.concatenate(found[0]), np.concatenate(found[1]), np.concatenate(found[2])


def _line(
    rng: np.random.Generator, start: Array, toward: Array, length: float, step: float, up: float, wave: float
) -> Array:
    """A line of nodes that sways about its course and bends upwards (or down, for a negative `up`)."""
    count = max(4, round(length / step))
    step = length / count
    side = np.cross(toward, [0.0, 0.0, 1.0])
    side = side / np.linalg.norm(side) if np.linalg.norm(side) > 1e-6 else np.array([1.0, 0.0, 0.0])
    other = np.cross(side, toward)
    along = np.linspace(0.0, 1.0, count)
    sway = np.zeros((count, 2))
    for waves, share in ((1.0, 1.0), (2.3, 0.7), (4.1, 0.4)):
        sway += share * np.sin(2 * np.pi * waves * along[:, None] + rng.uniform(0, 2 * np.pi, 2)) * wave
    sway *= np.minimum(1.0, along * 6.0)[:, None]
    ways = toward + sway[:, :1] * side + sway[:, 1:] * other
    ways = ways + np.outer(along * up, [0.0, 0.0, 1.0])
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    return np.concatenate([start[None], start + np.cumsum(ways * step, axis=0)])


def _trunk(rules: Rules, rng: np.random.Generator) -> Branch:
    lean = np.radians(rules.lean_deg)
    way = rng.uniform(0.0, 2.0 * np.pi)
    toward = np.array([np.sin(lean) * np.cos(way), np.sin(lean) * np.sin(way), np.cos(lean)])
    length = rules.height_mm / max(np.cos(lean), 0.3)
    points = _line(rng, np.zeros(3), toward, length, 2.0, 0.0, 0.11)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    share = along / along[-1]
    tip = rng.uniform(*rules.tip_radius_mm)
    radii = tip + (rules.base_radius_mm - tip) * (1.0 - share) ** 1.08
    radii = radii * (1.0 + rules.flare * np.exp(-along / (0.9 * rules.base_radius_mm)))
    return Branch(-1, 0, -1, points, radii, rules.outline, np.exp(-2.2 * share), 0)


def _side_branch(
    growing: _Growing, parent: int, node: int, toward: Array, length: float, ratio: float, up: float
) -> bool:
    """Try to add a branch; refused where it would run into other wood."""
    rules, rng = growing.rules, growing.rng
    above = growing.branches[parent]
    inside = float(above.radii_mm[node])
    points = _line(rng, above.points_mm[node], toward, length + inside, 1.4, up, 0.16)
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    tip = rng.uniform(*rules.tip_radius_mm)
    base = max(tip * 1.12, ratio * inside)
    radii = tip + (base - tip) * (1.0 - along / along[-1]) ** 0.9
    near = slice(max(node - 40, 0), node + 40)
    far = _distance_to(points, above.points_mm[near], above.radii_mm[near])
    outside = np.nonzero(far > 0.0)[0]
    if len(outside) == 0 or outside[0] >= len(points) - 4:
        return False
    leaves = int(outside[0])
    radii = radii * (1.0 + rules.collar * np.exp(-np.maximum(along - along[leaves], 0.0) / (0.7 * base)))
    # Next to the fork a branch cannot but be near its parent.
    free = int(np.searchsorted(along, along[leaves] + 1.2 * inside + 3.0 * base))
    if not growing.clear(points[leaves:], radii[leaves:], parent, min(free, len(points) - 2) - leaves):
        return False
    outline = Outline(flat=float(rng.uniform(0.93, 1.0)), turn_rad=float(rng.uniform(0, np.pi)))
    strength = np.ones(len(points))
    order = above.order + 1
    growing.keep(Branch(parent, order, node, points, radii, outline, strength, leaves))
    return True


def _distance_to(points: Array, line: Array, radii: Array) -> Array:
    """Distance of points from the surface about a line, below zero inside; sections taken as round."""
    steps = np.diff(line, axis=0)
    square = np.sum(steps * steps, axis=1)
    share = np.clip(np.sum((points[:, None] - line[:-1]) * steps, axis=2) / square, 0.0, 1.0)
    foot = line[:-1] + share[..., None] * steps
    wide = radii[:-1] + share * np.diff(radii)
    return np.asarray((np.linalg.norm(points[:, None] - foot, axis=2) - wide).min(axis=1))


def _frame(axis: Array) -> tuple[Array, Array]:
    """Two directions across an axis, the first level."""
    side = np.cross([0.0, 0.0, 1.0], axis)
    norm = float(np.linalg.norm(side))
    side = side / norm if norm > 1e-6 else np.array([1.0, 0.0, 0.0])
    return side, np.cross(axis, side)


def _tangent(branch: Branch, node: int) -> Array:
    low, high = max(node - 2, 0), min(node + 2, len(branch.points_mm) - 1)
    way = branch.points_mm[high] - branch.points_mm[low]
    return np.asarray(way / np.linalg.norm(way))


def _first_order(growing: _Growing) -> None:
    rules, rng = growing.rules, growing.rng
    wanted = rules.branches[0]
    trunk = growing.branches[0]
    azimuth = rng.uniform(0.0, 2.0 * np.pi)
    for number in range(wanted):
        share = 0.2 + 0.74 * (number + 0.5) / wanted
        for _attempt in range(12):
            near = share + rng.uniform(-0.3, 0.3) / wanted
            node = int(np.clip(near * (len(trunk.points_mm) - 1), 4, len(trunk.points_mm) - 6))
            turn = azimuth + number * GOLDEN_RAD + rng.normal(0.0, 0.25)
            rise = np.radians(rules.rise_deg[0] + (rules.rise_deg[1] - rules.rise_deg[0]) * near)
            hang = rules.hanging if number == 0 else 0.0
            toward = np.array([np.cos(rise) * np.cos(turn), np.cos(rise) * np.sin(turn), np.sin(rise)])
            length = rules.longest_mm[0] * (1.02 - 0.68 * near) * rng.uniform(0.8, 1.15) * (1 + 0.6 * hang)
            ratio = rng.uniform(0.34, 0.5)
            if _side_branch(growing, 0, node, toward, length, ratio, 0.35 - 2.6 * hang):
                break


def _higher_order(growing: _Growing, order: int) -> None:
    rules, rng = growing.rules, growing.rng
    wanted = rules.branches[order - 1]
    parents = [n for n, branch in enumerate(growing.branches) if branch.order == order - 1]
    if not parents or wanted == 0:
        return
    free = np.array([growing.branches[n].length_mm for n in parents])
    made = 0
    used: dict[int, list[int]] = {n: [] for n in parents}
    for _attempt in range(30 * wanted):
        if made == wanted:
            return
        parent = int(rng.choice(parents, p=free / free.sum()))
        above = growing.branches[parent]
        count = len(above.points_mm)
        node = int(rng.integers(min(above.exit_node + 6, count - 4), count - 3))
        if any(abs(node - other) < 4 for other in used[parent]):
            continue
        side, up = _frame(_tangent(above, node))
        hand = 1.0 if len(used[parent]) % 2 else -1.0
        turn = rng.normal(0.0, 0.6) + (0.0 if hand > 0 else np.pi)
        angle = np.radians(rng.uniform(36.0, 66.0))
        across = np.cos(turn) * side + np.sin(turn) * up
        toward = np.cos(angle) * _tangent(above, node) + np.sin(angle) * across
        share = node / count
        length = rules.longest_mm[order - 1] * (1.05 - 0.55 * share) * rng.uniform(0.4, 1.1)
        if _side_branch(growing, parent, node, toward, length, rng.uniform(0.5, 0.72), 0.25):
            used[parent].append(node)
            made += 1


def tree(seed: int, rules: Rules = SPECIMEN, name: str = "") -> Tree:
    """A tree by its rules; the same seed gives the same tree."""
    rng = np.random.default_rng((77, seed))
    growing = _Growing(rules, rng)
    growing.keep(_trunk(rules, rng))
    if rules.twin > 0.0:
        trunk = growing.branches[0]
        toward = np.array([0.5, 0.12, 0.86])
        node = int(np.argmax(trunk.points_mm[:, 2] > 2.2 * rules.base_radius_mm))
        _side_branch(growing, 0, node, toward, 0.72 * rules.height_mm, rules.twin, 0.4)
    _first_order(growing)
    for order in (2, 3):
        _higher_order(growing, order)
    return Tree(tuple(growing.branches), seed, name)


def columns(made: Tree) -> dict[str, Any]:
    """The tree as columns of a table of segments: one row from node to node, each after its parent."""
    first: list[int] = []
    parent: list[NDArray[np.int64]] = []
    order, length, direction, wood, owner = [], [], [], [], []
    row = 0
    for number, branch in enumerate(made.branches):
        count = len(branch.points_mm) - 1
        first.append(row)
        rows = np.arange(row - 1, row + count - 1)
        # The row that ends at the node where this branch starts.
        rows[0] = -1 if branch.parent < 0 else first[branch.parent] + max(branch.node - 1, 0)
        steps = np.diff(branch.points_mm, axis=0)
        long = np.linalg.norm(steps, axis=1)
        parent.append(rows)
        length.append(long)
        direction.append(steps / long[:, None])
        wood.append(np.pi * branch.radii_mm[:-1] ** 2)
        order.append(np.full(count, branch.order))
        owner.append(np.full(count, number))
        row += count
    return {
        "parent": np.concatenate(parent),
        "order": np.concatenate(order),
        "length_mm": np.concatenate(length),
        "direction": np.concatenate(direction),
        "wood_mm2": np.concatenate(wood),
        "branch": np.concatenate(owner),
    }
