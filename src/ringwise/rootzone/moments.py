"""Water in a column at rest, in closed form: the moments of the saturation over height.

M_k(H) is the integral of z^k S(z) from 0 to H, with S the retention form of one pore system. It equals
H^(k+1)/(k+1) times 2F1(m, (k+1)/n; 1 + (k+1)/n; -(alpha H)^n), m = 1 - 1/n. Two series give it to some
1e-10 for any height: a continued fraction of positive terms up to (alpha H)^n = 4, and from there on the
binomial series in (alpha z)^-n, integrated term by term. With n = 2, M_0 is asinh(alpha H)/alpha.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from ringwise.kit.types import FloatArray
from ringwise.rootzone.retention import RetentionCurve

POWERS = 3  # z^0, z^1, z^2: the area of a pot is a quadratic in height
_JOIN = 4.0  # (alpha z)^n at which one series hands over to the other
_UPPER_TERMS = 14  # leaves 1e-10 at most
_SMALL = 1e-7  # what the plain fraction leaves out; with its far end known it is 1e-10
_NEAR_ZERO = 1e-4  # of an exponent times a logarithm: below it, the power series of expm1
_APART = 1e-3  # an exponent so far from 0 loses no digit that counts
_BLOCK = 16384  # values at a time, so that all working arrays stay in the processor's cache


def saturation_moments(height_cm: ArrayLike, alpha_per_cm: ArrayLike, n: ArrayLike) -> FloatArray:
    """M_0, M_1 and M_2 of one pore system from 0 to each height.

    Parameters
    ----------
    height_cm, alpha_per_cm, n : array-like
        Height above the level where water drips, scale and steepness; broadcast against each other. Below
        0 everything is full.

    Returns
    -------
    FloatArray
        Their common shape, and a last axis of three; in cm, cm2, cm3.

    Source
    ------
    vangenuchten1980: the form that is integrated; the series are own.

    Examples
    --------
    >>> import math
    >>> m0 = float(saturation_moments(15.0, 0.0335, 2.0)[0])
    >>> abs(m0 - math.asinh(0.0335 * 15) / 0.0335) < 1e-12
    True
    """
    given = (np.asarray(each, dtype=np.float64) for each in (height_cm, alpha_per_cm, n))
    height, alpha, steep = np.broadcast_arrays(*given)
    flat = [np.ascontiguousarray(each).reshape(-1) for each in (height, alpha, steep)]
    out = np.empty((POWERS, flat[0].size))
    for start in range(0, flat[0].size, _BLOCK):
        part = slice(start, start + _BLOCK)
        out[:, part] = _block(*(each[part] for each in flat))
    return np.moveaxis(out.reshape((POWERS, *height.shape)), 0, -1)


def _block(h: FloatArray, a: FloatArray, n: FloatArray) -> FloatArray:
    up = np.maximum(h, 0.0)
    inverse = 1 / n
    with np.errstate(over="ignore"):
        x = (a * up) ** n
    over = np.flatnonzero(x > _JOIN)
    join = np.exp(math.log(_JOIN) * inverse[over]) / a[over]
    reached, m = up.copy(), 1 - inverse
    x[over], reached[over] = _JOIN, join
    power = np.exp(inverse * np.log1p(x))
    found = np.empty((POWERS, h.size))
    for k in range(POWERS):
        power *= reached
        np.multiply(power, _fraction(x, m, (k + 1) * inverse), out=found[k])
        if k:
            found[k] /= k + 1
    if over.size:
        found[:, over] += _upper(up[over], join, n[over])
    if np.any(h < 0):
        down = np.minimum(h, 0.0)
        found += np.stack([down ** (k + 1) / (k + 1) for k in range(POWERS)])
    return found


def _fraction(x: FloatArray, m: FloatArray, b: FloatArray) -> FloatArray:
    """2F1(1 + b - m, 1; 1 + b; -x) as a continued fraction: all its terms are positive.

    By the rule of Gauss for a series with 1 among its upper parameters, summed from the far end.
    """
    root = math.sqrt(1 + float(x.max(initial=0.0)))
    rate = (root - 1) / (root + 1)
    levels = 2 + math.ceil(math.log(_SMALL) / math.log(rate)) if rate > 1e-7 else 2
    # Two levels at a time, multiplied through by their own denominators: one division for both.
    last = levels // 2
    level = b + 2 * last
    head, low, shifted = (1 + b - m + last) * x, (m + last) * x, b + last
    value = (level + 2) * ((1 + np.sqrt(1 + x)) / 2)  # where the fraction's far levels tend to
    top, bottom = np.empty_like(x), np.empty_like(x)
    for i in range(last, -1, -1):
        np.multiply(low, i + 1, out=top)
        np.add(level, 1, out=bottom)
        bottom *= value
        bottom += top
        np.multiply(head, shifted, out=top)
        top *= value
        top /= bottom
        np.add(level, top, out=value)
        head -= x
        low -= x
        shifted -= 1
        level -= 2
    return b / value


def _upper(h: FloatArray, join: FloatArray, n: FloatArray) -> FloatArray:
    """The part of each moment from the joint up to the height."""
    m, log_r = 1 - 1 / n, np.log(h / join)
    shrink = np.exp(-n * log_r)  # (join / h)^n
    found = np.zeros((POWERS, h.size))
    heads = [np.exp((k + 2 - n) * log_r) for k in range(POWERS)]  # r to the exponent of the first term
    coefficient = _JOIN**-m
    lowest, highest = float(n.min()), float(n.max())
    for j in range(_UPPER_TERMS):
        times = (j + 1) * n
        for k in range(POWERS):
            exponent = (k + 2) - times
            apart = k + 2 - (j + 1) * lowest < -_APART or k + 2 - (j + 1) * highest > _APART
            term = _power_integral(exponent, log_r, heads[k], apart=apart)
            term *= coefficient
            found[k] += term
            heads[k] *= shrink
        coefficient = coefficient * (-(m + j) / ((j + 1) * _JOIN))
    power = join.copy()
    for k in range(POWERS):
        found[k] *= power
        power *= join
    return found


def _power_integral(exponent: FloatArray, log_r: FloatArray, power: FloatArray, *, apart: bool) -> FloatArray:
    """(r^exponent - 1)/exponent, which is log r where the exponent is 0; `apart` where none is near 0."""
    if apart:
        found = power - 1
        found /= exponent
        return np.asarray(found)
    product = exponent * log_r
    near = np.abs(product) < _NEAR_ZERO
    series = log_r * (1 + product / 2 * (1 + product / 3 * (1 + product / 4)))
    return np.where(near, series, (power - 1) / np.where(near, 1.0, exponent))


def curve_moments(curve: RetentionCurve, suction_cm: ArrayLike) -> FloatArray:
    """M_0, M_1 and M_2 of a whole curve's saturation: the sum over its pore systems.

    Parameters
    ----------
    curve : RetentionCurve
        One curve or draws.
    suction_cm : array-like
        Upper ends, of any shape.

    Returns
    -------
    FloatArray
        Draws, then suctions, then three.

    Source
    ------
    durner1994: pore systems add.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> round(0.045 + 0.385 * float(curve_moments(sand, 5.0)[0]) / 5, 6)
    0.406695
    """
    h = np.asarray(suction_cm, dtype=np.float64)
    shape, systems = curve.residual_v.shape, curve.ns.shape[-1]
    share, alpha, n = (
        each.reshape((*shape, *(1,) * h.ndim, systems))
        for each in (curve.shares, curve.alphas_per_cm, curve.ns)
    )
    each_system = saturation_moments(h[..., None], alpha, n)  # all at once: most calls are for few values
    each_system *= share[..., None]
    return np.asarray(each_system.sum(axis=-2))


def capacity_v(curve: RetentionCurve, height_cm: ArrayLike, coefficients: ArrayLike) -> FloatArray:
    """Water content at rest of many fillings, one for each draw of the curve.

    Parameters
    ----------
    curve : RetentionCurve
        One draw a filling, or one curve for all.
    height_cm : array-like
        Height of each filling above the level where water drips.
    coefficients : array-like
        c0, c1 and c2 of the area c0 + c1 z + c2 z^2, on the last axis; z in cm.

    Returns
    -------
    FloatArray
        Mean water content of each.

    Source
    ------
    own: the area times the retention form, integrated.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> [round(float(each), 4) for each in capacity_v(sand, [3, 5], [1, 0, 0])]
    [0.4233, 0.4067]
    """
    h = np.asarray(height_cm, dtype=np.float64)
    c = np.asarray(coefficients, dtype=np.float64)
    volume = sum(c[..., k] * h ** (k + 1) / (k + 1) for k in range(POWERS))
    full = sum(
        curve.shares[..., i]
        * _weighted(c, saturation_moments(h, curve.alphas_per_cm[..., i], curve.ns[..., i]))
        for i in range(curve.ns.shape[-1])
    )
    return np.asarray(curve.residual_v + curve.span_v * full / volume)


def _weighted(coefficients: FloatArray, moments: FloatArray) -> FloatArray:
    """The sum over the powers; written out, for a sum over a short last axis is slow."""
    return np.asarray(sum(coefficients[..., k] * moments[..., k] for k in range(POWERS)))
