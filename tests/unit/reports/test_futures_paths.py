"""Drawn trees are small and true: no drift, no node moved further than the pen's bend, no tree too long."""

from __future__ import annotations

import re

import numpy as np
import pytest
from futures_sample import FORM
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.faces.reports.futures_paths import LARGE, SMALL, Pen, path_text, thinned, tree_paths
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.silhouette import Silhouette, silhouette
from ringwise.structure.tape_tree import tree_from_tape


@pytest.fixture(scope="module")
def tree() -> Silhouette:
    """A tree with some two thousand shapes."""
    table = tree_from_tape(tape_from_basics(140.0, 900.0, FORM, seed=5), seed=3, form=FORM)
    return silhouette(table, stroke_below_mm=1.0)


def _way_off(point: np.ndarray, line: np.ndarray) -> float:
    """How far a point lies from a broken line."""
    start, step = line[:-1], np.diff(line, axis=0)
    long = np.maximum((step**2).sum(axis=1), 1e-12)
    frac = np.clip(((point - start) * step).sum(axis=1) / long, 0.0, 1.0)
    return float(np.hypot(*(start + frac[:, None] * step - point).T).min())


def _lines(path: str) -> list[np.ndarray]:
    """The subpaths of path data in whole steps, as points."""
    out, at = [], np.zeros(2)
    for part in re.findall(r"m[^mz]*z?", path):
        points = (
            np.array([int(each) for each in re.findall(r"-?\d+", part)]).reshape(-1, 2).cumsum(axis=0) + at
        )
        at = points[0] if part.endswith("z") else points[-1]
        out.append(points)
    return out


def test_drawing_steps_add_up_without_drift() -> None:
    points = np.rint(np.cumsum(np.full((200, 2), 1.04), axis=0) * 5).astype(np.int64)
    text = path_text(points, closed=False) + path_text(points[::-1], closed=True, start=tuple(points[-1]))
    there, back = _lines(text)
    np.testing.assert_array_equal(there, points)
    np.testing.assert_array_equal(back, points[::-1])


def test_a_shape_of_one_place_is_a_dot_not_nothing() -> None:
    assert path_text(np.array([[3, 4], [3, 4]]), closed=False) == "m3 4 0 0"


@given(
    steps=st.lists(
        st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=2, max_size=25),
        min_size=1,
        max_size=4,
    ),
    bend_px=st.floats(0.05, 2.0),
)
@settings(max_examples=150, deadline=None)
def test_thinning_keeps_ends_and_moves_no_line_far(
    steps: list[list[tuple[float, float]]], bend_px: float
) -> None:
    lines = [np.cumsum(np.array(each), axis=0) for each in steps]
    points, sizes = thinned(np.concatenate(lines), np.array([len(each) for each in lines]), bend_px)
    for before, after in zip(lines, np.split(points, np.cumsum(sizes)[:-1]), strict=True):
        np.testing.assert_array_equal(after[0], before[0])
        np.testing.assert_array_equal(after[-1], before[-1])
        # six passes, each of which may leave out a node that lies `bend_px` off the line that stays
        assert max(_way_off(each, after) for each in before) <= 6 * bend_px + 1e-9


def test_nodes_on_a_straight_line_are_left_out_and_a_corner_stays() -> None:
    line = np.array([[0.0, 0], [1, 0], [2, 0], [3, 0], [3, 5], [3, 6]])
    points, sizes = thinned(line, np.array([6]), 0.1)
    assert sizes.tolist() == [3]
    assert points.tolist() == [[0, 0], [3, 0], [3, 6]]


@pytest.mark.parametrize(
    ("pen", "tall_px", "most_bytes"), [(LARGE, 250.0, 26_000), (SMALL, 80.0, 6_500)], ids=("large", "small")
)
def test_a_large_tree_stays_short_and_fills_its_frame(
    tree: Silhouette, pen: Pen, tall_px: float, most_bytes: int
) -> None:
    assert len(tree.shapes) > 1500
    k = tall_px / tree.top_mm
    text = tree_paths(tree, k, 0.0, 0.0, pen)
    assert len(text) <= most_bytes
    drawn = np.concatenate([line for path in re.findall(r'd="([^"]*)"', text) for line in _lines(path)])
    drawn = drawn * pen.tick_px
    # what is left out at the rim is twigs: the outline of the whole stays within a few pixels
    assert abs(drawn[:, 1].min() + tall_px) < 3.0
    assert abs(drawn[:, 0].min() - tree.left_mm * k) < 6.0
    assert abs(drawn[:, 0].max() - tree.right_mm * k) < 6.0
