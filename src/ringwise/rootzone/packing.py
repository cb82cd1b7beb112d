"""How grains of several sizes pack together: small ones fill the voids of large ones, and volume is lost.

The compressible packing model. Each class has a size, a share of the volume of all grains, and the share of
space that it fills alone. `gamma` is what a class could fill at most beside the others: grains of larger
classes loosen it at their walls, finer grains loosen it between its own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.show import litres, number
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.components import rule

_HALVINGS = 52  # of the bracket for the packing: down to the last bit of a float
_LOOSENING = (1.02, 0.5)  # exponents of the model's loosening effect
_WALL = 1.5  # exponent of the model's wall effect


def packing_frac(
    shares: FloatArray, sizes_mm: FloatArray, alone_frac: FloatArray, index: float | None = None
) -> FloatArray:
    """Share of space that grains of several classes fill together.

    Parameters
    ----------
    shares : (..., k) float
        Volume of the grains of each class, pores inside them included; any scale.
    sizes_mm, alone_frac : (..., k) float
        Size of each class, and the share of space that it fills alone.
    index : float, optional
        How firmly it is compacted; by default the row of `data/components.csv` for filling by hand.

    Returns
    -------
    (...) float
        The packing fraction.

    Source
    ------
    delarrard1999: compressible packing model, equations recalled.

    Examples
    --------
    >>> both = packing_frac(np.array([0.5, 0.5]), np.array([6.0, 3.0]), np.array([0.6, 0.6]))
    >>> round(float(0.6 / both), 4)
    0.9319
    """
    firm = rule("packing_index").value if index is None else index
    y = shares / shares.sum(axis=-1, keepdims=True)
    most = alone_frac * (1.0 + 1.0 / firm)  # alone and packed with any effort
    top = _gamma(y, sizes_mm, most)
    taken = y > 0
    low = np.zeros(y.shape[:-1])
    high = np.min(np.where(taken, top, np.inf), axis=-1)
    weight = np.where(taken, y / most, 0.0)
    apart = 1.0 / top
    with np.errstate(divide="ignore"):
        for _halving in range(_HALVINGS):
            middle = (low + high) / 2.0
            gap = np.maximum(1.0 / middle[..., None] - apart, 1e-300)
            loose = (weight / gap).sum(axis=-1) < firm
            low, high = np.where(loose, middle, low), np.where(loose, high, middle)
    return np.asarray((low + high) / 2.0)


def _gamma(y: FloatArray, sizes_mm: FloatArray, most: FloatArray) -> FloatArray:
    own_mm, other_mm = sizes_mm[..., :, None], sizes_mm[..., None, :]
    own, other, y_other = most[..., :, None], most[..., None, :], y[..., None, :]
    coarser = other_mm > own_mm
    ratio = np.where(coarser, own_mm / other_mm, other_mm / own_mm)  # smaller over larger
    wall = 1.0 - (1.0 - ratio) ** _WALL
    loosened = (1.0 - (1.0 - ratio) ** _LOOSENING[0]) ** _LOOSENING[1]
    lost = np.where(coarser, 1.0 - own + wall * own * (1.0 - 1.0 / other), 1.0 - loosened * own / other)
    # a class loosens itself by 1 - own/own = 0, so the sum may run over all classes
    return np.asarray(most / (1.0 - np.sum(lost * y_other, axis=-1)))


def yield_frac(volumes: FloatArray, alone_frac: FloatArray, packed_frac: FloatArray) -> FloatArray:
    """Volume of a mix over the volumes that went into it.

    Parameters
    ----------
    volumes, alone_frac : (..., k) float
        Loose volume of each part, and the share of it that grains fill.
    packed_frac : (...) float
        Share of the mix that grains fill.

    Returns
    -------
    (...) float
        1 where nothing is lost.

    Source
    ------
    own: the grains keep their volume.

    Examples
    --------
    >>> float(yield_frac(np.array([1.0, 1.0]), np.array([0.6, 0.6]), np.array(0.64)))
    0.9375
    """
    return np.asarray(np.sum(volumes * alone_frac, axis=-1) / (packed_frac * np.sum(volumes, axis=-1)))


def packed(
    volumes: Sequence[float],
    sizes_mm: Sequence[float],
    alone_frac: Sequence[float],
    index: float | None = None,
) -> tuple[float, float]:
    """Packing fraction and yield of loose volumes mixed, checked.

    Parameters
    ----------
    volumes : sequence of float
        Loose volume of each part, in cm3.
    sizes_mm, alone_frac : sequence of float
        Size of each, and the share of space that it fills alone.
    index : float, optional
        How firmly it is compacted; by default that of filling by hand.

    Returns
    -------
    tuple of float
        Packing fraction and yield.

    Raises
    ------
    InputError
        If the lists differ in length or no volume is above zero.
    RangeError
        If a value lies outside its range.

    Source
    ------
    delarrard1999: compressible packing model, equations recalled.

    Examples
    --------
    >>> [round(value, 4) for value in packed([1, 1], [6, 6], [0.6, 0.6])]
    [0.6, 1.0]
    >>> packed([1, 1], [6, 3], [60, 0.6])
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: share filled alone is 60; accepted: above 0 and below 0.8. Did you enter \
percent? Write 60 %.
    """
    firm = rule("packing_index").value if index is None else index
    if not 0 < firm < np.inf:
        raise out_of_range(_("packing index"), number(firm, 4), _("more than 0"))
    if not len(volumes) == len(sizes_mm) == len(alone_frac):
        raise InputError(
            _("{v} volumes, {s} sizes and {a} shares filled alone were given; give as many of each").format(
                v=len(volumes), s=len(sizes_mm), a=len(alone_frac)
            )
        )
    limit = firm / (1.0 + firm)  # above it a class alone would fill all space when packed with any effort
    for volume, size, alone in zip(volumes, sizes_mm, alone_frac, strict=True):
        if not 0 <= volume < np.inf:
            raise out_of_range(_("volume of a part"), litres(volume), _("0 L or more"))
        if not 0 < size < np.inf:
            raise out_of_range(_("grain size"), number(size, 4), _("more than 0 mm"))
        if not 0 < alone < limit:
            percent = _("Did you enter percent? Write {given} %.").format(given=number(alone, 4))
            raise out_of_range(
                _("share filled alone"),
                number(alone, 4),
                _("above 0 and below {limit}").format(limit=number(limit, 2)),
                way_out=percent if 1 < alone <= 100 else "",
            )
    if sum(volumes) <= 0:
        raise InputError(_("the volumes add up to zero; give at least one part above zero"))
    held, alone_each = np.asarray(volumes, float), np.asarray(alone_frac, float)
    together = packing_frac(held * alone_each, np.asarray(sizes_mm, float), alone_each, firm)
    return float(together), float(yield_frac(held, alone_each, together))
