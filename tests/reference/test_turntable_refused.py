"""Views that cannot be used are named and left out, and what is no turn of a tree never becomes a block.

Source: own reasoning; each picture is spoilt here by hand.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from ringwise.kit.errors import InputError
from ringwise.structure.turntable import CancelledError, View, reconstruct
from ringwise.structure.turntable.samples import rod_views


def spoilt(view: View, how: str) -> View:
    picture = np.array(view.coverage)
    if how == "empty":
        picture[:] = 0.0
    if how == "inverted":
        picture = 1.0 - picture
    if how == "out_of_frame":
        picture[:60, 36:44] = 1.0
    if how == "blurred":
        picture = gaussian_filter(picture, 6.0)
    return replace(view, coverage=picture.astype(np.float32))


@pytest.mark.parametrize("how", ["empty", "inverted", "out_of_frame", "blurred"])
def test_spoilt_view_is_named_and_left_out(how: str) -> None:
    views = list(rod_views())
    views[4] = spoilt(views[4], how)
    made = reconstruct(views)
    (refused,) = made.quality.refused
    assert (refused.name, refused.code) == ("view 4", how)
    assert refused.why
    assert refused.way_out
    assert "views_refused" in [each.code for each in made.quality.warnings]
    assert made.tree.table.end_mm[:, 2].max() + made.tree.origin_mm[2] == pytest.approx(80.0, abs=1.5)


def test_wood_below_the_soil_may_leave_the_frame() -> None:
    views = []
    for each in rod_views():
        picture = np.array(each.coverage)
        picture[102:, 36:44] = 1.0
        views.append(replace(each, coverage=picture))
    made = reconstruct(views)
    assert made.quality.refused == ()
    assert made.tree.origin_mm[2] == pytest.approx(0.0, abs=1e-6)


def test_too_few_views_are_refused_with_their_names() -> None:
    views = [spoilt(each, "empty") if row > 2 else each for row, each in enumerate(rod_views())]
    with pytest.raises(InputError, match=r"3 views can be used; at least 6 are needed.*view 7: no tree"):
        reconstruct(views)


def test_cameras_that_do_not_fit_leave_no_block() -> None:
    aside = np.array([40.0, 0.0, 0.0])
    views = [
        replace(each, camera=replace(each.camera, t_mm=each.camera.t_mm + aside * (-1) ** row))
        for row, each in enumerate(rod_views())
    ]
    with pytest.raises(InputError, match="no wood in common"):
        reconstruct(views)


def test_stopped_work_raises_and_keeps_nothing() -> None:
    with pytest.raises(CancelledError):
        reconstruct(rod_views(), progress=lambda frac, _words: frac < 0.5)


def test_kept_stages_lead_to_the_same_tree() -> None:
    kept: dict[str, dict[str, np.ndarray]] = {}
    whole = reconstruct(rod_views(), keep=lambda stage, arrays: kept.__setitem__(stage, dict(arrays)))
    assert list(kept) == ["carve", "paths", "axes"]
    again = reconstruct(rod_views(), resume=kept)
    np.testing.assert_array_equal(again.tree.table.length_mm, whole.tree.table.length_mm)
    np.testing.assert_array_equal(again.tree.table.wood_mm2, whole.tree.table.wood_mm2)
