"""Which outlines of a trunk are its own: those in line with their neighbours and with the narrowest views."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.turntable.hull import Outline
from ringwise.structure.turntable.limits import limit_of


def in_line(
    outlines: tuple[Outline | None, ...],
    height_mm: FloatArray,
    radius_mm: FloatArray,
    sure: BoolArray | None = None,
    last: bool = True,
) -> tuple[Outline | None, ...]:
    """Outlines less those that stick out of the line of their neighbours: there a branch covers the trunk.

    Parameters
    ----------
    outlines : tuple of Outline or None
        At the trunk's nodes.
    height_mm : (n,) float
        Heights of the nodes.
    radius_mm : (n,) float
        Radii of the nodes by their narrowest views.
    sure : (n,) bool, optional
        Where such a radius was read; all, if not given.
    last : bool
        Whether the axis is final; until then a flare's edges may disagree.

    Returns
    -------
    tuple of Outline or None
        None also where one sticks out; the spread of the others is no less than what their neighbours'
        girths differ from one line.

    Source
    ------
    own: row section.most_over_frac of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.hull import outline_of
    >>> turn = np.linspace(0, 2 * math.pi, 48, endpoint=False)
    >>> some = tuple(outline_of(turn, np.full(48, r), 0.4) for r in (25.0, 24.8, 29.0, 24.4, 24.2))
    >>> [each is None for each in in_line(some, np.arange(0.0, 25.0, 5.0), np.full(5, 24.0))]
    [False, False, True, False, False]
    """
    girth = np.array([each.girth_mm if each is not None else np.nan for each in outlines])
    narrow = np.where(np.ones(len(girth), bool) if sure is None else sure, radius_mm, np.nan)
    ratio = girth / (2.0 * math.pi * narrow)
    # No hull is narrower than its narrowest view.
    short = np.isfinite(ratio) & (ratio < 1.0 - limit_of("section", "most_short_frac"))
    keep = np.isfinite(girth) & ~short
    keep &= _near_low(np.where(keep, ratio, np.nan), height_mm)
    _no_broader(keep, ratio)
    foot = np.arange(len(girth)) < (np.argmax(np.isfinite(narrow)) if np.isfinite(narrow).any() else 0)
    clean = np.array([each.clean_frac if each is not None else 0.0 for each in outlines])
    keep &= ~(foot & last & (clean < limit_of("section", "least_foot_clean_frac")))
    above = np.nonzero(keep & ~foot)[0][:5]
    if len(above):
        # No trunk is thinner at its foot.
        keep &= ~(foot & (girth < (1.0 - limit_of("section", "most_foot_frac")) * np.median(girth[above])))
    over = np.where(foot, limit_of("section", "most_foot_frac"), limit_of("section", "most_over_frac"))
    if keep.sum() < 4:
        return tuple(each if stays else None for each, stays in zip(outlines, keep, strict=True))
    own = np.array([each.girth_sd_mm if each is not None else np.nan for each in outlines])
    own = np.sqrt(np.maximum(own**2 - (limit_of("section", "floor_frac") * girth) ** 2, 0.0))
    for _round in range(4):
        rows = np.nonzero(keep)[0]
        for row in rows:
            low, _rest = _low_line(*_near(rows, row, height_mm, girth))
            if girth[row] > low * (1.0 + over[row]) + limit_of("section", "over_sds") * own[row]:
                keep[row] = False
    seen = np.nonzero(np.isfinite(girth))[0]
    return tuple(
        _with_spread(each, _low_line(*_near(seen, row, height_mm, girth))[1], bool(foot[row]))
        if stays
        else None
        for row, (each, stays) in enumerate(zip(outlines, keep, strict=True))
    )


def _near(
    rows: IntArray, row: int | np.integer[Any], height_mm: FloatArray, girth_mm: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """How far the nearest of some rows lie above one, and their girths."""
    away = height_mm[rows] - height_mm[row]
    near = np.argsort(np.abs(away), kind="stable")[: int(limit_of("section", "line_nodes"))]
    return away[near], girth_mm[rows[near]]


def _with_spread(outline: Outline | None, rest_mm: FloatArray, alone: bool) -> Outline | None:
    """An outline whose spread holds what its neighbours, those that were let go too, differ from their line.

    Where half of them are those of a crown, this is what an outline that passed may still be off. One that
    is far less sure than a girth filled from its neighbours is none: it would only lead those astray. At a
    foot that no narrow view shows it stays, alone in telling how thick the trunk is.
    """
    if outline is None:
        return None
    sd_mm = math.hypot(outline.girth_sd_mm, 1.4826 * float(np.median(np.abs(rest_mm))))
    if not alone and sd_mm > limit_of("section", "most_apart_frac") * outline.girth_mm:
        return None
    return replace(outline, girth_sd_mm=sd_mm)


def _no_broader(keep: BoolArray, ratio: FloatArray) -> None:
    """Drop, from below, girths that exceed their narrowest views by more than those below them do.

    A trunk grows rounder upwards; where a crown covers it on most sides, its girths are those of the crown.
    """
    below: list[float] = []
    for row in np.nonzero(keep & np.isfinite(ratio))[0]:
        if len(below) >= 5:
            most = float(np.median(below[-int(limit_of("section", "about_nodes")) :])) * (
                1.0 + limit_of("section", "most_broader_frac")
            )
            if ratio[row] > most:
                keep[row] = False
                continue
        below.append(float(ratio[row]))


def _near_low(ratio: FloatArray, height_mm: FloatArray) -> BoolArray:
    """Which girths agree with the narrowest views as well as the better ones about them do."""
    keep = ~np.isfinite(ratio)  # what has no radius of its own is held to its neighbours alone
    rows = np.nonzero(np.isfinite(ratio))[0]
    about = int(limit_of("section", "about_nodes"))
    for row in rows:
        near = rows[np.argsort(np.abs(height_mm[rows] - height_mm[row]), kind="stable")[:about]]
        keep[row] = ratio[row] <= np.quantile(ratio[near], limit_of("section", "better_frac")) * (
            1.0 + limit_of("section", "most_ratio_frac")
        )
    return keep


def _low_line(away_mm: FloatArray, girth_mm: FloatArray) -> tuple[float, FloatArray]:
    """The girth at 0 of a line through neighbours, of which those above it are weighed down; their rests."""
    from ringwise.structure.turntable.hull_kernels import low_line

    rest = np.empty(len(away_mm))
    middle = low_line(away_mm, girth_mm, limit_of("section", "line_slack_frac") * girth_mm, rest)
    return float(middle), rest
