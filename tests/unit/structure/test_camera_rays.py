"""How far the one number of a lens reaches, and pixels that are wider than high; both by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.structure.cameras import Camera


def test_a_pixel_beyond_the_fold_has_no_ray() -> None:
    """r (1 + k1 r2) is largest at r = 1 / sqrt(-3 k1), where it is two thirds of that r."""
    k1 = -0.3
    largest = 2.0 / 3.0 / math.sqrt(-3.0 * k1)
    camera = Camera("a", np.diag([1000.0, 1000.0, 1.0]), np.eye(3), np.zeros(3), k1=k1)
    near, beyond = camera.rays(np.array([[1000.0 * largest * 0.98, 0.0], [0.0, 1000.0 * largest * 1.02]]))
    assert np.isfinite(near).all()
    assert np.isnan(beyond).all()
    pixel, _depth = camera.project(near[None] * 500.0)
    assert pixel[0] == pytest.approx([1000.0 * largest * 0.98, 0.0], abs=1e-6)


def test_each_axis_has_its_own_focal_length_and_middle() -> None:
    k = np.array([[2000.0, 0.0, 800.0], [0.0, 1500.0, 590.0], [0.0, 0.0, 1.0]])
    camera = Camera("a", k, np.eye(3), np.array([0.0, 0.0, 1000.0]), k1=0.1)
    pixels, _depth = camera.project(np.array([[300.0, 400.0, 0.0]]))
    bent = 1.0 + 0.1 * (0.3**2 + 0.4**2)
    assert pixels == pytest.approx(np.array([[800.0 + 600.0 * bent, 590.0 + 600.0 * bent]]))
    (ray,) = camera.rays(pixels)
    assert ray / ray[2] == pytest.approx([0.3, 0.4, 1.0])
