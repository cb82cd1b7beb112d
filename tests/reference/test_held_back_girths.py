"""Girths that were held back, against the band foretold from those before: 30 made trees, two years each.

The records (tests/records/make_girth_records.py) come from published rates of open ground (McPherson, van
Doorn & Peper 2016, RDS-2016-0005), the pot factor (Poorter et al. 2012) and noise of their own; they were
committed before growth was tuned, and nothing was fitted to them. An honest 80 % band holds 65 to 92 % of
n = 60 girths. This is a check of consistency between two models, no evidence about living trees.
"""

from __future__ import annotations

import os
from functools import lru_cache

import numpy as np
from held_back import HELD_YEARS, Held, foretold, own_growth, records

from ringwise.futures.simulate import Run

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
PARTICLES, FUTURES = (240, 120) if LONG else (96, 60)
LEAST, MOST = 0.65, 0.92


@lru_cache(maxsize=1)
def _held() -> tuple[Held, ...]:
    told: list[Held] = []
    for record in records():
        particles = own_growth(record, particles_n=PARTICLES)
        told += foretold(record, particles, Run(FUTURES, HELD_YEARS, seed=11, workers=1))
    return tuple(told)


def test_the_band_holds_as_many_girths_as_it_says() -> None:
    hits = [each.hit for each in _held()]
    assert len(hits) == 60
    assert LEAST <= float(np.mean(hits)) <= MOST


def _miss_log(held: tuple[Held, ...]) -> np.ndarray:
    """How far the middle of each band lies from the girth, in growth since the last one known, as ln."""
    last_mm = {record.tree: record.known[-1].girth_mm for record in records()}
    pairs = [(each.girth_mm - last_mm[each.tree], each.median_mm - last_mm[each.tree]) for each in held]
    return np.array([np.log(max(said, 1.0) / max(read, 1.0)) for read, said in pairs])


def test_a_record_brings_the_middle_nearer_than_the_kind_alone() -> None:
    # A band from nothing to anything would hold every girth: its middle must have learned from the record.
    plain: list[Held] = []
    for record in records():
        plain += foretold(record, None, Run(FUTURES, HELD_YEARS, seed=11, workers=1))
    own, kind = _miss_log(_held()), _miss_log(tuple(plain))
    assert float(np.abs(own).mean()) < 0.7 * float(np.abs(kind).mean())
