"""Compiled: which edges of a section lie on its hull, and the low line through neighbouring girths."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

_TINY = 1e-18


@compiled
def _fitted(basis: Any, reach: Any, weight: Any, damp: Any, waves: Any) -> None:
    """Waves by damped weighted least squares: normal matrix, its Cholesky factor, two substitutions."""
    edges, columns = basis.shape
    lower = np.zeros((columns, columns))
    for edge in range(edges):
        for one in range(columns):
            for other in range(one + 1):
                lower[one, other] += weight[edge] * basis[edge, one] * basis[edge, other]
    for one in range(columns):
        waves[one] = 0.0
        for edge in range(edges):
            waves[one] += weight[edge] * basis[edge, one] * reach[edge]
        lower[one, one] += damp[one]
    for one in range(columns):
        for other in range(one + 1):
            value = lower[one, other]
            for before in range(other):
                value -= lower[one, before] * lower[other, before]
            lower[one, other] = math.sqrt(max(value, _TINY)) if one == other else value / lower[other, other]
    for one in range(columns):
        for before in range(one):
            waves[one] -= lower[one, before] * waves[before]
        waves[one] /= lower[one, one]
    for one in range(columns - 1, -1, -1):
        for after in range(one + 1, columns):
            waves[one] -= lower[after, one] * waves[after]
        waves[one] /= lower[one, one]


@compiled
def clean_edges(basis: Any, hold: Any, edges: Any, rules: Any, clean: Any) -> None:
    """Mark the edges on the hull: far ones lose weight, and as their spread shrinks the waves come free.

    `edges`: reach in mm and trust. `rules`: first spread and least spread in mm, spreads at which an edge
    too far out and one too near is let go, rounds.
    """
    reach, trust = edges
    scale, least, far, near, rounds = rules
    count = len(reach)
    weight = trust**2
    rest = np.empty(count)
    waves = np.empty(basis.shape[1])
    for _round in range(rounds):
        _fitted(basis, reach, weight, scale * scale * hold, waves)
        for edge in range(count):
            told = 0.0
            for column in range(len(waves)):
                told += basis[edge, column] * waves[column]
            rest[edge] = trust[edge] * (reach[edge] - told)
        scale = max(1.4826 * np.median(np.abs(rest)), least)
        for edge in range(count):
            # Cover only ever lies outside the bark: an edge too far out is let go sooner than one too near.
            # It loses its weight one spread before it is let go.
            bound = (far - 1.0 if rest[edge] > 0.0 else near - 1.0) * scale
            left = min(max(1.0 - (rest[edge] / bound) ** 2, 0.0), 1.0)
            weight[edge] = trust[edge] ** 2 * left * left + 1e-12
    for edge in range(count):
        clean[edge] = rest[edge] < far * scale and rest[edge] > -near * scale


@compiled
def low_line(away: Any, girth: Any, slack: Any, rest: Any) -> Any:
    """The girth at 0 of a line through neighbours, those above it weighed down; fills their rests."""
    weight = np.ones(len(away))
    middle = 0.0
    for _round in range(8):
        heavy = weight / weight.sum()
        mean_away, mean_girth = (heavy * away).sum(), (heavy * girth).sum()
        x, y = away - mean_away, girth - mean_girth
        slope = (heavy * x * y).sum() / max((heavy * x * x).sum(), 1e-12)
        middle = mean_girth - slope * mean_away
        for row in range(len(away)):
            rest[row] = girth[row] - middle - slope * away[row]
            weight[row] = 1.0 / (1.0 + (rest[row] / slack[row]) ** 2) if rest[row] > 0.0 else 1.0
    return middle
