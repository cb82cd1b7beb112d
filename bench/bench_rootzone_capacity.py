"""Capacity of many pots against SciPy's quadrature in one run, and a pot drained in time.

Each pair is a pot with sloping walls and one draw of a mix of two pore systems. SciPy integrates the same
area times the same curve, written out in plain floats as fast as Python reads it, at the accuracy at which
both agree. Ends with 1 where a budget is missed. One core: NumPy's own work here runs on one.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from scipy.integrate import quad

from ringwise.rootzone.drain import pot_drainage
from ringwise.rootzone.moments import capacity_v
from ringwise.rootzone.retention import RetentionCurve, curve

PAIRS, SAMPLE, ROUNDS = 100_000, 400, 9
TOLERANCE = 1e-9
MOST_S, LEAST_RATIO, MOST_DRAIN_S = 1.0, 50.0, 0.3


def pairs() -> tuple[RetentionCurve, np.ndarray, np.ndarray]:
    """Trays and deeper pots with draws of a granular mix."""
    draw = np.random.default_rng(1)
    voids = draw.uniform(0.35, 0.7, PAIRS)
    draws = RetentionCurve(
        np.zeros(PAIRS),
        draw.uniform(0.55, 0.85, PAIRS),
        np.stack([voids, 1 - voids], axis=-1),
        np.stack([draw.uniform(0.2, 0.7, PAIRS), draw.uniform(0.01, 0.03, PAIRS)], axis=-1),
        np.stack([draw.uniform(2.0, 3.2, PAIRS), draw.uniform(1.08, 1.6, PAIRS)], axis=-1),
    )
    area = [draw.uniform(*span, PAIRS) for span in ((100.0, 900.0), (0.0, 30.0), (0.0, 1.0))]
    return draws, draw.uniform(3.0, 20.0, PAIRS), np.stack(area, axis=-1)


def by_quadrature(draws: RetentionCurve, heights: np.ndarray, areas: np.ndarray, i: int) -> float:
    """Mean water content of one pair by SciPy."""
    saturated, height = float(draws.saturated_v[i]), float(heights[i])
    (w, v), (a, b), (n, p) = (each[i].tolist() for each in (draws.shares, draws.alphas_per_cm, draws.ns))
    c, d, e = areas[i].tolist()
    r, s = 1 / n - 1, 1 / p - 1
    water, _error = quad(
        lambda z: (c + z * (d + z * e)) * (w * (1 + (a * z) ** n) ** r + v * (1 + (b * z) ** p) ** s),
        0.0,
        height,
        epsabs=0.0,
        epsrel=TOLERANCE,
    )
    return saturated * water / (height * (c + height * (d / 2 + height * e / 3)))


def best_s(*works: Callable[[], object]) -> list[float]:
    """The fastest of several rounds of each, in seconds of the processor, so that neighbours count less."""
    spent: list[list[float]] = [[] for _work in works]
    for _round in range(ROUNDS):
        for place, work in enumerate(works):
            began = time.process_time()
            work()
            spent[place].append(time.process_time() - began)
    return [min(each) for each in spent]


def judged(name: str, value: float, limit: float, *, least: bool = False) -> bool:
    """Print one measure beside its budget; whether it holds."""
    holds = value >= limit if least else value <= limit
    budget = f"{'at least' if least else 'at most'} {limit:g}"
    print(f"{name:58s}{value:10.4g}   {budget}{'' if holds else '   MISSED'}")
    return holds


def main() -> None:
    """Print the table and judge it."""
    draws, heights, areas = pairs()
    sand = curve(0.045, 0.43, [(1.0, 0.145, 2.68)])
    times = [60.0, 300.0, 900.0, 3600.0]
    pot_drainage(sand, 10.0, 0.00825, times)  # the first one compiles
    one_s, sample_s, drain_s = best_s(
        lambda: capacity_v(draws, heights, areas),
        lambda: [by_quadrature(draws, heights, areas, i) for i in range(SAMPLE)],
        lambda: pot_drainage(sand, 10.0, 0.00825, times),
    )
    found = capacity_v(draws, heights, areas)[:SAMPLE]
    theirs = np.array([by_quadrature(draws, heights, areas, i) for i in range(SAMPLE)])
    apart = float(np.abs(found / theirs - 1).max())
    ratio = (sample_s / SAMPLE) / (one_s / PAIRS)
    held = [
        judged(f"{PAIRS:,} pots with a draw each, s", one_s, MOST_S),
        judged("largest difference to quadrature, relative", apart, TOLERANCE),
        judged(
            f"quadrature of one ({1e6 * sample_s / SAMPLE:.0f} us) over closed form, times",
            ratio,
            LEAST_RATIO,
            least=True,
        ),
        judged("a pot drained for an hour, twice, s", drain_s, MOST_DRAIN_S),
    ]
    if not all(held):
        raise SystemExit(1)


if __name__ == "__main__":
    main()
