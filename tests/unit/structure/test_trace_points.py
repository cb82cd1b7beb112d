"""What is wrong with clicks is said in one line that names photo and branch; sound ones survive JSON."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest

from ringwise.kit.errors import RingwiseError
from ringwise.structure.trace.agreeing import agreed
from ringwise.structure.trace.points import points_to_json, reduced
from ringwise.structure.trace.poses import poses
from ringwise.structure.trace.reading import points_from_json
from ringwise.structure.trace.rules import trace_rules
from trees.generator import SMALL, tree
from trees.tracing import clicked, photos


@pytest.fixture(scope="module")
def sound() -> dict[str, Any]:
    made = tree(8, SMALL)
    return clicked(
        made, photos(made, width_px=700, height_px=860, px_per_mm=4.0, distance_mm=700.0), sd_px=1.0
    )


def _changed(clicks: dict[str, Any], *path: Any, to: Any) -> dict[str, Any]:
    """A copy with one value replaced, or taken out where `to` is None."""
    out = copy.deepcopy(clicks)
    at = out
    for key in path[:-1]:
        at = at[key]
    if to is None:
        del at[path[-1]]
    else:
        at[path[-1]] = to
    return out


def test_json_and_back_is_the_same(sound: dict[str, Any]) -> None:
    once = points_to_json(points_from_json(sound))
    assert points_to_json(points_from_json(once)) == once
    assert next(each["id"] for each in once["branches"]) == "b0"


@pytest.mark.parametrize(
    ("path", "to", "says"),
    [
        (("branches", 3, "front", 1), [9000, 20], "front photo, branch b3: place 2 of front is 9000, 20 px"),
        (("branches", 2, "parent"), "b99", "front photo, branch b2: its parent b99 is not there"),
        (("photos", "side", "scale"), None, "side photo: has no scale; mark the pot's rim"),
        (("photos", "side", "scale", "length_mm"), None, "side photo: its scale needs length_mm"),
        (
            ("photos", "front", "scale", "points"),
            [[1, 1], [2, 2]],
            "front photo: length of the scale is 1 px",
        ),
        (("photos", "side", "clock"), 11, "side photo: clock of the view is 11"),
        (("branches", 1, "id"), "b0", "branch b0 is there twice"),
        (("branches", 0, "parent"), "b1", "0 branches have no parent"),
        (("branches", 4, "front"), [[5, 5]], "front photo, branch b4: count of places in front is 1"),
        (("branches", 4, "front"), "here", "front photo, branch b4: front is no list of places"),
        (("layout",), "else", 'the points: are not in the layout "ringwise-trace"'),
        (("photos", "top"), {}, "photos has the key top"),
        (("photos", "front", "width_px"), None, "front photo: needs width_px"),
        (("photos", "front", "focal_35mm_mm"), "wide", "front photo: focal_35mm_mm is no number"),
    ],
)
def test_a_bad_value_is_named(sound: dict[str, Any], path: tuple[Any, ...], to: Any, says: str) -> None:
    with pytest.raises(RingwiseError) as caught:
        points_from_json(_changed(sound, *path, to=to))
    assert str(caught.value).startswith(says)
    assert "\n" not in str(caught.value)


def test_a_circle_of_parents_is_named(sound: dict[str, Any]) -> None:
    clicks = _changed(sound, "branches", 1, "parent", to="b2")
    clicks["branches"][2]["parent"] = "b1"
    with pytest.raises(RingwiseError, match=r"branch b[12]: its parents go in a circle"):
        points_from_json(clicks)


def test_scales_that_contradict_each_other_are_refused(sound: dict[str, Any]) -> None:
    longer = sound["photos"]["side"]["scale"]["length_mm"] * 1.2
    points = points_from_json(_changed(sound, "photos", "side", "scale", "length_mm", to=longer))
    with pytest.raises(RingwiseError, match=r"side photo, branch b0: tells heights of 1\d\d ?.?%"):
        agreed(points, trace_rules())


def test_scales_within_a_tenth_are_taken(sound: dict[str, Any]) -> None:
    longer = sound["photos"]["side"]["scale"]["length_mm"] * 1.04
    points = points_from_json(_changed(sound, "photos", "side", "scale", "length_mm", to=longer))
    agreement = agreed(points, trace_rules())[1]
    assert agreement is not None
    assert agreement.heights_ratio == pytest.approx(1.04, abs=0.02)


def test_a_mirrored_side_photo_is_refused(sound: dict[str, Any]) -> None:
    clicks = copy.deepcopy(sound)
    width = clicks["photos"]["side"]["width_px"]

    def flip(places: list[list[float]]) -> list[list[float]]:
        return [[width - 1.0 - x, y] for x, y in places]

    clicks["photos"]["side"]["scale"]["points"] = flip(clicks["photos"]["side"]["scale"]["points"])
    for branch in clicks["branches"]:
        branch["side"] = flip(branch["side"])
    with pytest.raises(RingwiseError, match="side photo, branch b0: looks mirrored"):
        agreed(points_from_json(clicks), trace_rules())


def test_a_side_photo_from_the_other_side_is_refused(sound: dict[str, Any]) -> None:
    with pytest.raises(RingwiseError, match="side photo, branch b0: looks as if taken from the other side"):
        agreed(points_from_json(_changed(sound, "photos", "side", "clock", to=9)), trace_rules())


def test_half_done_clicks_are_read_while_somebody_traces(sound: dict[str, Any]) -> None:
    clicks = _changed(sound, "branches", 3, "front", to=[[30, 30]])
    clicks["branches"][3]["side"] = []
    left = points_from_json(clicks, partly=True)
    assert "b3" not in [each.id for each in left.branches]
    assert points_from_json({**clicks, "branches": []}, partly=True).branches == ()


def test_cameras_are_where_they_were(sound: dict[str, Any]) -> None:
    """From pot, focal length and foot alone: centre and direction within what clicks of 1 px leave."""
    made = tree(8, SMALL)
    true = photos(made, width_px=700, height_px=860, px_per_mm=4.0, distance_mm=700.0)
    found = poses(points_from_json(sound))
    for name, camera in (("front", true.front), ("side", true.side)):
        got = found[name].camera
        assert np.linalg.norm(got.centre_mm - camera.centre_mm) < 15.0
        assert got.axis @ camera.axis > np.cos(np.radians(0.5))


def test_a_camera_from_above_is_told_by_the_rim() -> None:
    """A level circle seen from 25 degrees above: axes and elevation come back."""
    from trees.renderer import looking

    k = np.array([[3000.0, 0.0, 599.5], [0.0, 3000.0, 799.5], [0.0, 0.0, 1.0]])
    camera = looking("front", 0.0, 25.0, 2500.0, np.array([0.0, 0.0, 0.0]), k).sized(1200, 1600)
    turn = np.linspace(0.0, 2.0 * np.pi, 3600)
    rim = camera.project(150.0 * np.column_stack([np.cos(turn), np.sin(turn), 0.0 * turn]))[0]
    pick = [rim[:, 0].argmin(), rim[:, 0].argmax(), rim[:, 1].argmax(), rim[:, 1].argmin()]
    ends = rim[pick]
    focal = 3000.0 / np.hypot(1200, 1600) * np.hypot(36.0, 24.0)
    foot, top = camera.project(np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 300.0]]))[0]
    clicks = {
        "layout": "ringwise-trace",
        "version": 1,
        "photos": {
            "front": {
                "width_px": 1200,
                "height_px": 1600,
                "focal_35mm_mm": focal,
                "rim": ends.tolist(),
                "scale": {"kind": "rim", "points": ends[:2].tolist(), "length_mm": 300.0},
            }
        },
        "branches": [{"id": "trunk", "parent": None, "front": [foot.tolist(), top.tolist()]}],
    }
    got = poses(points_from_json(clicks))["front"].camera
    away = got.centre_mm / np.linalg.norm(got.centre_mm)
    assert np.degrees(np.arcsin(away[2])) == pytest.approx(25.0, abs=0.5)
    assert np.linalg.norm(got.centre_mm) == pytest.approx(2500.0, rel=0.01)


def test_a_reduced_photo_has_its_clicks_reduced(sound: dict[str, Any]) -> None:
    points = points_from_json(sound)
    half = reduced(points, "front", 2)
    assert half.views[0].width_px == 350
    one, other = points.branches[0].clicks_px["front"], half.branches[0].clicks_px["front"]
    np.testing.assert_allclose((one + 0.5) / 2.0, other + 0.5)
    np.testing.assert_array_equal(points.branches[0].clicks_px["side"], half.branches[0].clicks_px["side"])
