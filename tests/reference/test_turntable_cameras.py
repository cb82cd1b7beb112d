"""A view whose camera is wrong is named and left out by its own misfit; sound sets lose no view.

The pictures are those of `trees.renderer`; cameras are spoilt here by hand, as they are when the tree was
turned on its stand or the board moved between two photos.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from ringwise.structure.cameras import Camera
from ringwise.structure.turntable import View, reconstruct
from ringwise.structure.turntable.looking import stacked
from ringwise.structure.turntable.poses import fitting
from trees.generator import SMALL, tree
from trees.odd_trees import ODD
from trees.renderer import silhouettes, turntable
from trees.surfaces import wood


@cache
def views_of(name: str, seed: int, count: int) -> tuple[View, ...]:
    surface = wood(tree(seed, ODD.get(name, SMALL)))
    seen = turntable(surface, views=count, width_px=300, height_px=400)
    shown = silhouettes(surface, seen, seed=seed)
    return tuple(View(each, got) for each, got in zip(seen, shown, strict=True))


def turned(camera: Camera, deg: float) -> Camera:
    """As if the tree had been turned about the upright axis."""
    c, s = np.cos(np.radians(deg)), np.sin(np.radians(deg))
    return replace(camera, r=camera.r @ np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]))


def moved(camera: Camera, way_mm: tuple[float, float, float]) -> Camera:
    """As if the tree had been moved."""
    return replace(camera, t_mm=camera.t_mm + camera.r @ np.array(way_mm))


def spoilt(views: tuple[View, ...], row: int, how: str) -> list[View]:
    camera = views[row].camera
    ways = {"aside": (20.0, 0.0, 0.0), "up": (0.0, 0.0, 20.0)}
    wrong = turned(camera, 5.0) if how == "turned" else moved(camera, ways[how])
    return [replace(each, camera=wrong) if at == row else each for at, each in enumerate(views)]


@pytest.mark.parametrize("how", ["turned", "aside", "up"])
@pytest.mark.parametrize(("count", "row"), [(24, 3), (24, 20), (12, 5)])
def test_one_wrong_camera_is_found_and_no_other(count: int, row: int, how: str) -> None:
    views = views_of("small", 1, count)
    fits, refused = fitting(*stacked(spoilt(views, row, how)), 0.0)
    assert [(each.name, each.code) for each in refused] == [(views[row].camera.name, "camera")]
    assert np.nonzero(~fits)[0].tolist() == [row]


@pytest.mark.parametrize("how", ["turned", "aside"])
def test_tree_is_that_of_the_other_views(how: str) -> None:
    views = views_of("small", 1, 24)
    made = reconstruct(spoilt(views, 3, how))
    (refused,) = made.quality.refused
    assert refused.name == views[3].camera.name
    assert "does not fit the other photos" in refused.why
    assert "leave it out" in refused.way_out
    assert "views_refused" in [each.code for each in made.quality.warnings]
    less = reconstruct([each for row, each in enumerate(views) if row != 3])
    np.testing.assert_array_equal(made.tree.table.length_mm, less.tree.table.length_mm)
    np.testing.assert_array_equal(made.tree.table.wood_mm2, less.tree.table.wood_mm2)


def test_two_wrong_cameras_are_both_found() -> None:
    views = views_of("small", 1, 24)
    both = spoilt(tuple(spoilt(views, 3, "turned")), 8, "aside")
    refused = fitting(*stacked(both), 0.0)[1]
    assert {each.name for each in refused} == {views[3].camera.name, views[8].camera.name}


@pytest.mark.parametrize("count", [12, 24])
@pytest.mark.parametrize(
    ("name", "seed"), [("small", 1), ("small", 2), ("small", 5), *((odd, 4) for odd in ODD)]
)
def test_sound_set_loses_no_view(name: str, seed: int, count: int) -> None:
    assert fitting(*stacked(views_of(name, seed, count)), 0.0)[1] == ()


def test_no_more_views_are_left_out_than_a_measuring_needs() -> None:
    views = views_of("small", 1, 12)[::2]
    assert len(views) == 6
    assert fitting(*stacked(spoilt(views, 2, "aside")), 0.0)[1] == ()
