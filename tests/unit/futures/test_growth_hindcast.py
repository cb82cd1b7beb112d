"""Growth found back from girths: trees of known vigour, made by the model itself, lived again."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from ringwise.futures.hindcast import calibrated, relived
from ringwise.futures.simulate import parameters_of
from ringwise.futures.start import Start
from ringwise.growth import layout as at
from ringwise.growth.biology import Biology, biology
from ringwise.growth.draws import Block
from ringwise.growth.particles import COLUMNS, Particles
from ringwise.growth.seen_growth import SeenGrowth
from ringwise.growth.start import Condition
from ringwise.kit.errors import RangeError
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.tape_tree import tree_from_tape

ELM = ("ulmus_parvifolia", "ulmus", "G1")
YEARS = 5


@lru_cache(maxsize=1)
def _young() -> tuple[Start, Biology]:
    """An elm 15 mm across and 35 cm high, in 10 L, that nobody holds back."""
    form = form_for((*ELM, "any"))
    tape = tape_from_basics(15.0, 350.0, form, seed=1)
    tables = tuple(tree_from_tape(tape, seed=seed, form=form, born_year=2017) for seed in range(2))
    return Start(tables, Condition(10.0, 4, 1.0), 2018), biology(ELM)


@lru_cache(maxsize=4)
def _found(vigour: float) -> Particles:
    """A tree of known vigour grown for some years, its girth read with a tape, then found back."""
    start, life = _young()
    rows = parameters_of(start, life, Block(991, 0, 1))
    rows[:, COLUMNS] = np.median(parameters_of(start, life, Block(7, 0, 500))[:, COLUMNS], axis=0)
    rows[:, at.P_VIGOUR] = math.log(vigour)
    girth = relived(start, rows, YEARS, 991).girth_mm[0]
    read = girth + np.random.default_rng(5).normal(0.0, 1.0, girth.size)
    seen = SeenGrowth(tuple(float(year) for year in range(YEARS + 1)), tuple(float(each) for each in read))
    return calibrated((start,), life, seen, seed=3, particles_n=120)


@pytest.mark.parametrize("vigour", [0.7, 1.4])
def test_a_known_vigour_is_found_back_within_its_spread(vigour: float) -> None:
    told = _found(vigour).vigour
    assert abs(told.mean_log - math.log(vigour)) < 2.0 * told.sd_log
    assert told.sd_log < 0.36  # no wider than the prior
    assert not told.mostly_prior


def test_a_fast_tree_is_told_from_a_slow_one() -> None:
    slow, fast = _found(0.7), _found(1.4)
    assert fast.vigour.mean_log > slow.vigour.mean_log + 0.1


def test_the_same_record_gives_the_same_particles() -> None:
    start, life = _young()
    seen = SeenGrowth((0.0, 1.0), (45.0, 50.0))
    one, two = (calibrated((start,), life, seen, seed=3, particles_n=24) for _time in range(2))
    assert np.array_equal(one.values, two.values)
    assert one.mostly_prior


def test_futures_draw_from_the_particles() -> None:
    start, life = _young()
    told = _found(1.4)
    plain = parameters_of(start, life, Block(1, 0, 400))
    own = parameters_of(replace(start, particles=told), life, Block(1, 0, 400))
    place = COLUMNS.index(at.P_VIGOUR)
    assert own[:, at.P_VIGOUR].mean() == pytest.approx(told.values[:, place].mean(), abs=0.05)
    untouched = [column for column in range(at.PARAMETERS) if column not in COLUMNS]
    assert np.array_equal(own[:, untouched], plain[:, untouched])
    part = parameters_of(replace(start, particles=told), life, Block(1, 100, 5))
    assert np.array_equal(part, own[100:105])  # a future does not depend on its block


def test_each_growth_is_held_against_the_tree_of_its_time() -> None:
    start, life = _young()
    seen = SeenGrowth((0.0, 1.0, 2.0, 4.0), (45.0, 50.0, 55.0, 70.0))
    assert calibrated((start, start), life, seen, seed=3, particles_n=24).increments_n == 3
    with pytest.raises(RangeError, match="trees of the past"):
        calibrated((start, start, start), life, seen, seed=3, particles_n=24)


def test_girths_alone_are_enough() -> None:
    start, life = _young()
    seen = SeenGrowth((0.0, 2.0, 4.0), (45.0, 90.0, 140.0))
    fast = calibrated((start,), life, seen, seed=3, particles_n=60)
    slow = calibrated((start,), life, replace(seen, girths_mm=(45.0, 52.0, 60.0)), seed=3, particles_n=60)
    assert fast.vigour.mean_log > slow.vigour.mean_log + 0.2
    assert slow.vigour.mostly_prior


def test_heights_alone_move_growth_and_say_mostly_prior() -> None:
    start, life = _young()
    heights = SeenGrowth((0.0,), (45.0,), (1.0, 3.0), (420.0, 520.0))
    short = calibrated((start,), life, heights, seed=3, particles_n=60)
    tall = calibrated((start,), life, replace(heights, heights_mm=(700.0, 1600.0)), seed=3, particles_n=60)
    unit = COLUMNS.index(at.P_UNIT)
    assert np.median(tall.values[:, unit]) > np.median(short.values[:, unit])
    assert tall.increments_n == 0
    assert tall.mostly_prior


def test_a_record_of_no_season_is_refused() -> None:
    start, life = _young()
    with pytest.raises(RangeError, match="seasons of the record"):
        calibrated((start,), life, SeenGrowth((0.0,), (45.0,)), seed=3)
