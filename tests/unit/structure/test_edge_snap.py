"""Edges to a part of a pixel on drawn strips: where they are known, and where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from ringwise.structure.photo.edge_snap import SnapRule, normals_of, snap_edges, wood_shares
from ringwise.structure.trace.rules import trace_rules

RULE = trace_rules().snap


def strip(
    width_px: float, turn_deg: float = 0.0, *, wood: float = 60.0, backdrop: float = 200.0, shift: float = 0.3
) -> tuple[NDArray[np.uint8], NDArray[np.float64]]:
    """A straight strip through the middle of a picture, drawn ten times finer; and a line along it."""
    times, size = 10, 90
    y, x = np.mgrid[0 : size * times, 0 : size * times] / times + 0.5 / times - 0.5
    turn = np.radians(turn_deg)
    across = (x - 45.0 - shift) * np.cos(turn) + (y - 45.0) * np.sin(turn)
    inside = (np.abs(across) <= width_px / 2.0).astype(float)
    share = inside.reshape(size, times, size, times).mean(axis=(1, 3))
    share = gaussian_filter(share, 0.7)
    grey = backdrop + (wood - backdrop) * share
    noise = np.random.default_rng(5).normal(0.0, 2.0, grey.shape)
    picture = np.clip(np.rint(grey + noise), 0, 255).astype(np.uint8)
    along = np.linspace(-28.0, 28.0, 29)
    line = np.column_stack([45.0 + shift - along * np.sin(turn), 45.0 + along * np.cos(turn)])
    return picture, line


@pytest.mark.parametrize("turn_deg", [0.0, 17.0, 45.0, 80.0])
@pytest.mark.parametrize("width_px", [4.0, 9.3, 25.0])
def test_width_of_a_strip(width_px: float, turn_deg: float) -> None:
    picture, line = strip(width_px, turn_deg)
    shares = wood_shares(picture, line, RULE)
    assert shares is not None
    found = snap_edges(shares, line, normals_of(line), 30.0, RULE)
    assert found.clear.all()
    assert np.median(found.width_px) == pytest.approx(width_px, abs=0.25 if width_px < 5 else 0.12)
    assert abs(np.median(found.middle_px)) < 0.1


def test_a_line_beside_the_wood_finds_it_within_reach_of_a_click() -> None:
    picture, line = strip(12.0)
    shares = wood_shares(picture, line, RULE)
    assert shares is not None
    beside = snap_edges(shares, line + np.array([10.0, 0.0]), normals_of(line), 30.0, RULE)
    assert beside.clear.all()
    assert np.median(beside.width_px) == pytest.approx(12.0, abs=0.15)
    far = snap_edges(shares, line + np.array([6.0 + RULE.near_px + 2.0, 0.0]), normals_of(line), 30.0, RULE)
    assert not far.clear.any()


def test_light_wood_before_a_dark_backdrop_and_colour() -> None:
    picture, line = strip(10.0, wood=180.0, backdrop=40.0)
    colour = np.stack([picture, picture // 2 + 30, 255 - picture], axis=2)
    for seen in (picture, colour):
        shares = wood_shares(seen, line, RULE)
        assert shares is not None
        found = snap_edges(shares, line, normals_of(line), 30.0, RULE)
        assert np.median(found.width_px) == pytest.approx(10.0, abs=0.15)


def test_wood_like_the_backdrop_has_no_edge() -> None:
    picture, line = strip(10.0, wood=195.0)
    assert wood_shares(picture, line, RULE) is None


def test_an_edge_out_of_the_picture_or_out_of_reach_is_none() -> None:
    picture, line = strip(30.0)
    shares = wood_shares(picture, line, RULE)
    assert shares is not None
    assert not snap_edges(shares, line, normals_of(line), 10.0, RULE).clear.any()
    cut = np.ascontiguousarray(shares[:, 38:])  # the left edge lies outside
    found = snap_edges(cut, line - [38.0, 0.0], normals_of(line), 30.0, RULE)
    assert not found.clear.any()


def test_a_backdrop_that_darkens_does_not_move_the_edge() -> None:
    picture, line = strip(14.0)
    light = (
        np.linspace(0.75, 1.1, picture.shape[1])[None, :] * np.linspace(1.05, 0.8, picture.shape[0])[:, None]
    )
    shaded = np.clip(picture * light, 0, 255).astype(np.uint8)
    shares = wood_shares(shaded, line, RULE)
    assert shares is not None
    found = snap_edges(shares, line, normals_of(line), 30.0, RULE)
    assert np.median(found.width_px) == pytest.approx(14.0, abs=0.2)


def ramps(
    wood: float, ground: float, width_px: float = 12.0
) -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Shares of a strip between edges at 20 and 20 + width, each a ramp over 2 px; and its middle line."""
    x = np.arange(60.0)
    rise = np.clip((x - 20.0) / 2.0 + 0.5, 0.0, 1.0) * np.clip((20.0 + width_px - x) / 2.0 + 0.5, 0.0, 1.0)
    shares = np.tile((ground + (wood - ground) * rise).astype(np.float32), (40, 1))
    return shares, np.column_stack([np.full(30, 20.0 + width_px / 2.0), np.arange(5.0, 35.0)])


@pytest.mark.parametrize(("wood", "ground"), [(1.0, 0.0), (0.7, 0.0), (1.3, 0.0), (1.0, 0.3)])
def test_the_edge_lies_half_way_between_its_own_wood_and_backdrop(wood: float, ground: float) -> None:
    """A lit or shaded branch is as wide as any: by hand, the middle of each ramp."""
    shares, line = ramps(wood, ground)
    found = snap_edges(shares, line, normals_of(line), 15.0, RULE)
    assert found.width_px == pytest.approx(np.full(30, 12.0), abs=0.15)


def test_an_edge_that_hardly_stands_out_is_none() -> None:
    shares, line = ramps(0.6, 0.6 - RULE.least_contrast_frac + 0.05)
    assert not snap_edges(shares, line, normals_of(line), 15.0, RULE).clear.any()


def test_wood_thinner_than_edges_can_tell_is_none() -> None:
    assert not snap_edges(*_set(ramps(1.0, 0.0, RULE.least_width_px - 1.3))).clear.any()
    assert snap_edges(*_set(ramps(1.0, 0.0, RULE.least_width_px + 0.5))).clear.all()


def _set(
    drawn: tuple[NDArray[np.float32], NDArray[np.float64]],
) -> tuple[NDArray[np.float32], NDArray[np.float64], NDArray[np.float64], float, SnapRule]:
    shares, line = drawn
    return shares, line, normals_of(line), 15.0, RULE
