"""How much water a mix holds at a suction: one curve or many draws of it, of one pore system or several.

Suction is positive, in cm of water. Each pore system fills by the same form with its own scale and
steepness; grains with voids between them and pores inside them are two systems added by their shares.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.show import number, spanned
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

_SHARE_SUM_TOLERANCE = 1e-6  # shares typed with six digits
_HALVINGS = 60  # of the bracket in the inverse at most: 2^-60 of its width
_CLOSE = 1e-13  # a step of the logarithm that changes no digit that is told
_FAR_CM = 1e30  # stands for a suction beyond any number that matters


@dataclass(frozen=True)
class RetentionCurve:
    """Water content against suction: residual, saturated, and per pore system share, scale and steepness.

    `residual_v` and `saturated_v` have the shape of the draws, () for one curve; the other three have one
    axis more, the pore systems.
    """

    residual_v: FloatArray
    saturated_v: FloatArray
    shares: FloatArray
    alphas_per_cm: FloatArray
    ns: FloatArray

    def __post_init__(self) -> None:
        """Take anything array-like, and refuse what is no curve."""
        for each in fields(self):
            object.__setattr__(self, each.name, np.asarray(getattr(self, each.name), dtype=np.float64))
        shape, systems = self.residual_v.shape, self.alphas_per_cm.shape
        if self.saturated_v.shape != shape or systems[:-1] != shape or not systems:
            raise InputError(_("the arrays of a retention curve have different numbers of draws"))
        if self.shares.shape != systems or self.ns.shape != systems:
            raise InputError(_("the arrays of a retention curve have different numbers of pore systems"))
        _check(self)

    @property
    def draws(self) -> int:
        """How many curves are held as draws; 0 for one curve alone."""
        return self.residual_v.size if self.residual_v.ndim else 0

    @property
    def span_v(self) -> FloatArray:
        """Saturated less residual water content."""
        return np.asarray(self.saturated_v - self.residual_v)

    def one(self, i: int) -> RetentionCurve:
        """The curve of one draw; a curve alone is its own."""
        if not self.residual_v.ndim:
            return self
        return RetentionCurve(*(getattr(self, each.name)[i] for each in fields(self)))

    def saturation(self, suction_cm: ArrayLike) -> FloatArray:
        """Share of the drainable pore space that is full, draws first; 1 at and below suction 0."""
        _h, x, _n = self._scaled(suction_cm)
        with np.errstate(over="ignore"):
            full = (1 + x) ** (1 / _n - 1)
        return np.asarray(np.sum(self._spread(self.shares, x.ndim) * full, axis=-1))

    def theta_v(self, suction_cm: ArrayLike) -> FloatArray:
        """Water content at a suction, draws first."""
        full = self.saturation(suction_cm)
        return np.asarray(_over(self.residual_v, full) + _over(self.span_v, full) * full)

    def capacity_per_cm(self, suction_cm: ArrayLike) -> FloatArray:
        """Water given up per cm of suction more, draws first; 0 where saturated."""
        h, x, n = self._scaled(suction_cm)
        alphas = self._spread(self.alphas_per_cm, x.ndim)
        with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
            falls = alphas * (n - 1) * (alphas * h) ** (n - 1) * (1 + x) ** (1 / n - 2)
        falls = np.where(np.isfinite(falls) & (h > 0), falls, 0.0)
        total = np.sum(self._spread(self.shares, x.ndim) * falls, axis=-1)
        return np.asarray(_over(self.span_v, total) * total)

    def suction_cm(self, theta_v: ArrayLike) -> FloatArray:
        """Suction at a water content, draws first: 0 at saturation, infinite at the residual."""
        given = np.asarray(theta_v, dtype=np.float64)
        shape = self.residual_v.shape + given.shape
        held = (given - _over(self.residual_v, np.empty(shape))) / _over(self.span_v, np.empty(shape))
        return self.suction_at_cm(held)

    def suction_at_cm(self, saturation: FloatArray) -> FloatArray:
        """Suction at a share of full; `saturation` has the draws' shape first.

        The answer lies between those of the pore systems taken alone; with one system the two are one.
        """
        full = np.clip(saturation, 1e-300, 1.0)[..., None]
        n = self._spread(self.ns, full.ndim)
        with np.errstate(over="ignore", divide="ignore"):
            alone = np.expm1(-np.log(full) / (1 - 1 / n)) ** (1 / n) / self._spread(
                self.alphas_per_cm, full.ndim
            )
        alone = np.clip(alone, 1e-300, _FAR_CM)
        low, high = np.log(alone.min(axis=-1)), np.log(alone.max(axis=-1))
        found = np.exp(self._between(low, high, full[..., 0]) if self.ns.shape[-1] > 1 else (low + high) / 2)
        found = np.where(saturation >= 1, 0.0, found)
        return np.asarray(np.where(saturation <= 0, math.inf, found))

    def _between(self, low: FloatArray, high: FloatArray, full: FloatArray) -> FloatArray:
        """Logarithm of the suction at a share of full: Newton's rule; a step out of the bracket halves it."""
        shares, alphas, n = (
            self._spread(each, full.ndim + 1) for each in (self.shares, self.alphas_per_cm, self.ns)
        )
        log_alphas, at = np.log(alphas), (low + high) / 2
        for _step in range(_HALVINGS):
            with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
                x = np.exp(n * (at[..., None] + log_alphas))
                each = shares * (1 + x) ** (1 / n - 1)
                over = each.sum(axis=-1) - full
                falls = np.sum(each * (n - 1) / (1 + 1 / x), axis=-1)  # as the logarithm rises
                step = over / falls
            low, high = np.where(over > 0, at, low), np.where(over > 0, high, at)
            to = at + step
            to = np.where((to >= low) & (to <= high), to, (low + high) / 2)
            moved, at = np.abs(to - at), to
            if moved.max(initial=0.0) < _CLOSE:
                break
        return np.asarray(at)

    def _scaled(self, suction_cm: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Suction, its scaled power (alpha h)^n and n, each broadcast to draws, suctions, systems."""
        h = np.maximum(np.asarray(suction_cm, dtype=np.float64), 0.0)[..., None]
        ndim = self.residual_v.ndim + h.ndim
        n = self._spread(self.ns, ndim)
        with np.errstate(over="ignore"):
            x = (self._spread(self.alphas_per_cm, ndim) * h) ** n
        return h, x, n

    def _spread(self, systems: FloatArray, ndim: int) -> FloatArray:
        """An array of draws and systems with axes of length one between the two."""
        free = ndim - systems.ndim
        return systems.reshape(systems.shape[:-1] + (1,) * free + systems.shape[-1:])


def _over(per_draw: FloatArray, result: FloatArray) -> FloatArray:
    """One value a draw, with axes of length one for what follows the draws in a result."""
    return per_draw.reshape(per_draw.shape + (1,) * (result.ndim - per_draw.ndim))


def curve(
    residual_v: float, saturated_v: float, modes: Sequence[tuple[float, float, float]]
) -> RetentionCurve:
    """One checked curve.

    Parameters
    ----------
    residual_v, saturated_v : float
        Water content that no suction takes, and with all open pores full.
    modes : sequence of tuple
        One tuple a pore system: its share of the drainable pores, its scale alpha (per cm), its n.

    Returns
    -------
    RetentionCurve
        Without draws.

    Raises
    ------
    RangeError
        If a value lies outside its range.
    InputError
        If the shares do not sum to 1.

    Source
    ------
    vangenuchten1980, durner1994: the form of one pore system, and the sum of several.

    Examples
    --------
    >>> sand = curve(0.045, 0.43, [(1, 0.145, 2.68)])
    >>> round(float(sand.theta_v(10)), 4)
    0.2143
    >>> curve(0.045, 43, [(1, 0.145, 2.68)])
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: saturated water content is 43; accepted: 0 to 1. Did you enter percent? \
Write 43 %.
    """
    if not modes:
        raise InputError(_("a retention curve needs one pore system at least: share, alpha and n"))
    shares, alphas_per_cm, ns = (np.array(each, dtype=np.float64) for each in zip(*modes, strict=True))
    return RetentionCurve(np.asarray(residual_v), np.asarray(saturated_v), shares, alphas_per_cm, ns)


def _check(held: RetentionCurve) -> None:
    """Raise for the first value that no curve can have."""
    for field, values in (
        (_("residual water content"), held.residual_v),
        (_("saturated water content"), held.saturated_v),
        (_("share of a pore system"), held.shares),
    ):
        _inside(field, values, 0.0, 1.0, percent=True)
    if not np.all(held.residual_v < held.saturated_v):
        raise InputError(_("residual water content is not below the saturated one. Check which is which."))
    total = held.shares.sum(axis=-1)
    if not np.all(np.abs(total - 1) <= _SHARE_SUM_TOLERANCE):
        worst = float(total.flat[int(np.argmax(np.abs(total - 1)))])
        raise InputError(
            _("shares of the pore systems sum to {sum}; they must sum to 1.").format(sum=number(worst, 4))
        )
    rows = load_table("ringwise.rootzone", "container").of("accepted")
    for field, values, row in (
        (_("alpha per cm"), held.alphas_per_cm, rows["alpha_per_cm"]),
        (_("n of a pore system"), held.ns, rows["n"]),
    ):
        _inside(field, values, row.low or 0.0, row.high or math.inf)


def _inside(field: str, values: FloatArray, low: float, high: float, *, percent: bool = False) -> None:
    wrong = ~((values >= low) & (values <= high))
    if not wrong.any():
        return
    given = float(values[wrong].flat[0])
    way_out = ""
    if percent and 1 < given <= 100:
        way_out = _("Did you enter percent? Write {given} %.").format(given=number(given, 4))
    raise out_of_range(field, number(given, 4), spanned(number(low, 4), number(high, 3)), way_out=way_out)
