"""A course as the plain arrays that the compiled year reads: steps, minutes, routine care, outline."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from ringwise.futures.course import Course
from ringwise.futures.look_codes import LOOKS
from ringwise.futures.measure_limits import measure_limits
from ringwise.futures.outline import outline_of
from ringwise.futures.start import Start
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.operations.base import GROUPS, Operation
from ringwise.operations.conflict_costs import Rules, conflict_arrays
from ringwise.operations.effect_codes import CONDITIONS, EFFECTS, HEAVY
from ringwise.operations.registry import OPERATIONS

IN_GROUND = "F"
_HALF = {"spring": 0, "summer": 1}
_NO_CHECK = -1


def minutes_by_code(size_class: str) -> FloatArray:
    """Median minutes of each effect for a size of pot, from the catalogue of operations.

    Parameters
    ----------
    size_class : str
        XS to XL, or F for the ground.

    Returns
    -------
    (effects,) float
        Minutes by effect code.

    Raises
    ------
    UnknownNameError
        If there is no such size.

    Source
    ------
    practice; care.csv for what the catalogue does not time.

    Examples
    --------
    >>> float(minutes_by_code("M")[EFFECTS["repot"]])
    90.0
    """
    own = load_table("ringwise.futures", "care")
    out = np.zeros(len(EFFECTS))
    for name, code in EFFECTS.items():
        key = "structural_prune" if name == "prune" else name
        if key in OPERATIONS:
            out[code] = _minutes(OPERATIONS[key], size_class)
        elif own.has(name, "minutes"):
            out[code] = own.get(name, "minutes").number
    out[EFFECTS["cut_back"]] *= own.get("cut_back", "times_a_year").number
    return out


def _minutes(operation: Operation, size_class: str) -> float:
    """Median minutes; what is not timed in the ground takes as long as in a large pot."""
    known = size_class in operation.minutes or size_class != IN_GROUND
    return operation.minutes_of(size_class if known else "L").median


def plan_of(course: Course, start: Start, keys: Iterable[str] = ()) -> tuple[Any, ...]:
    """A course as the arrays that the compiled year reads.

    Parameters
    ----------
    course : Course
        The course.
    start : Start
        For the minutes by its size, and the outline to hold.
    keys : iterable of str
        Keys of its taxon, for what its group bears in one season.

    Returns
    -------
    tuple
        Codes (year, half, operation, condition, check or -1, wanted), sizes (height in mm, share, litres,
        clock position in hours or -1, extra), minutes, whether each step is heavy work, the outline,
        checks (year, half, look, times, bit) and for each what it compares with, its sensitivity,
        specificity and error. A row that repeats is there once for each of its years. Then the thresholds
        of measures, and last the conflicts of works.

    Source
    ------
    own: no routine repot in a season of heavy work nor in the one after it.

    Examples
    --------
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> plan_of(Course("accept", "", ""), start)[3].tolist()
    []
    """
    rows = sorted(
        ((year, step) for step in course.steps for year in step.years),
        key=lambda each: (each[0], _HALF[each[1].half]),
    )
    names = [check.name for check in course.checks]
    codes = np.zeros((len(rows), 6), np.int64)
    sizes = np.zeros((len(rows), 5))
    heavy = np.zeros(len(rows), np.int64)
    for row, (year, step) in enumerate(rows):
        operation = EFFECTS[step.operation]
        codes[row, :4] = year, _HALF[step.half], operation, CONDITIONS[step.condition]
        codes[row, 4:] = names.index(step.check) if step.check else _NO_CHECK, step.wanted
        sizes[row] = step.height_mm, step.amount_frac, step.volume_l, step.clock_h, step.extra
        heavy[row] = operation in HEAVY or operation == EFFECTS["approach_graft"]
    minutes, outline = minutes_by_code(start.size_class), outline_of(start)
    seen = (*_checks(course), measure_limits())
    return codes, sizes, minutes, heavy, outline, *seen, _conflicts(start, keys)


def _checks(course: Course) -> tuple[IntArray, FloatArray]:
    rows = [(year, bit, check) for bit, check in enumerate(course.checks) for year in check.years]
    codes = np.zeros((len(rows), 5), np.int64)
    levels = np.zeros((len(rows), 4))
    table = load_table("ringwise.futures", "looks")
    for row, (year, bit, check) in enumerate(rows):
        codes[row] = year, _HALF[check.half], LOOKS[check.look], check.times, bit
        levels[row, 0] = check.level
        for column, name in enumerate(("sensitivity", "specificity", "error_sd"), start=1):
            if table.has(check.look, name):
                levels[row, column] = table.get(check.look, name).number
    return codes, levels


def _conflicts(start: Start, keys: Iterable[str]) -> Rules:
    """The conflict table for the tree's group, where it is known."""
    group = next((key for key in keys if key in GROUPS), "")
    return conflict_arrays(group, in_ground=math.isinf(start.condition.volume_l))
