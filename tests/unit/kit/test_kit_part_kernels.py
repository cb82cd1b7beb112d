"""A compiled function that another calls is a part of it, and still a program of its own for Python."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.kit.kernels import compiled, compiled_in_place


def _squared(value: float) -> float:
    return value * value


def _lengths(values: object) -> object:
    out = np.empty(len(values))  # type: ignore[arg-type]
    for row in range(len(out)):
        out[row] = values[row, 0] + values[row, 1]  # type: ignore[index]
    return out


def test_a_part_is_no_program_until_python_calls_it() -> None:
    squared = compiled_in_place(_squared)

    def total(values):  # type: ignore[no-untyped-def]
        found = 0.0
        for value in values:
            found += squared(value)
        return found

    program = compiled(total)
    values = np.array([1.5, -2.0, 0.25])
    assert program(values) == sum(float(v) ** 2 for v in values)
    assert not squared.overloads
    assert squared(3.0) == 9.0
    assert len(squared.overloads) == 1


def test_one_part_serves_callers_with_other_kinds_of_numbers() -> None:
    squared = compiled_in_place(_squared)
    both = compiled(lambda a, b: squared(a) + squared(b))
    assert both(3, 0.5) == 9.25
    assert both(np.float32(0.5), 2) == 4.25


def test_what_makes_arrays_says_so() -> None:
    values = np.arange(6.0).reshape(3, 2)
    assert compiled(_lengths)(values).tolist() == [1.0, 5.0, 9.0]
    with pytest.raises(TypeError, match="_lengths makes arrays \\(empty\\)"):
        compiled_in_place(_lengths)
