"""Cameras: where points fall, the way back, and errors of a file that name the view and the field."""

from __future__ import annotations

import copy
import json
from typing import Any

import numpy as np
import pytest

from ringwise.kit.errors import FileFormatError, MissingFieldError, RangeError, RingwiseError
from ringwise.structure.cameras import Camera, cameras_from_json, cameras_to_json

K = [[2000.0, 0.0, 799.5], [0.0, 2000.0, 599.5], [0.0, 0.0, 1.0]]
FRONT = [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]


def view(**changes: Any) -> dict[str, Any]:
    return {"image": "a.png", "K": K, "R": FRONT, "t": [0.0, 250.0, 1300.0], "k1": 0.0} | changes


def test_front_view_looks_along_y_with_z_up() -> None:
    (camera,) = cameras_from_json({"views": [view()]})
    assert camera.centre_mm == pytest.approx([0.0, -1300.0, 250.0])
    assert camera.axis == pytest.approx([0.0, 1.0, 0.0])
    # By hand: 130 mm to the right and 260 mm up at 1300 mm with f 2000 px is 200 px right, 400 px up.
    pixels, depth = camera.project(np.array([[130.0, 0.0, 250.0 + 260.0], [0.0, 100.0, 250.0]]))
    assert pixels == pytest.approx(np.array([[999.5, 199.5], [799.5, 599.5]]))
    assert depth == pytest.approx([1300.0, 1400.0])


def test_shift_may_stand_in_a_column() -> None:
    (camera,) = cameras_from_json({"views": [view(t=[[0.0], [250.0], [1300.0]])]})
    assert camera.centre_mm == pytest.approx([0.0, -1300.0, 250.0])


def test_bent_lens_by_hand() -> None:
    camera = Camera("a", np.diag([1000.0, 1000.0, 1.0]), np.eye(3), np.array([0.0, 0.0, 1.0]), k1=-0.06)
    pixels, _ = camera.project(np.array([[0.3, 0.4, 0.0]]))
    assert pixels == pytest.approx(np.array([[300.0, 400.0]]) * (1 - 0.06 * 0.25))


@pytest.mark.parametrize("k1", [-0.3, -0.06, 0.0, 0.2])
def test_rays_undo_projection(k1: float) -> None:
    (camera,) = cameras_from_json({"views": [view(k1=k1)]})
    points = np.random.default_rng(4).uniform([-300, -300, 0], [300, 300, 560], (200, 3))
    pixels, depth = camera.project(points)
    rays = camera.rays(pixels)
    back = camera.centre_mm + rays * (depth / (rays @ camera.axis))[:, None]
    assert np.abs(back - points).max() < 1e-7


def test_points_behind_or_folded_are_not_shown() -> None:
    (camera,) = cameras_from_json({"views": [view(k1=-0.3)]})
    pixels, depth = camera.project(np.array([[0.0, -1400.0, 250.0], [2000.0, 0.0, 250.0]]))
    assert depth[0] < 0.0
    assert np.isnan(pixels).all()


def test_json_both_ways() -> None:
    given = {"views": [view(), view(image="b.png", k1=-0.0613, width_px=1600, height_px=1200)]}
    cameras = cameras_from_json(given)
    again = cameras_from_json(json.loads(json.dumps(cameras_to_json(cameras))))
    for one, two in zip(cameras, again, strict=True):
        assert (one.name, one.k1, one.width_px, one.height_px) == (
            two.name,
            two.k1,
            two.width_px,
            two.height_px,
        )
        assert np.array_equal(one.k, two.k)
        assert np.array_equal(one.r, two.r)
        assert np.array_equal(one.t_mm, two.t_mm)


MIRRORED = [[-1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
SKEWED = [[2000.0, 3.0, 799.5], [0.0, 2000.0, 599.5], [0.0, 0.0, 1.0]]


@pytest.mark.parametrize(
    ("change", "kind", "words"),
    [
        ({"K": [[1, 2], [3, 4]]}, FileFormatError, ["view 2", "K", "3 rows of 3 numbers"]),
        ({"K": [[1, 2, 3], [4, 5]]}, FileFormatError, ["view 2", "K"]),
        ({"K": "none"}, FileFormatError, ["view 2", "K"]),
        ({"K": SKEWED}, RangeError, ["view 2", "K", "fx, 0, cx"]),
        ({"K": [[-1, 0, 0], [0, 1, 0], [0, 0, 1]]}, RangeError, ["K", "above 0"]),
        ({"R": MIRRORED}, RangeError, ["view 2", "R", "rotation"]),
        ({"R": (2 * np.eye(3)).tolist()}, RangeError, ["R", "rotation"]),
        ({"t": [0.0, 250.0]}, FileFormatError, ["view 2", "t", "3 numbers"]),
        ({"t": [0.0, 250.0, float("nan")]}, RangeError, ["t", "not a number"]),
        ({"k1": True}, FileFormatError, ["view 2", "k1"]),
        ({"k1": 40.0}, RangeError, ["k1", "40", "-2 to 2"]),
        ({"k2": 0.1}, FileFormatError, ["view 2", "k2", "Accepted"]),
        ({"image": ""}, FileFormatError, ["view 2", "image"]),
        ({"image": "a.png"}, FileFormatError, ["a.png", "two cameras"]),
        ({"width_px": 640}, RangeError, ["width_px", "640 x 0"]),
        ({"width_px": 640.5, "height_px": 480}, FileFormatError, ["width_px"]),
    ],
)
def test_bad_views_are_named(change: dict[str, Any], kind: type[RingwiseError], words: list[str]) -> None:
    given = {"views": [view(), copy.deepcopy(view(image="b.png")) | change]}
    with pytest.raises(kind) as caught:
        cameras_from_json(given)
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize("key", ["image", "K", "R", "t"])
def test_missing_keys_are_named(key: str) -> None:
    short = view()
    del short[key]
    with pytest.raises(MissingFieldError, match=f"view 1: needs {key}"):
        cameras_from_json({"views": [short]})


@pytest.mark.parametrize("given", [[], {}, {"views": []}, {"views": "x"}, {"views": [3]}, None])
def test_what_is_no_list_of_views_is_refused(given: Any) -> None:
    with pytest.raises((MissingFieldError, FileFormatError)):
        cameras_from_json(given)


def test_picture_of_another_size_is_refused() -> None:
    (camera,) = cameras_from_json({"views": [view(width_px=1600, height_px=1200)]})
    with pytest.raises(RangeError, match=r"a\.png is 1200 x 1600; accepted: 1600 x 1200"):
        camera.sized(1200, 1600)
