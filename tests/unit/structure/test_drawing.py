"""What a sketch takes for granted comes from its table: another number there draws another sketch."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from ringwise.kit.tables import load_table
from ringwise.structure import figure
from ringwise.structure.drawing import TABLE, Drawing, drawing
from ringwise.structure.figure import Figure, plain_figure
from ringwise.structure.forms import TreeForm


def test_every_row_is_used_once_and_says_that_it_is_assumed() -> None:
    rows = tuple(load_table(*TABLE))
    assert sorted(row.number for row in rows) == sorted(getattr(drawing(), f.name) for f in fields(Drawing))
    assert {row.basis for row in rows} == {"assumed"}
    assert all(row.low is not None and row.high is not None and row.low < row.high for row in rows)


def sketch(monkeypatch: pytest.MonkeyPatch, height_mm: float = 500.0, **other: float) -> Figure:
    changed = replace(drawing(), **other)
    monkeypatch.setattr(figure, "drawing", lambda: changed)
    return plain_figure(TreeForm(), height_mm=height_mm, trunk_mm=50.0)


def limb_ends_mm(drawn: Figure) -> list[float]:
    """The width of each limb at its end: between the two points in the middle of its outline."""
    limbs = [s.points_mm for s in drawn.strokes if s.tone == "wood"][:-1]
    return [float(np.hypot(*(line[len(line) // 2] - line[len(line) // 2 - 1]))) for line in limbs]


def test_the_base_is_as_wide_as_the_table_says(monkeypatch: pytest.MonkeyPatch) -> None:
    assert sketch(monkeypatch, flare_ratio=2.0).base_mm == pytest.approx(100.0)


def test_limbs_end_as_thin_as_the_table_says(monkeypatch: pytest.MonkeyPatch) -> None:
    thin = limb_ends_mm(sketch(monkeypatch, limb_tip_ratio=0.2))
    thick = limb_ends_mm(sketch(monkeypatch, limb_tip_ratio=0.4))
    assert thick == pytest.approx([2.0 * end for end in thin])


def test_a_whip_is_narrower_by_the_share_of_the_table(monkeypatch: pytest.MonkeyPatch) -> None:
    def wide_mm(height_mm: float, share: float) -> float:
        drawn = sketch(monkeypatch, height_mm, whip_limb_ratio=share)
        return drawn.right_mm - drawn.left_mm

    assert wide_mm(1500.0, 0.3) < 0.8 * wide_mm(1500.0, 0.9)
    assert wide_mm(500.0, 0.3) == wide_mm(500.0, 0.9)  # no whip
