"""Which views can be used: named and refused where not, packed where they can."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import InputError
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.structure.turntable.distance import HALF, edge_slope, signed_distance_px
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.quality import Refused
from ringwise.structure.turntable.views import Stack, View, middle_of, packed_cameras


def sound_views(views: Sequence[View], soil_mm: float) -> tuple[tuple[View, ...], tuple[Refused, ...]]:
    """The views that can be used, and the others with the reason.

    Parameters
    ----------
    views : sequence of View
        All.
    soil_mm : float
        Height of the soil; wood that runs out of the frame below it does not count.

    Returns
    -------
    sound : tuple of View
        Those that can be used.
    refused : tuple of Refused
        The others.

    Raises
    ------
    InputError
        If too few are left.

    Source
    ------
    own: rows view of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> sound, refused = sound_views(rod_views(), 0.0)
    >>> len(sound), len(refused)
    (12, 0)
    """
    middle = middle_of([each.camera for each in views])
    why = [_fault(each, middle, soil_mm) for each in views]
    sound = tuple(each for each, fault in zip(views, why, strict=True) if fault is None)
    refused = tuple(each for each in why if each is not None)
    least = int(limit_of("view", "least_views"))
    if len(sound) < least:
        named = " ".join(f"{each.name}: {each.why}" for each in refused)
        raise InputError(
            _("{n} views can be used; at least {least} are needed, from all round. {named}")
            .format(n=len(sound), least=least, named=named)
            .strip()
        )
    return sound, refused


def _fault(view: View, middle_mm: FloatArray, soil_mm: float) -> Refused | None:
    """Why a view cannot be used, None where it can."""
    name, coverage = view.camera.name, view.coverage
    # What stands before the backdrop may run out of the frame and fill it: a board is larger than its pot.
    wood = coverage > HALF if view.hidden is None else (coverage > HALF) & ~view.hidden
    share = float(wood.mean())
    border = np.concatenate([wood[0], wood[-1], wood[:, 0], wood[:, -1]])
    if share < limit_of("view", "least_wood_frac"):
        return Refused(
            name, "empty", _("no tree is seen on it"), _("Take this photo again, or leave it out.")
        )
    if share > limit_of("view", "most_wood_frac") or border.mean() > 0.5:
        return Refused(
            name,
            "inverted",
            _("wood and backdrop seem to be swapped"),
            _("The wood should be 1 and the backdrop 0; turn the silhouettes round."),
        )
    if _runs_out(view, wood, middle_mm, soil_mm):
        return Refused(
            name,
            "out_of_frame",
            _("the tree runs out of the frame"),
            _("Step back or turn the camera so that the whole crown has a margin."),
        )
    slope = edge_slope(coverage)
    if slope > 0.0 and 1.0 / slope > limit_of("view", "most_edge_px"):
        return Refused(
            name,
            "blurred",
            _("its edges are blurred over {px} px").format(px=f"{1.0 / slope:.0f}"),
            _("Take this photo again with the focus locked and without wind."),
        )
    return None


def _runs_out(view: View, wood: BoolArray, middle_mm: FloatArray, soil_mm: float) -> bool:
    """Whether wood above the soil touches the frame by more than a speck."""
    high, wide = wood.shape
    rim = np.zeros_like(wood)
    rim[[0, -1]] = wood[[0, -1]]
    rim[:, [0, -1]] = wood[:, [0, -1]]
    rows, columns = np.nonzero(rim)
    if len(rows) < limit_of("view", "least_edge_px"):
        return False
    camera = view.camera.sized(wide, high)
    rays = camera.rays(np.stack([columns, rows], axis=1).astype(np.float64))
    # Height at which each sight passes the upright line through the middle.
    flat = rays[:, :2]
    away = middle_mm[:2] - camera.centre_mm[:2]
    far = (flat @ away) / np.maximum((flat**2).sum(1), 1e-12)
    height = camera.centre_mm[2] + far * rays[:, 2]
    return int((height > soil_mm).sum()) >= limit_of("view", "least_edge_px")


def stacked(views: Sequence[View]) -> tuple[Stack, FloatArray]:
    """Views packed, with the point they look at.

    Parameters
    ----------
    views : sequence of View
        Of one size.

    Returns
    -------
    Stack
        With signed distances.
    middle_mm : (3,) float
        Where they look.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> stacked(rod_views())[0].coverage.shape[0]
    12
    """
    cameras = [each.camera.sized(each.coverage.shape[1], each.coverage.shape[0]) for each in views]
    coverage = np.stack([np.asarray(each.coverage, np.float32) for each in views])
    distance = np.empty_like(coverage)
    for row, each in enumerate(coverage):
        distance[row] = signed_distance_px(each)
    hidden = None
    if any(each.hidden is not None for each in views):
        none = np.zeros(coverage.shape[1:], dtype=bool)
        hidden = np.stack([none if each.hidden is None else each.hidden for each in views])
    names = tuple(each.name for each in cameras)
    return Stack(names, packed_cameras(cameras), coverage, distance, hidden), middle_of(cameras)
