"""Draws are keyed, even, independent and the same everywhere."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.kit.chance import Purpose, mix64, normal, uniform
from ringwise.kit.types import FloatArray

N = 20_000
# One degree of freedom short of 100 cells: mean 99, sd sqrt(2 * 99) = 14.07; five sd either side.
CHI2_CELLS = 100
CHI2_LOW, CHI2_HIGH = 99 - 5 * math.sqrt(198), 99 + 5 * math.sqrt(198)


def _chi2(draws: FloatArray) -> float:
    counts, _edges = np.histogram(draws, bins=CHI2_CELLS, range=(0.0, 1.0))
    expected = draws.size / CHI2_CELLS
    return float(((counts - expected) ** 2 / expected).sum())


def test_splitmix64_gives_its_known_sequence() -> None:
    # First outputs of the splitmix64 generator for seed 0, as printed in public test vectors (from memory).
    golden = 0x9E3779B97F4A7C15
    states = np.array([(golden * n) & 0xFFFFFFFFFFFFFFFF for n in range(3)], dtype=np.uint64)
    assert [hex(int(value)) for value in mix64(states)] == [
        "0xe220a8397b1dcdaf",
        "0x6e789e6aa1b965f4",
        "0x6c45d188009454f",
    ]


def test_splitmix64_agrees_with_plain_integers() -> None:
    mask = 0xFFFFFFFFFFFFFFFF

    def plain(value: int) -> int:
        z = (value + 0x9E3779B97F4A7C15) & mask
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & mask
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & mask
        return z ^ (z >> 31)

    values = [0, 1, 2, 12345, 2**63, mask]
    assert [int(v) for v in mix64(np.array(values, dtype=np.uint64))] == [plain(v) for v in values]


@pytest.mark.parametrize("part", range(4))
def test_draws_are_even_along_every_part_of_the_key(part: int) -> None:
    key: list[object] = [0, 0, 0, 0]
    key[part] = np.arange(N)
    future, year, half, entity = key
    draws = uniform(11, future, year, half, Purpose.VIGOUR, entity)
    assert draws.shape == (N,)
    assert draws.min() > 0.0
    assert draws.max() < 1.0
    assert CHI2_LOW < _chi2(draws) < CHI2_HIGH


def test_draws_are_even_along_seeds_and_purposes() -> None:
    seeds = np.concatenate([uniform(seed, 0, 0, 0, Purpose.BUD, 0) for seed in range(4000)])
    assert CHI2_LOW < _chi2(seeds) < CHI2_HIGH
    purposes = np.concatenate([uniform(3, np.arange(1000), 0, 0, purpose, 0) for purpose in Purpose])
    assert CHI2_LOW < _chi2(purposes) < CHI2_HIGH


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ((0, 0, 0, Purpose.VIGOUR), (0, 0, 0, Purpose.BUD)),
        ((0, 0, 0, Purpose.VIGOUR), (1, 0, 0, Purpose.VIGOUR)),
        ((0, 0, 0, Purpose.VIGOUR), (0, 1, 0, Purpose.VIGOUR)),
        ((0, 0, 0, Purpose.VIGOUR), (0, 0, 1, Purpose.VIGOUR)),
        ((1, 0, 0, Purpose.VIGOUR), (0, 1, 0, Purpose.VIGOUR)),
    ],
)
def test_draws_of_two_keys_are_unrelated(
    first: tuple[int, int, int, int], second: tuple[int, int, int, int]
) -> None:
    entity = np.arange(N)
    a = uniform(5, *first, entity)
    b = uniform(5, *second, entity)
    # The correlation of N unrelated draws has standard error 1/sqrt(N); five of them.
    assert abs(float(np.corrcoef(a, b)[0, 1])) < 5 / math.sqrt(N)


def test_neighbours_are_unrelated() -> None:
    draws = uniform(5, np.arange(N), 0, 0, Purpose.VIGOUR, 0)
    assert abs(float(np.corrcoef(draws[:-1], draws[1:])[0, 1])) < 5 / math.sqrt(N)


def test_a_draw_depends_on_its_key_alone() -> None:
    many = uniform(7, np.arange(50)[:, None], np.arange(4)[None, :], 1, Purpose.SHED, 9)
    assert many.shape == (50, 4)
    one = uniform(7, 31, 2, 1, Purpose.SHED, 9)
    assert one.shape == (1,)
    assert one[0] == many[31, 2]


def test_swapped_parts_are_other_draws() -> None:
    assert uniform(7, 1, 2, 0, Purpose.BUD, 0)[0] != uniform(7, 2, 1, 0, Purpose.BUD, 0)[0]


def test_negative_and_huge_keys_are_keys_too() -> None:
    draws = [uniform(seed, 0, 0, 0, Purpose.BUD, entity)[0] for seed in (-1, 2**63) for entity in (-5, 2**40)]
    assert len(set(draws)) == 4


def test_normal_draws_have_the_moments_of_the_standard_normal() -> None:
    draws = normal(2, np.arange(N), 0, 0, Purpose.PARAMETER, 0)
    # Standard errors: mean 1/sqrt(N); variance sqrt(2/N); kurtosis sqrt(24/N). Five of each.
    assert abs(float(draws.mean())) < 5 / math.sqrt(N)
    assert abs(float(draws.var()) - 1) < 5 * math.sqrt(2 / N)
    assert abs(float((draws**4).mean()) - 3) < 5 * math.sqrt(24 / N) * 2
    assert bool(np.isfinite(draws).all())


def test_purposes_keep_their_numbers() -> None:
    # Stored results depend on them; a new purpose gets a new number.
    assert {each.name: int(each) for each in Purpose if each <= 8} == {
        "WEATHER_YEAR": 1,
        "VIGOUR": 2,
        "PARAMETER": 3,
        "BUD": 4,
        "DIRECTION": 5,
        "SHED": 6,
        "SURVIVE": 7,
        "ROOTING": 8,
    }
    assert len({int(each) for each in Purpose}) == len(Purpose)
