"""Line drawings: what hides what, the size of the tree in the drawing, before and after a cut, the SVG."""

from __future__ import annotations

import math
import re
import time
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest

from ringwise.kit.errors import RangeError
from ringwise.structure.forms import TreeForm
from ringwise.structure.line_drawing import Cut, LineDrawing, line_drawing, view_frame
from ringwise.structure.line_svg import svg
from ringwise.structure.orders import gravelius_order
from ringwise.structure.surgery import attach
from ringwise.structure.table import Flag, SegmentTable, single_segment
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth, clock_direction
from ringwise.structure.tape_tree import tree_from_tape
from ringwise.structure.trunk_node import node_at

NOBODY = (False,) * 12  # no surface roots, so that only the wood is drawn


def _with_direction(stem: SegmentTable, way: tuple[float, float, float]) -> SegmentTable:
    from dataclasses import replace

    return replace(stem, direction=np.array([way]))


def crossing(clock: float) -> SegmentTable:
    """A post 200 mm high, and before or behind it (by the clock) an arm on a stalk that crosses it level."""
    post = single_segment(length_mm=100.0, diameter_mm=40.0)
    tree = attach(post, single_segment(length_mm=100.0, diameter_mm=38.0), 0)
    toward = clock_direction(clock)
    stalk = _with_direction(single_segment(length_mm=60.0, diameter_mm=20.0), tuple(toward))
    arm = _with_direction(single_segment(length_mm=120.0, diameter_mm=20.0), (1.0, 0.0, 0.0))
    back = _with_direction(single_segment(length_mm=120.0, diameter_mm=18.0), (-1.0, 0.0, 0.0))
    tree = attach(tree, stalk, 0)
    return attach(attach(tree, arm, 2), back, 2)


def _crosses(drawn: LineDrawing, x: tuple[float, float], y: tuple[float, float]) -> float:
    """Length of ink inside a box."""
    total = 0.0
    for mark in drawn.marks:
        if mark.layer == "hair":
            continue
        for start, end in zip(mark.points_mm[:-1], mark.points_mm[1:], strict=True):
            t = np.linspace(0.0, 1.0, 200)[:, None]
            at = start + t * (end - start)
            within = (at[:, 0] > x[0]) & (at[:, 0] < x[1]) & (at[:, 1] > y[0]) & (at[:, 1] < y[1])
            total += float(within.mean() * np.linalg.norm(end - start))
    return total


def test_an_arm_before_the_post_hides_its_edges_and_one_behind_is_hidden_by_it() -> None:
    before = line_drawing(crossing(6.0), dimensions=False, root_sectors=NOBODY)
    behind = line_drawing(crossing(12.0), dimensions=False, root_sectors=NOBODY)
    # the post's edge at x = 20 where the arm (y 90 to 110) crosses it; beyond the arm's own edges
    edge, crossed = (17.0, 23.0), (92.0, 108.0)
    assert _crosses(before, edge, crossed) == 0.0
    assert _crosses(behind, edge, crossed) == pytest.approx(16.0, abs=1.5)
    inside, along = (-15.0, 15.0), (86.0, 114.0)
    assert _crosses(behind, inside, along) == 0.0
    assert _crosses(before, inside, along) > 2 * 25.0


def test_from_the_other_side_what_was_behind_is_before() -> None:
    seen = line_drawing(crossing(12.0), view_clock=12.0, dimensions=False, root_sectors=NOBODY)
    assert _crosses(seen, (17.0, 23.0), (92.0, 108.0)) == 0.0


@pytest.mark.parametrize("clock", [6.0, 9.0, 1.3])
@pytest.mark.parametrize("elevation_deg", [0.0, 35.0, 90.0])
def test_the_viewers_axes_are_square_and_right_handed(clock: float, elevation_deg: float) -> None:
    frame = view_frame(clock, elevation_deg)
    assert np.allclose(frame.T @ frame, np.eye(3), atol=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)


def test_from_above_the_front_lies_at_the_foot_of_the_drawing() -> None:
    frame = view_frame(6.0, 90.0)
    right_up = (np.array([clock_direction(3.0), clock_direction(6.0), clock_direction(12.0)]) @ frame)[:, :2]
    assert np.allclose(right_up, [[1.0, 0.0], [0.0, -1.0], [0.0, 1.0]], atol=1e-12)


def _tape_tree() -> tuple[Tape, SegmentTable]:
    tape = Tape(
        440.0,
        (TapeGirth(20.0, 128.0), TapeGirth(220.0, 70.0)),
        (TapeBranch(140.0, 3.0, 14.0, 150.0, 24), TapeBranch(190.0, 9.0, 12.0, 130.0, 20)),
    )
    return tape, tree_from_tape(tape, seed=5, form=TreeForm())


def test_a_drawing_is_as_high_and_wide_as_the_tree() -> None:
    tape, table = _tape_tree()
    drawn = line_drawing(table, dimensions=False, root_sectors=NOBODY)
    ink = np.concatenate([m.points_mm for m in drawn.marks if m.layer != "hair"])
    assert float(ink[:, 1].max()) == pytest.approx(tape.height_mm, abs=3.0)
    assert float(np.ptp(ink[:, 0])) == pytest.approx(float(np.ptp(table.end_mm[:, 0])), rel=0.05)


def test_heavier_wood_is_drawn_heavier() -> None:
    _tape, table = _tape_tree()
    drawn = line_drawing(table, dimensions=False, root_sectors=NOBODY)
    widths = sorted({mark.width_mm / drawn.mm_per_px for mark in drawn.marks if mark.layer == "ink"})
    assert widths[-1] > 1.6 * widths[0]
    assert widths[-1] < 3.0  # three pixels are kept for what is now


def test_a_cut_parts_the_drawing_in_what_stays_and_what_goes() -> None:
    _tape, table = _tape_tree()
    drawn = line_drawing(table, cut=Cut(height_mm=160.0), dimensions=True, root_sectors=NOBODY)
    trunk_top = 160.0 + 4.0
    gone = [mark for mark in drawn.marks if mark.layer == "gone"]
    assert sum(float(np.linalg.norm(np.diff(mark.points_mm, axis=0), axis=1).sum()) for mark in gone) > 500.0
    for mark in gone:
        assert float(mark.points_mm[:, 1].min()) > 150.0
    stays = np.concatenate([m.points_mm for m in drawn.marks if m.layer == "ink" and len(m.points_mm) > 2])
    near_trunk = stays[np.abs(stays[:, 0]) < 12.0]
    assert float(near_trunk[:, 1].max()) < trunk_top + 12.0
    assert any("16 cm" in each.text for each in drawn.labels)


def test_a_cut_branch_leaves_the_trunk_in_ink() -> None:
    _tape, table = _tape_tree()
    heads = [r for r in range(table.n) if table.order[r] == 1 and table.order[table.parent[r]] == 0]
    drawn = line_drawing(table, cut=Cut(row=heads[0]), dimensions=False, root_sectors=NOBODY)
    gone = np.concatenate([m.points_mm for m in drawn.marks if m.layer.startswith("gone")])
    ink = np.concatenate([m.points_mm for m in drawn.marks if m.layer == "ink"])
    assert float(gone[:, 0].min()) > 0.0  # the branch at three o'clock stands to the right
    assert float(ink[:, 1].max()) > 400.0


def test_a_cut_above_the_tree_is_refused_with_the_range() -> None:
    _tape, table = _tape_tree()
    top_mm = table.end_mm[gravelius_order(table) == 0, 2].max()
    with pytest.raises(RangeError, match=rf"below the end of the trunk, {top_mm:.2f} mm"):
        line_drawing(table, cut=Cut(height_mm=900.0))


@pytest.mark.parametrize("height_mm", [3.0, 111.0, 371.3])
def test_a_node_in_the_trunk_changes_nothing_but_the_count_of_segments(height_mm: float) -> None:
    _tape, table = _tape_tree()
    parted, row = node_at(table, height_mm)
    assert parted.n in (table.n, table.n + 1)
    assert float(parted.start_mm[row, 2]) == pytest.approx(height_mm, abs=0.06)
    assert float(parted.length_mm.sum()) == pytest.approx(float(table.length_mm.sum()), rel=1e-6)

    def wood_mm3(each: SegmentTable) -> float:
        low, high = each.diameter_mm / 2.0, each.end_diameter_mm / 2.0
        return float((math.pi / 3.0 * each.length_mm * (low**2 + low * high + high**2)).sum())

    assert wood_mm3(parted) == pytest.approx(wood_mm3(table), rel=1e-5)
    tips = parted.end_mm[parted.continued_by < 0]
    assert np.allclose(
        np.sort(tips, axis=0), np.sort(table.end_mm[table.continued_by < 0], axis=0), atol=1e-3
    )


def test_an_earlier_cut_is_drawn_flat() -> None:
    stem = single_segment(length_mm=200.0, diameter_mm=60.0)
    from dataclasses import replace

    cut = replace(stem, flags=stem.flags | int(Flag.CUT_END))
    drawn = line_drawing(cut, dimensions=False, root_sectors=NOBODY)
    whole = line_drawing(stem, dimensions=False, root_sectors=NOBODY)

    def top(each: LineDrawing) -> float:
        return max(float(m.points_mm[:, 1].max()) for m in each.marks)

    assert top(drawn) == pytest.approx(200.0, abs=0.5)
    assert top(whole) == pytest.approx(200.0 + 18.0, abs=1.0)  # a shoot ends in a bud, round


def _dense_tree() -> SegmentTable:
    branches = tuple(
        TapeBranch(150.0 + 22.0 * i, (4.7 * i) % 12.0, 22.0 - i, 260.0 - 12.0 * i, 150 - 9 * i)
        for i in range(13)
    )
    return tree_from_tape(
        Tape(560.0, (TapeGirth(20.0, 340.0), TapeGirth(300.0, 180.0)), branches), seed=2, form=TreeForm()
    )


def test_a_tree_of_three_thousand_segments_is_drawn_well_under_a_second_and_small() -> None:
    table = _dense_tree()
    assert table.n > 3000
    line_drawing(table)  # compiled code is read once
    took_s = []
    for view in (6.0, 9.0, 12.0):
        begun = time.process_time()
        text = svg(line_drawing(table, view_clock=view))
        took_s.append(time.process_time() - begun)
    assert min(took_s) < 0.8
    assert len(text) < 60_000


def test_the_svg_reads_as_xml_and_takes_its_colours_from_the_page() -> None:
    _tape, table = _tape_tree()
    text = svg(line_drawing(table, cut=Cut(height_mm=200.0)), title='Firstling & "Co" <front>')
    root = ElementTree.fromstring(text)
    space = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{space}svg"
    assert root.find(f"{space}title").text == 'Firstling & "Co" <front>'  # type: ignore[union-attr]
    assert {p.get("class") for p in root.iter(f"{space}path")} == {"ink", "twig", "gone", "gone_twig", "hair"}
    assert "var(--ink" in text
    assert "var(--far" in text
    _left, _top, wide, high = (float(v) for v in str(root.get("viewBox")).split())
    for path in root.iter(f"{space}path"):
        x = y = 0.0
        for word in re.findall(r"[Mlh][^Mlh]*", str(path.get("d"))):
            numbers = [float(v) for v in re.findall(r"-?\d+", word)]
            pairs = list(zip(numbers[::2], numbers[1::2], strict=False))
            for dx, dy in pairs:
                x, y = (dx, dy) if word[0] == "M" else (x + dx, y + dy)
                assert -1 <= x <= wide + 1
                assert -1 <= y <= high + 1
