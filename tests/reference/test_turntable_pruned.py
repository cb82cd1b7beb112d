"""A pruned tree from a turn of silhouettes from one height: cut ends stay blunt, the trunk keeps its girth.

Source of the figures: the tree is made of cones (`trees.pruned`), so every girth is 2 pi times a radius known
by hand. All cameras look from 12 degrees above: there a cut face closes the silhouette in a little above the
last whole section, which must not be taken for a taper, neither at the cut nor anywhere below it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from ringwise.structure.turntable import Reconstruction, View, reconstruct
from trees.generator import Tree
from trees.pruned import HIGH_MM, TOP_MM, pruned, radius_mm, wood_cut
from trees.renderer import silhouettes, turntable
from trees.scoring import Score, score


@cache
def measured() -> tuple[Tree, Reconstruction, Score]:
    made = pruned()
    mesh = wood_cut(made)
    cameras = turntable(mesh, elevations=(12.0,), width_px=480, height_px=640)
    pictures = silhouettes(mesh, cameras, seed=4)
    found = reconstruct([View(*each) for each in zip(cameras, pictures, strict=True)])
    return made, found, score(made, found.tree, volume_cm3=found.quality.volume_cm3)


def test_girths_within_the_crown_are_those_of_the_cone() -> None:
    _made, found, _told = measured()
    high = [each for each in found.tree.sections if each.height_mm > 0.6 * HIGH_MM]
    assert len(high) >= 8
    assert high[-1].height_mm > HIGH_MM - 10.0
    for each in high:
        true = 2.0 * np.pi * float(radius_mm(each.height_mm))
        assert each.girth_mm == pytest.approx(true, rel=0.012), each.height_mm
        assert abs(each.girth_mm - true) < 3.0 * each.girth_sd_mm, each.height_mm


def test_no_girth_is_told_above_the_cut() -> None:
    _made, found, _told = measured()
    assert max(each.height_mm for each in found.tree.sections) <= HIGH_MM


def test_trunk_is_as_thick_at_its_cut_as_just_below() -> None:
    _made, found, _told = measured()
    table = found.tree.table
    trunk = np.nonzero(table.order == 0)[0]
    last = trunk[np.argsort(table.end_mm[trunk, 2])[-3:]]
    assert 0.5 * table.diameter_mm[last] == pytest.approx(TOP_MM, rel=0.1)
    assert float(table.end_mm[trunk, 2].max()) == pytest.approx(HIGH_MM, abs=1.0)


def test_crown_is_found_whole() -> None:
    made, found, told = measured()
    assert found.quality.tips == len(made.branches)
    assert told.recall > 0.99
    assert told.precision > 0.99
    assert told.parents_right > 0.95
    assert told.volume_ratio == pytest.approx(1.0, abs=0.01)
