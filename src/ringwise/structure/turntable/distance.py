"""From a picture of coverage to the signed distance of every pixel to the silhouette's edge."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import BoolArray, Float32Array
from ringwise.structure.turntable.limits import limit_of

HALF = np.float32(0.5)
_STEEPEST = 1.0  # coverage per px at a sharp edge


def silhouette_of(coverage: Float32Array) -> BoolArray:
    """Which pixels are wood, without specks and pinholes.

    Parameters
    ----------
    coverage : (h, w) float
        0 backdrop to 1 wood.

    Returns
    -------
    (h, w) bool
        True for wood.

    Source
    ------
    own: rows view of turntable.csv.

    Examples
    --------
    >>> silhouette_of(np.zeros((9, 9), np.float32)).any()
    np.False_
    """
    wood = coverage > HALF
    least = int(limit_of("view", "speck_px"))
    return np.asarray(~_without_specks(~_without_specks(wood, least), least))


def _without_specks(mask: BoolArray, least: int) -> BoolArray:
    try:
        import cv2

        _count, label, stats, _middle = cv2.connectedComponentsWithStats(
            mask.astype(np.uint8), connectivity=8
        )
        keep = stats[:, cv2.CC_STAT_AREA] >= least
    except ImportError:
        from scipy import ndimage

        label, _count = ndimage.label(mask, structure=np.ones((3, 3)))
        keep = np.bincount(label.ravel()) >= least
    if keep[1:].all():
        return mask
    keep[0] = False
    return np.asarray(keep[label])


def edge_slope(coverage: Float32Array) -> float:
    """Coverage per pixel across the edges of a picture: 1 is sharp, 0.1 is blurred over ten pixels.

    Parameters
    ----------
    coverage : (h, w) float
        0 backdrop to 1 wood.

    Returns
    -------
    float
        Median over the pixels halfway between wood and backdrop; 0 where there are none.

    Source
    ------
    own.

    Examples
    --------
    >>> ramp = np.tile(np.clip(np.arange(20) / 4 - 2, 0, 1), (20, 1)).astype(np.float32)
    >>> edge_slope(ramp)
    0.25
    """
    from ringwise.structure.turntable.distance_kernels import slopes

    found = slopes(coverage, 0.35, 0.65)
    return float(np.median(found)) if len(found) else 0.0


def signed_distance_px(coverage: Float32Array) -> Float32Array:
    """Distance of every pixel's middle to the nearest edge of the silhouette, above 0 inside the wood.

    Parameters
    ----------
    coverage : (h, w) float
        0 backdrop to 1 wood.

    Returns
    -------
    (h, w) float
        In px; without wood, or without backdrop, plus or minus the picture's diagonal.

    Source
    ------
    own: distance to the nearest pixel beyond the edge, less the part of it that its coverage tells;
    the idea of the anti-aliased distance transform, from memory.

    Examples
    --------
    >>> step = np.tile((np.arange(40) >= 20).astype(np.float32), (40, 1))
    >>> signed_distance_px(step)[20, [10, 25]].tolist()
    [-9.5, 5.5]
    """
    from ringwise.structure.turntable.distance_kernels import signed

    wood = silhouette_of(coverage)
    far = np.float32(np.hypot(*coverage.shape))
    if not wood.any():
        return np.full(coverage.shape, -far, np.float32)
    if wood.all():
        return np.full(coverage.shape, far, np.float32)
    # Without pixels halfway between, the edges are as sharp as can be.
    flattest = 1.0 / limit_of("view", "soft_edge_px")
    slope = min(max(edge_slope(coverage) or _STEEPEST, flattest), _STEEPEST)
    out = np.empty(coverage.shape, np.float32)
    signed(wood, _nearest(wood, coverage), _nearest(~wood, coverage), slope, out)
    return out


def _nearest(mask: BoolArray, coverage: Float32Array) -> tuple[Float32Array, Float32Array]:
    """Distance of each pixel of a mask to the nearest one outside it, and the coverage of that one."""
    try:
        import cv2

        from ringwise.structure.turntable.distance_kernels import nearest_values

        far, label = cv2.distanceTransformWithLabels(
            mask.view(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
        )
        values = np.empty(coverage.shape, np.float32)
        nearest_values(np.asarray(label), mask, coverage, values)
        return np.asarray(far, np.float32), values
    except ImportError:
        from scipy import ndimage

        far, (rows, columns) = ndimage.distance_transform_edt(mask, return_indices=True)
        return np.asarray(far, np.float32), np.asarray(coverage[rows, columns])
