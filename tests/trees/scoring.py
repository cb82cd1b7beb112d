"""How near a measured tree comes to the known one: found and invented wood, radii, tips, parents, angles.

Both trees are taken as lines with radii (`Wood`). Wood counts outside its parent only: what lies inside the
parent cannot be seen and would count twice. The measured tree is any object with the columns of a table of
segments; nothing of the measuring itself is used here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from trees.generator import Array, Tree

CLASSES_MM = (0.0, 1.15, 1.6, 2.7, 5.0, 10.0, np.inf)
STEP_MM = 0.5
TIP_NEAR_MM = 5.0
NOWHERE = -2  # instead of a branch: no true wood there


@dataclass(frozen=True)
class Wood:
    """Lines with radii at their nodes; `parent` is the line that each starts on, -1 for the first."""

    lines: tuple[Array, ...]
    radii: tuple[Array, ...]
    parent: tuple[int, ...]
    order: tuple[int, ...]


@dataclass(frozen=True)
class Samples:
    """Places along all lines, evenly: radius, line, distance on it, length stood for, outside the parent."""

    points: Array
    radius: Array
    line: NDArray[np.int64]
    along: Array
    step: Array
    outside: NDArray[np.bool_]


@dataclass(frozen=True)
class Score:
    """What was found of the known tree; shares from 0 to 1, ratios are measured over true."""

    recall: float
    precision: float
    radius_error: tuple[float, ...]  # median |dr| / r by class of CLASSES_MM, NaN where there is none
    radius_bias: tuple[float, ...]
    girth_p50: float
    girth_p90: float
    girth_max: float
    tip_recall: float
    tip_precision: float
    tips: int
    tips_true: int
    volume_ratio: float
    length_ratio: float
    height_ratio: float
    parents_right: float
    parents_scored: int
    angle_error_deg: float

    @property
    def tip_count_error(self) -> float:
        """Tips counted beside the true ones, as a share of these."""
        return abs(self.tips - self.tips_true) / self.tips_true

    def told(self) -> str:
        """Some lines to read."""
        errors = " / ".join(f"{100 * each:.1f}" for each in self.radius_error)
        biases = " / ".join(f"{100 * each:+.1f}" for each in self.radius_bias)
        return "\n".join(
            [
                f"recall {self.recall:.3f}  precision {self.precision:.3f}",
                f"radius error % {errors}  (below 1.15 / 1.6 / 2.7 / 5 / 10 mm / above), bias {biases}",
                f"girth error % p50 {100 * self.girth_p50:.2f} p90 {100 * self.girth_p90:.2f}"
                f" max {100 * self.girth_max:.2f}",
                f"tips {self.tips} of {self.tips_true}: recall {self.tip_recall:.3f}"
                f" precision {self.tip_precision:.3f}",
                f"volume {self.volume_ratio:.3f}  length {self.length_ratio:.3f}"
                f"  height {self.height_ratio:.4f}",
                f"parents {self.parents_right:.3f} of {self.parents_scored}"
                f"  angle {self.angle_error_deg:.2f} deg",
            ]
        )


def wood_of_tree(made: Tree) -> Wood:
    """The known tree as lines."""
    return Wood(
        tuple(branch.points_mm for branch in made.branches),
        tuple(branch.radii_mm for branch in made.branches),
        tuple(branch.parent for branch in made.branches),
        tuple(branch.order for branch in made.branches),
    )


def wood_of_table(table: Any, origin_mm: Sequence[float] = (0.0, 0.0, 0.0)) -> Wood:
    """A table of segments as lines: a row is continued by a child of its own order, else by the thickest."""
    parent = np.asarray(table.parent, dtype=np.int64)
    order = np.asarray(table.order, dtype=np.int64)
    thick = np.asarray(table.wood_mm2, dtype=np.float64)
    steps = (
        np.asarray(table.direction, dtype=np.float64) * np.asarray(table.length_mm, dtype=np.float64)[:, None]
    )
    ends = np.empty_like(steps)
    for row, above in enumerate(parent):
        ends[row] = steps[row] + (ends[above] if above >= 0 else np.asarray(origin_mm, dtype=np.float64))
    heir = np.full(len(parent), -1)
    for row in range(1, len(parent)):
        best = heir[parent[row]]
        rank = (order[row] == order[parent[row]], thick[row])
        if best < 0 or rank > (order[best] == order[parent[row]], thick[best]):
            heir[parent[row]] = row
    line_of = np.full(len(parent), -1)
    lines, radii, parents, orders = [], [], [], []
    for row, above in enumerate(parent):
        if above >= 0 and heir[above] == row:
            continue
        chain = [row]
        while heir[chain[-1]] >= 0:
            chain.append(int(heir[chain[-1]]))
        line_of[chain] = len(lines)
        lines.append(np.concatenate([[ends[row] - steps[row]], ends[chain]]))
        lower = np.sqrt(thick[chain] / np.pi)
        radii.append(np.concatenate([lower, lower[-1:]]))
        parents.append(int(line_of[above]) if above >= 0 else -1)
        orders.append(int(order[row]))
    return Wood(tuple(lines), tuple(radii), tuple(parents), tuple(orders))


def samples(wood: Wood) -> Samples:
    """Places every half millimetre or so along each line."""
    points, radius, line, along, step, outside = [], [], [], [], [], []
    for number, nodes in enumerate(wood.lines):
        at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(nodes, axis=0), axis=1))])
        count = max(1, round(at[-1] / STEP_MM))
        here = (np.arange(count) + 0.5) * at[-1] / count
        place = np.column_stack([np.interp(here, at, nodes[:, axis]) for axis in range(3)])
        points.append(place)
        radius.append(np.interp(here, at, wood.radii[number]))
        line.append(np.full(count, number))
        along.append(here)
        step.append(np.full(count, at[-1] / count))
        above = wood.parent[number]
        outside.append(
            np.ones(count, dtype=bool) if above < 0 else _left(place, wood.lines[above], wood.radii[above])
        )
    return Samples(
        np.concatenate(points),
        np.concatenate(radius),
        np.concatenate(line),
        np.concatenate(along),
        np.concatenate(step),
        np.concatenate(outside),
    )


def _left(places: Array, nodes: Array, radii: Array) -> NDArray[np.bool_]:
    """Whether a line that starts on another has come out of it; once out, it stays out."""
    near = np.linalg.norm(nodes - places[0], axis=1) < 4.0 * radii.max() + 10.0
    first = max(int(np.argmax(near)) - 1, 0)
    last = min(len(near) - int(np.argmax(near[::-1])) + 1, len(near))
    nodes, radii = nodes[first:last], radii[first:last]
    steps = np.diff(nodes, axis=0)
    square = np.maximum(np.sum(steps * steps, axis=1), 1e-12)
    out = np.zeros(len(places), dtype=bool)
    for index, place in enumerate(places):
        share = np.clip(np.sum((place - nodes[:-1]) * steps, axis=1) / square, 0.0, 1.0)
        far = np.linalg.norm(place - nodes[:-1] - share[:, None] * steps, axis=1)
        if (far > radii[:-1] + share * np.diff(radii)).all():
            out[index:] = True
            break
    return out


def volume_mm3(taken: Samples) -> float:
    """Wood outside the parents."""
    return float(np.sum(np.pi * taken.radius**2 * taken.step * taken.outside))


def length_mm(taken: Samples) -> float:
    """Length outside the parents."""
    return float(np.sum(taken.step * taken.outside))


def score(made: Tree, measured: Any, *, volume_cm3: float | None = None) -> Score:
    """Hold a measured tree to the known one.

    `measured` is a table of segments, or has one as `table`, with `sections` and `origin_mm`.
    `volume_cm3` is the volume that the measuring itself tells, where that is to be judged.
    """
    table = getattr(measured, "table", measured)
    origin = np.asarray(getattr(measured, "origin_mm", (0.0, 0.0, 0.0)), dtype=np.float64)
    true_wood, wood = wood_of_tree(made), wood_of_table(table, origin)
    truth, found = samples(true_wood), samples(wood)
    true_tree, tree = cKDTree(truth.points), cKDTree(found.points)
    far, nearest = tree.query(truth.points)
    hit = far <= np.maximum(1.5, truth.radius / 2.0)
    seen = truth.outside
    back, match = true_tree.query(found.points)
    right = back <= np.maximum(1.5, truth.radius[match] / 2.0)
    errors, biases = _radius_errors(true_wood, truth, found, hit & seen, nearest)
    girth = _girth_errors(made, wood, tuple(getattr(measured, "sections", ())))
    tips = np.array([nodes[-1] for nodes in wood.lines])
    true_tips = np.array([nodes[-1] for nodes in true_wood.lines])
    parents, scored, angle = _forks(true_wood, truth, wood, found, hit, nearest)
    volume = volume_mm3(found) if volume_cm3 is None else 1000.0 * volume_cm3
    top = max(nodes[:, 2].max() for nodes in wood.lines)
    return Score(
        recall=float(np.sum(truth.step[seen & hit]) / np.sum(truth.step[seen])),
        precision=float(np.sum((found.step * right)[found.outside]) / np.sum(found.step[found.outside])),
        radius_error=errors,
        radius_bias=biases,
        girth_p50=float(np.median(girth)),
        girth_p90=float(np.quantile(girth, 0.9)),
        girth_max=float(girth.max()),
        tip_recall=float(np.mean(cKDTree(tips).query(true_tips)[0] < TIP_NEAR_MM)),
        tip_precision=float(np.mean(cKDTree(true_tips).query(tips)[0] < TIP_NEAR_MM)),
        tips=len(tips),
        tips_true=len(true_tips),
        volume_ratio=volume / volume_mm3(truth),
        length_ratio=length_mm(found) / length_mm(truth),
        height_ratio=float(top / made.height_mm),
        parents_right=parents,
        parents_scored=scored,
        angle_error_deg=angle,
    )


def _radius_errors(
    wood: Wood, truth: Samples, found: Samples, hit: NDArray[np.bool_], nearest: NDArray[np.int64]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Median error and bias by class of true radius; the rounded end of a twig does not count."""
    ends = np.array([np.linalg.norm(np.diff(nodes, axis=0), axis=1).sum() for nodes in wood.lines])
    counted = hit & (ends[truth.line] - truth.along > truth.radius)
    off = found.radius[nearest] / truth.radius - 1.0
    errors, biases = [], []
    for low, high in pairwise(CLASSES_MM):
        one = off[counted & (truth.radius >= low) & (truth.radius < high)]
        errors.append(float(np.median(np.abs(one))) if len(one) else np.nan)
        biases.append(float(np.median(one)) if len(one) else np.nan)
    return tuple(errors), tuple(biases)


def _girth_errors(made: Tree, wood: Wood, sections: Sequence[Any]) -> Array:
    """Of the trunk from 15 mm up to four fifths of its height, every 5 mm: share off what a tape reads."""
    top = made.branches[0].points_mm[-1, 2]
    heights = np.arange(15.0, 0.8 * top, 5.0)
    true = np.array([made.girth_at_mm(height) for height in heights])
    if len(sections) > 2:
        at = sorted((float(each.height_mm), float(each.girth_mm)) for each in sections)
        low, girths = np.array(at).T
    else:
        low, girths = np.maximum.accumulate(wood.lines[0][:, 2]), 2.0 * np.pi * wood.radii[0]
    return np.abs(np.interp(heights, low, girths) / true - 1.0)


def _forks(
    true_wood: Wood,
    truth: Samples,
    wood: Wood,
    found: Samples,
    hit: NDArray[np.bool_],
    nearest: NDArray[np.int64],
) -> tuple[float, int, float]:
    """Share of right parents among matched branches of order 1 and 2, how many, and their angles' error."""
    visible = np.nonzero(truth.outside)[0]
    far, near = cKDTree(truth.points[visible]).query(found.points)
    label = truth.line[visible][near]
    label[far > np.maximum(1.5, truth.radius[visible][near])] = NOWHERE
    starts = _starts(wood, found)
    right, angles = [], []
    for number, order in enumerate(true_wood.order):
        if order not in (1, 2):
            continue
        own = np.nonzero((truth.line == number) & truth.outside)[0]
        if np.mean(hit[own]) < 0.5:
            continue
        first = own[hit[own]][0]
        got = _below(wood, found, starts, label, int(nearest[first]), number)
        right.append(got == true_wood.parent[number])
        angles.append(_angle_error(true_wood, truth, found, nearest, own, number))
    told = np.array([each for each in angles if np.isfinite(each)])
    return float(np.mean(right)), len(right), float(np.median(told)) if len(told) else np.nan


def _starts(wood: Wood, found: Samples) -> NDArray[np.int64]:
    """The sample on its parent's line that each line starts from, -1 for the first line."""
    first = np.searchsorted(found.line, np.arange(len(wood.lines)))
    last = np.searchsorted(found.line, np.arange(len(wood.lines)), side="right")
    out = np.full(len(wood.lines), -1)
    for number, above in enumerate(wood.parent):
        if above >= 0:
            places = found.points[first[above] : last[above]]
            out[number] = first[above] + np.argmin(np.linalg.norm(places - wood.lines[number][0], axis=1))
    return out


def _below(
    wood: Wood,
    found: Samples,
    starts: NDArray[np.int64],
    label: NDArray[np.int64],
    sample: int,
    own: int,
) -> int:
    """The true branch that a walk down from a sample arrives on: where most of 8 mm beyond it lies."""
    votes: list[int] = []
    walked = 0.0
    while sample >= 0 and walked < 8.0:
        if label[sample] != NOWHERE and (votes or label[sample] != own):
            votes.append(int(label[sample]))
            walked += float(found.step[sample])
        line = found.line[sample]
        sample = sample - 1 if sample > 0 and found.line[sample - 1] == line else int(starts[line])
    votes = [each for each in votes if each != own]
    return max(set(votes), key=votes.count) if votes else -1


def _angle_error(
    true_wood: Wood,
    truth: Samples,
    found: Samples,
    nearest: NDArray[np.int64],
    own: NDArray[np.int64],
    number: int,
) -> float:
    """Difference of the angle between a branch's first 20 mm and its parent, true and found, in degrees."""
    above = true_wood.parent[number]
    line = np.nonzero(truth.line == above)[0]
    fork = line[np.argmin(np.linalg.norm(truth.points[line] - true_wood.lines[number][0], axis=1))]
    low, high = max(fork - 20, line[0]), min(fork + 20, line[-1])
    first, last = own[0], own[min(40, len(own) - 1)]
    chosen = np.array([low, high, first, last])

    def angle(places: Array) -> float:
        up, out = places[1] - places[0], places[3] - places[2]
        norm = np.linalg.norm(up) * np.linalg.norm(out)
        return float(np.degrees(np.arccos(np.clip(up @ out / norm, -1.0, 1.0)))) if norm > 0.0 else np.nan

    return abs(angle(truth.points[chosen]) - angle(found.points[nearest[chosen]]))
