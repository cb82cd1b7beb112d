"""The course that was decided for, as it goes on from today: what should be done by now is left out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from ringwise.desk.own_courses import own_course
from ringwise.kit.days import growing_year
from ringwise.kit.errors import RingwiseError

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Check, Course, Step
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

Row = TypeVar("Row", "Step", "Check")


@dataclass(frozen=True)
class Decided:
    """A decision with its course from today on."""

    entry: Entry
    course: Course


def decided_now(workspace: Workspace, facts: TreeFacts) -> Decided | None:
    """The newest decision of a tree with what of its course is still ahead.

    Parameters
    ----------
    workspace : Workspace
        For today's growing year.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Decided or None
        None where nothing was decided, or its text does not read any more.
    """
    if not facts.decisions:
        return None
    entry = facts.decisions[-1]
    made = entry.on.middle or entry.on.by or workspace.today
    gone = max(0, workspace.year.label - growing_year(made, south=workspace.settings.south).label)
    try:
        return Decided(entry, course_from(own_course(entry), gone))
    except RingwiseError:
        return None


def course_from(course: Course, gone_years: int) -> Course:
    """A course as it goes on after some years of it.

    Parameters
    ----------
    course : Course
        As it was decided for.
    gone_years : int
        Growing years since.

    Returns
    -------
    Course
        Steps of the years gone are left out, with those that hang on a check made then; the rest come sooner.

    Examples
    --------
    >>> from ringwise.futures.course import Course, Step
    >>> course = Course("a", "A", "", (Step(0, "spring", "repot"), Step(3, "spring", "chop", "20 cm")))
    >>> [(step.after_years, step.operation) for step in course_from(course, 2).steps]
    [(1, 'chop')]
    """
    if gone_years == 0:
        return course

    checks = tuple(_sooner(each, gone_years) for each in course.checks if max(each.years) >= gone_years)
    made = {each.name for each in checks}
    steps = tuple(
        _sooner(each, gone_years)
        for each in course.steps
        if max(each.years) >= gone_years and (not each.check or each.check in made)
    )
    hung = {each.check for each in steps}
    return replace(course, steps=steps, checks=tuple(each for each in checks if each.name in hung))


def _sooner(row: Row, gone_years: int) -> Row:
    """A step or check so many years sooner; one that repeats goes on with its next time."""
    left = [year - gone_years for year in row.years if year >= gone_years]
    again = len(left) > 1
    return replace(
        row,
        after_years=left[0],
        every_years=row.every_years if again else 0,
        until_years=left[-1] if again else 0,
    )
