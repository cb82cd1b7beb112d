"""Water moving down a column, compiled: the mixed form of the flow equation in modified Picard steps.

Cells are counted from the top; flow is positive downwards. Each step is implicit, its length follows how
hard the last one was, and a step that does not settle is tried again at a quarter of its length.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.kit.kernels import compiled

CLOSED, HEAD, OUTLET = 0, 1, 2  # kinds of an end of the column
_MOST_TRIES = 30  # Picard rounds in one step
_EASY_TRIES, _HARD_TRIES = 12, 18  # up to the first the step grows; above the second it shrinks
_SHRINK = 0.7
_FIRST_STEP_S = 1e-4
_LEAST_STEP_S = 1e-9
_SETTLED_CM = 1e-6  # last correction of the pressure
_CLOSED_CM = 1e-12  # water that a cell's balance may leave open in one step


@compiled
def look_up(tables: Any, pressure: Any) -> Any:
    """Water content, water given up per cm, and conductivity at a pressure head."""
    log_first, step, theta, conductivity = tables
    if pressure >= 0.0:
        return theta[0], 0.0, conductivity[0]
    place = (math.log(-pressure) - log_first) / step
    if place <= 0.0:
        return theta[0], 0.0, conductivity[0]
    i = min(int(place), theta.size - 2)
    part = min(place - i, 1.0)
    rise = (theta[i] - theta[i + 1]) / step
    held = theta[i] + (theta[i + 1] - theta[i]) * part
    flows = conductivity[i] * (conductivity[i + 1] / conductivity[i]) ** part
    return held, rise / -pressure, flows


@compiled
def end_flow(tables: Any, kind: Any, head: Any, pressure: Any, half: Any, below: Any) -> Any:
    """Flow through an end face, downwards, and how it changes with the pressure of the cell beside it."""
    if kind == CLOSED:
        return 0.0, 0.0
    at_face = look_up(tables, head)[2]
    between = (at_face + look_up(tables, pressure)[2]) / 2
    flow = between * ((pressure - head if below else head - pressure) / half + 1.0)
    if kind == OUTLET and flow <= 0.0:
        return 0.0, 0.0
    return flow, between / half


@compiled
def picard(tables: Any, ends: Any, dz: Any, dt: Any, p: Any, before: Any) -> Any:
    """One step: the pressure is corrected in place; settled or not, flow in at the top and out below."""
    n = p.size
    held, gives, flows = np.empty(n), np.empty(n), np.empty(n)
    diagonal, upper, right = np.empty(n), np.empty(n), np.empty(n)
    kind_top, head_top, kind_low, head_low = ends
    moved = math.inf
    for _round in range(_MOST_TRIES):
        for i in range(n):
            held[i], gives[i], flows[i] = look_up(tables, p[i])
        top, top_slope = end_flow(tables, kind_top, head_top, p[0], dz / 2, False)
        low, low_slope = end_flow(tables, kind_low, head_low, p[n - 1], dz / 2, True)
        worst, above, slope_above = 0.0, top, top_slope
        for i in range(n):
            under, slope_under = low, low_slope
            if i < n - 1:
                between = (flows[i] + flows[i + 1]) / 2
                under, slope_under = between * ((p[i] - p[i + 1]) / dz + 1.0), between / dz
            open_cm = above - under - dz * (held[i] - before[i]) / dt
            worst = max(worst, abs(open_cm) * dt)
            lower = -slope_above if i > 0 else 0.0
            diagonal[i] = dz * gives[i] / dt + slope_above + slope_under
            right[i] = open_cm
            if i > 0:
                factor = lower / diagonal[i - 1]
                diagonal[i] -= factor * upper[i - 1]
                right[i] -= factor * right[i - 1]
            upper[i] = -slope_under
            above, slope_above = under, slope_under
        if worst < _CLOSED_CM and moved < _SETTLED_CM:
            return _round, top, low
        moved, change = 0.0, 0.0
        for i in range(n - 1, -1, -1):
            change = (right[i] - (upper[i] * change if i < n - 1 else 0.0)) / diagonal[i]
            p[i] += change
            moved = max(moved, abs(change))
        if not moved < 1e12:
            break
    return _MOST_TRIES, 0.0, 0.0


@compiled
def column(tables: Any, ends: Any, dz: Any, start: Any, times: Any, steps: Any) -> Any:
    """Pressure at each time, and water entered at the top and drained below until then.

    `steps` is the factor by which an easy step grows, and the longest step.
    """
    growth, most_step = steps
    n = start.size
    p, tried, before = start.copy(), start.copy(), np.empty(n)
    pressures = np.empty((times.size, n))
    entered, drained = np.zeros(times.size), np.zeros(times.size)
    now, dt, came, went = 0.0, min(_FIRST_STEP_S, most_step), 0.0, 0.0
    for k in range(times.size):
        while now < times[k]:
            ahead = min(dt, times[k] - now)
            for i in range(n):
                before[i] = look_up(tables, p[i])[0]
                tried[i] = p[i]
            rounds, top, low = picard(tables, ends, dz, ahead, tried, before)
            if rounds >= _MOST_TRIES:
                dt = ahead / 4
                if dt < _LEAST_STEP_S:
                    return pressures, entered, drained, now
                continue
            p[:] = tried
            now = times[k] if ahead == times[k] - now else now + ahead
            came += top * ahead
            went += low * ahead
            if rounds > _HARD_TRIES:
                dt = ahead * _SHRINK
            elif rounds <= _EASY_TRIES and ahead == dt:
                dt = min(dt * growth, most_step)
        pressures[k] = p
        entered[k] = came
        drained[k] = went
    return pressures, entered, drained, now
