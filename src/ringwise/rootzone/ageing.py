"""A mix that has been in the pot for years: granules crumble to fines, roots fill the voids.

Both are drawn for each draw of a mix, so that a pot's weighings can tell how far they have gone. Fines make
the voids narrower and pack the bed; roots take voids away and narrow the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import out_of_range
from ringwise.kit.show import number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.blend import Blend
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.spread import amount_of, drawn

BROKEN_LEVELS = (0.0, 0.1, 0.25, 0.6)  # shares broken at which a mix is packed anew


@dataclass(frozen=True)
class Ageing:
    """How far each draw has gone: share of the granules crumbled, share of the voids that roots fill."""

    broken_frac: FloatArray
    root_frac: FloatArray

    def picked(self, which: NDArray[np.intp]) -> Ageing:
        """Some of the draws, by their places."""
        return Ageing(self.broken_frac[which], self.root_frac[which])


def ageing_row(parameter: str) -> Parameter:
    """A row of `data/ageing.csv`.

    Parameters
    ----------
    parameter : str
        Such as "broken_frac_year".

    Returns
    -------
    Parameter
        With its range and basis.

    Source
    ------
    practice: the table names basis and source of each row.

    Examples
    --------
    >>> ageing_row("broken_frac_year").basis
    'practice'
    """
    return load_table("ringwise.rootzone", "ageing").get("any", parameter)


def ageing_of(years: float | None, *, draws: int, seed: int) -> Ageing:
    """How far a mix has gone after years in the pot.

    Parameters
    ----------
    years : float or None
        Since the pot was filled anew; None where that is not known.
    draws : int
        How many.
    seed : int
        Of the draws; the same seed gives the same pace at every age.

    Returns
    -------
    Ageing
        Nothing at the age of 0.

    Raises
    ------
    RangeError
        If the years are negative.

    Source
    ------
    practice: yearly shares of `data/ageing.csv`; own: what is left crumbles on at the same pace.

    Examples
    --------
    >>> old, new = ageing_of(6.0, draws=3, seed=1), ageing_of(1.0, draws=3, seed=1)
    >>> bool((old.broken_frac > new.broken_frac).all())
    True
    """
    if years is not None and not years >= 0:
        raise out_of_range(_("years in the pot"), number(years), _("0 or more"))

    def draw(parameter: str) -> FloatArray:
        return drawn(amount_of(ageing_row(parameter)), f"ageing.{parameter}", draws, seed)

    age = draw("unknown_years") if years is None else np.full(draws, float(years))
    gone = [1.0 - np.exp(-draw(f"{each}_frac_year") * age) for each in ("broken", "root")]
    most = [ageing_row(f"{each}_most_frac").number for each in ("broken", "root")]
    return Ageing(*(np.minimum(each, end) for each, end in zip(gone, most, strict=True)))


def aged(blend_at: Callable[[float], Blend], ageing: Ageing) -> Blend:
    """A mix as it is after some years.

    Parameters
    ----------
    blend_at : callable
        The mix with a share of its granules broken, each time with the same draws.
    ageing : Ageing
        Of each draw.

    Returns
    -------
    Blend
        The mix without anything broken where nothing has aged.

    Source
    ------
    own: packing of the mix with its fines; roots leave the share of the voids that they do not fill, and
    narrow it alike.

    Examples
    --------
    >>> from ringwise.rootzone.blend import blend
    >>> from ringwise.rootzone.mix import recipe
    >>> def at(frac):
    ...     return blend(recipe("D"), draws=20, seed=1, broken_frac=frac)
    >>> old = aged(at, ageing_of(5.0, draws=20, seed=1))
    >>> bool((old.void_v < at(0.0).void_v).all())
    True
    """
    levels = [level for level in BROKEN_LEVELS if level <= _next_level(float(ageing.broken_frac.max()))]
    blends = [blend_at(level) for level in levels]
    fresh = blends[0]
    if len(blends) == 1:
        return _rooted(fresh, ageing.root_frac)
    upper = np.clip(np.searchsorted(levels, ageing.broken_frac), 1, len(levels) - 1)
    low, high = np.asarray(levels)[upper - 1], np.asarray(levels)[upper]
    part = np.clip((ageing.broken_frac - low) / (high - low), 0.0, 1.0)

    def between(arrays: list[FloatArray]) -> FloatArray:
        stacked, rows = np.stack(arrays), np.arange(part.size)
        under, over = stacked[upper - 1, rows], stacked[upper, rows]
        share = part.reshape(part.shape + (1,) * (under.ndim - 1))
        return np.asarray(under + share * (over - under))

    curves = [each.curve for each in blends]
    curve = RetentionCurve(
        residual_v=between([each.residual_v for each in curves]),
        saturated_v=between([each.saturated_v for each in curves]),
        shares=between([each.shares for each in curves]),
        alphas_per_cm=np.exp(between([np.log(each.alphas_per_cm) for each in curves])),
        ns=between([each.ns for each in curves]),
    )
    mixed = replace(
        fresh,
        curve=curve,
        packing_frac=between([each.packing_frac for each in blends]),
        yield_frac=between([each.yield_frac for each in blends]),
        bulk_kg_l=between([each.bulk_kg_l for each in blends]),
        cec_cmol_l=between([each.cec_cmol_l for each in blends]),
        effective_mm=np.exp(between([np.log(each.effective_mm) for each in blends])),
    )
    return _rooted(mixed, ageing.root_frac)


def _next_level(broken_frac: float) -> float:
    return next((level for level in BROKEN_LEVELS if level >= broken_frac), BROKEN_LEVELS[-1])


def _rooted(mixed: Blend, root_frac: FloatArray) -> Blend:
    """The mix with a share of its voids, the first pore system, filled by roots."""
    if not root_frac.any():
        return mixed
    curve, left = mixed.curve, 1.0 - root_frac
    pores = curve.shares * curve.span_v[..., None]
    pores = np.concatenate([pores[..., :1] * left[..., None], pores[..., 1:]], axis=-1)
    span = pores.sum(axis=-1)
    alphas = np.concatenate(
        [curve.alphas_per_cm[..., :1] * left[..., None], curve.alphas_per_cm[..., 1:]], axis=-1
    )
    rooted = RetentionCurve(
        residual_v=curve.residual_v,
        saturated_v=curve.residual_v + span,
        shares=pores / span[..., None],
        alphas_per_cm=alphas,
        ns=curve.ns,
    )
    return replace(mixed, curve=rooted, packing_frac=1.0 - mixed.void_v * left)
