"""From a photo to coverage: 0 where there is backdrop, 1 where there is wood, the share of it at an edge.

A photo may be dark wood before a light backdrop or light wood before a dark one: the edge of the frame tells.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.photo.board import threshold
from ringwise.structure.photo.looking import opencv
from ringwise.structure.photo.refusal import Refused

Picture = NDArray[np.uint8]
Values = NDArray[np.float32]
DARK, LIGHT = "dark_on_light", "light_on_dark"
FITTED, TAKEN = "fitted", "photo"  # where the backdrop is from
_STEP_PX = 6  # the backdrop is smooth: one pixel of so many teaches it
_BAND_FRAC = 0.06  # of the frame's edge, where the backdrop is looked for first


@dataclass(frozen=True)
class Coverage:
    """Where a photo shows wood; `contrast_frac` and `uneven_frac` are shares of white.

    `touches` names the sides of the frame that wood runs into: left, right, top, bottom.
    """

    values: Values
    polarity: str
    backdrop: str
    contrast_frac: float
    uneven_frac: float
    touches: tuple[str, ...]


def coverage_of(picture: Picture, backdrop: Picture | None = None, *, linear: bool = False) -> Coverage:
    """How much of each pixel is wood.

    Parameters
    ----------
    picture : ndarray (h, w) or (h, w, 3) uint8
        Grey or colour, upright.
    backdrop : ndarray, optional
        The same view without the tree; else a smooth backdrop is fitted to what is not wood.
    linear : bool
        Whether tones are brought back to light first, as for photos of a camera; silhouettes are taken as
        they are.

    Returns
    -------
    Coverage
        Values with edges at one half.

    Source
    ------
    own.

    Examples
    --------
    >>> page = np.full((80, 100), 240, dtype=np.uint8)
    >>> page[10:70, 40:60] = 30
    >>> found = coverage_of(page)
    >>> found.polarity, round(float(found.values[40].sum()))
    ('dark_on_light', 20)
    """
    cv2 = opencv()
    seen = _tones(picture, linear)
    ground, uneven = _fitted(seen) if backdrop is None else _given(seen, _tones(backdrop, linear))
    apart = ground - seen
    size = np.abs(apart).max(axis=2)
    wood = _wood(seen, size)
    contrast, polarity = 0.0, DARK
    if wood is not None:
        full = ground - wood
        usual = np.median(full.reshape(-1, full.shape[2])[:: _STEP_PX * _STEP_PX], axis=0)
        contrast = float(np.abs(usual).max())
        polarity = DARK if float(usual.sum()) >= 0.0 else LIGHT
    if wood is None or contrast < threshold("coverage", "least_contrast"):
        empty = np.zeros(size.shape, dtype=np.float32)
        return Coverage(empty, polarity, FITTED if backdrop is None else TAKEN, contrast, uneven, ())
    strength = np.maximum(np.sum(full * full, axis=2), np.float32((0.5 * contrast) ** 2))
    values = np.asarray(np.sum(apart * full, axis=2) / strength, dtype=np.float32)
    sigma = threshold("coverage", "smoothing_px")
    values = cv2.GaussianBlur(values, (0, 0), sigma)
    values = _own_tone(values)
    np.clip(values, 0.0, 1.0, out=values)
    _drop_specks(values)
    return Coverage(
        values, polarity, FITTED if backdrop is None else TAKEN, contrast, uneven, _touches(values)
    )


def _tones(picture: Picture, linear: bool) -> Values:
    """Shares of white, a plane a channel; one channel where all are alike."""
    planes = picture[:, :, None] if picture.ndim == 2 else picture
    if planes.shape[2] > 1 and all(np.array_equal(planes[..., 0], planes[..., i]) for i in (1, 2)):
        planes = planes[..., :1]
    steps = np.arange(256, dtype=np.float32) / 255.0
    if linear:  # IEC 61966-2-1 (recalled): from the tones of a file to light
        steps = np.where(steps <= 0.04045, steps / 12.92, ((steps + 0.055) / 1.055) ** 2.4).astype(np.float32)
    return np.asarray(steps[planes], dtype=np.float32)


def _frame(plane: Values) -> Values:
    """Values along left, right and top of the frame; below stand pot and table."""
    high, wide = plane.shape
    band = max(2, round(_BAND_FRAC * min(high, wide)))
    step = _STEP_PX if min(high, wide) > 200 else 1
    parts = (plane[:band:step, ::step], plane[::step, :band:step], plane[::step, -band::step])
    return np.concatenate([part.ravel() for part in parts])


def _fitted(seen: Values) -> tuple[Values, float]:
    """A smooth backdrop (second order in x and y, a channel each) and the scatter of the frame about it."""
    high, wide, channels = seen.shape
    step = _STEP_PX if min(high, wide) > 200 else 1
    y, x = np.mgrid[0:high:step, 0:wide:step]
    few = seen[::step, ::step].reshape(-1, channels)
    terms = _terms(x.ravel() / wide - 0.5, y.ravel() / high - 0.5)
    slack = threshold("coverage", "backdrop_slack")
    middle = np.array([np.median(_frame(seen[..., i])) for i in range(channels)], dtype=np.float32)
    model = np.broadcast_to(middle, few.shape)
    near = 4.0 * slack
    for _round in range(6):
        off = np.abs(few - model).max(axis=1)
        kept = off <= near
        if kept.sum() < 60:
            break
        order = terms.shape[1] if _round > 1 else 3  # first a plane: a curve would follow the crown
        weights = np.linalg.lstsq(terms[kept][:, :order], few[kept], rcond=None)[0]
        model = terms[:, :order] @ weights
        scatter = 1.48 * float(np.median(np.abs(few - model).max(axis=1)[kept]))
        near = max(slack, 4.0 * scatter)
    else:
        across = np.arange(wide) / wide - 0.5
        down = np.arange(high) / high - 0.5
        ground = np.empty_like(seen)
        for channel in range(channels):
            a = weights[:, channel]
            ground[..., channel] = (
                (a[0] + a[1] * across + a[3] * across**2)[None, :]
                + (a[2] * down + a[4] * down**2)[:, None]
                + a[5] * np.outer(down, across)
            )
        return ground, _unevenness(seen, ground)
    flat = np.broadcast_to(middle, seen.shape).astype(np.float32)
    return flat, _unevenness(seen, flat)


def _terms(x: FloatArray, y: FloatArray) -> FloatArray:
    return np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=1)


def _unevenness(seen: Values, ground: Values) -> float:
    cv2 = opencv()
    off = np.abs(cv2.blur(seen - ground, (7, 7)).reshape(seen.shape)).max(axis=2)  # grain is no unevenness
    return 1.48 * float(np.median(_frame(off)))


def _given(seen: Values, backdrop: Values) -> tuple[Values, float]:
    """The photo without a tree, in as many channels as the other and brightened as the frame's edge says."""
    channels = seen.shape[2]
    ground = backdrop
    if ground.shape[2] != channels:
        ground = np.repeat(backdrop.mean(axis=2, keepdims=True), channels, axis=2)
    cv2 = opencv()
    smooth = cv2.GaussianBlur(ground, (0, 0), 2.0).reshape(seen.shape)
    for channel in range(channels):
        here, there = _frame(seen[..., channel]), _frame(smooth[..., channel])
        ratio = float(np.median(here[there > 0.02] / there[there > 0.02])) if (there > 0.02).any() else 1.0
        smooth[..., channel] *= np.float32(np.clip(ratio, 0.5, 2.0))
    return np.asarray(smooth, dtype=np.float32), _unevenness(seen, smooth)


def _wood(seen: Values, size: Values) -> Values | None:
    """The usual tone of wood, channel by channel; None where nothing differs from the backdrop."""
    cv2 = opencv()
    least = 0.5 * threshold("coverage", "least_contrast")
    levels = np.clip(size * 255.0, 0, 255).astype(np.uint8)
    strong = levels[levels > least * 255.0]
    if strong.size < threshold("coverage", "speck_px"):
        return None
    cut, _shown = cv2.threshold(strong.reshape(-1, 1), 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    wood = levels > max(float(cut), 0.5 * float(np.percentile(strong, 90)))
    inner = cv2.erode(wood.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    chosen = inner if inner.sum() >= 50 else levels >= np.percentile(strong, 90)
    return np.asarray(np.median(seen[chosen], axis=0), dtype=np.float32)


def _own_tone(values: Values) -> Values:
    """Bark is lighter here and darker there: near thick wood its own tone counts as full."""
    cv2 = opencv()
    wood = (values > 0.35).astype(np.uint8)
    depth = cv2.distanceTransform(wood, cv2.DIST_L2, 5)
    inner = depth >= threshold("coverage", "inside_px")
    if not inner.any():
        return values
    tone = np.where(inner, values, 0.0).astype(np.float32)
    weight = inner.astype(np.float32)
    reach = threshold("coverage", "tone_reach_px")
    span = (2 * int(reach) + 1,) * 2
    total, count = cv2.blur(tone, span), cv2.blur(weight, span)
    own = np.where(count > 1e-4, total / np.maximum(count, 1e-4), 1.0)
    return np.asarray(values / np.clip(own, 0.4, 2.5), dtype=np.float32)


def _drop_specks(values: Values) -> None:
    cv2 = opencv()
    count, labels, stats, _centres = cv2.connectedComponentsWithStats(
        (values > 0.3).astype(np.uint8), connectivity=8
    )
    small = np.zeros(count, dtype=bool)
    small[1:] = stats[1:, cv2.CC_STAT_AREA] < threshold("coverage", "speck_px")
    if small.any():
        values[small[labels]] = 0.0


def _touches(values: Values) -> tuple[str, ...]:
    strip = int(threshold("coverage", "frame_px"))
    sides = {
        "left": values[:, :strip].max(axis=1),
        "right": values[:, -strip:].max(axis=1),
        "top": values[:strip].max(axis=0),
        "bottom": values[-strip:].max(axis=0),
    }
    least = int(threshold("coverage", "touch_px"))
    return tuple(side for side, line in sides.items() if int((line > 0.5).sum()) >= least)


def with_hidden(coverage: Coverage, hidden: NDArray[np.bool_]) -> Coverage:
    """The same with a region that tells nothing of the tree: it may be wood, so it carves nothing away.

    Parameters
    ----------
    coverage : Coverage
        Of a photo.
    hidden : ndarray (h, w) of bool
        Board, pot and soil as the camera saw them.

    Returns
    -------
    Coverage
        With 1 there; sides of the frame that only the hidden region touches are not named.

    Source
    ------
    own.

    Examples
    --------
    >>> page = np.full((40, 40), 240, dtype=np.uint8)
    >>> page[30:, 10:20] = 30
    >>> found = coverage_of(page)
    >>> found.touches, with_hidden(found, np.arange(40)[:, None] + np.zeros(40) > 25).touches
    (('bottom',), ())
    """
    free = np.where(hidden, np.float32(0.0), coverage.values)
    return replace(
        coverage, values=np.where(hidden, np.float32(1.0), coverage.values), touches=_touches(free)
    )


def refused_by_coverage(name: str, coverage: Coverage, *, below_counts: bool = False) -> Refused | None:
    """A photo whose backdrop or wood is not told apart, or whose crown runs out of the frame.

    Parameters
    ----------
    name : str
        Of the photo.
    coverage : Coverage
        As found.
    below_counts : bool
        Whether wood at the lower edge counts too.

    Returns
    -------
    Refused or None
        None where it can be used.

    Source
    ------
    own: rows coverage of photo.csv.

    Examples
    --------
    >>> page = np.full((40, 40), 240, dtype=np.uint8)
    >>> page[:20, 10:20] = 30
    >>> refused_by_coverage("a.jpg", coverage_of(page)).why
    'the crown runs out of the frame (top)'
    """
    if coverage.uneven_frac > threshold("coverage", "uneven_frac"):
        return Refused(
            name,
            _("its backdrop is not plain (scatter {scatter:.0%} of white along the frame)").format(
                scatter=coverage.uneven_frac
            ),
            _("Hang a plain cloth. In the terminal a photo of the empty backdrop helps too (--backdrop)."),
        )
    if coverage.contrast_frac < threshold("coverage", "least_contrast"):
        return Refused(
            name,
            _("no wood stands out from the backdrop (contrast {contrast:.0%} of white)").format(
                contrast=coverage.contrast_frac
            ),
            _("Take it again before a backdrop that is much lighter or much darker than the bark."),
        )
    sides = [side for side in coverage.touches if below_counts or side != "bottom"]
    if sides:
        words = {"left": _("left"), "right": _("right"), "top": _("top"), "bottom": _("bottom")}
        return Refused(
            name,
            _("the crown runs out of the frame ({sides})").format(
                sides=", ".join(words[side] for side in sides)
            ),
            _("Step back and take all photos again with the whole crown in the frame and a margin."),
        )
    return None
