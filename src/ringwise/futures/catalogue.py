"""Ready-made courses for the common turnings, in general form, as files of the package."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from importlib import resources

from ringwise.futures.course import CHOSEN, Course, Step
from ringwise.futures.course_file import read_course
from ringwise.kit.errors import MissingFieldError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_ORDER = (
    "ground_layer",
    "root_grafts",
    "accept",
    "keep",
    "redo",
    "abandon",
    "sever_by_signs",
    "other_side",
    "lift_now",
    "lift_in_a_year",
    "lift_in_two_years",
    "cut_roots_then_lift",
    "chop",
    "air_layer",
    "layer_then_chop",
    "layer_then_repot",
    "repot_then_layer",
    "grow_on",
    "to_the_ground",
    "keep_main_leader",
    "keep_side_leader",
    "keep_both_leaders",
    "split_clump",
    "keep_clump",
    "repot_gently",
    "repot_hard",
    "repot_in_a_year",
    "fine_twigs",
    "let_rest",
    "rescue_roots",
    "as_it_is",
)
AT = "@"  # between the key of a course and its height: chop@22cm


@lru_cache(maxsize=1)
def _all() -> dict[str, Course]:
    folder = resources.files("ringwise.futures") / "data" / "courses"
    texts = {key: (folder / f"{key}.toml").read_text(encoding="utf-8") for key in _ORDER}
    return {key: read_course(text, name=f"{key}.toml") for key, text in texts.items()}


def course_keys() -> tuple[str, ...]:
    """Keys of the ready-made courses.

    Returns
    -------
    tuple of str
        In the order in which they are shown.

    Source
    ------
    practice.

    Examples
    --------
    >>> "ground_layer" in course_keys()
    True
    """
    return tuple(_all())


def is_ready(key: str) -> bool:
    """Whether a text names a ready-made course, with or without a height.

    Parameters
    ----------
    key : str
        Such as "accept" or "chop@22cm".

    Returns
    -------
    bool
        Nothing is said of whether the height reads.

    Source
    ------
    own.

    Examples
    --------
    >>> is_ready("chop@22cm"), is_ready("mine.toml")
    (True, False)
    """
    return key.partition(AT)[0] in _all()


def ready_course(key: str) -> Course:
    """A ready-made course; what is to be chosen goes with the key: "chop@22cm", "keep_main_leader@30cm,3".

    Parameters
    ----------
    key : str
        One of `course_keys`, with or without "@", a height above the soil and a clock position.

    Returns
    -------
    Course
        In general form, fit for any tree, or at the height.

    Raises
    ------
    UnknownNameError
        If there is no such course.
    MissingFieldError
        If a height is given for a course that has none.

    Source
    ------
    practice.

    Examples
    --------
    >>> ready_course("accept").steps
    ()
    >>> ready_course("chop@22cm").steps[0].height_mm
    220.0
    """
    name, at, chosen = key.partition(AT)
    if name not in _all():
        raise unknown_name(_("course"), name, _all())
    course = _all()[name]
    if not at:
        return course
    height, _between, clock = chosen.partition(",")
    height_mm = parse_quantity(height, "length", field=_("height of the course"))
    return course_at(course, height_mm, _clock_h(clock) if clock else None)


def _clock_h(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise out_of_range(_("clock position of a step"), text, _("0 to 12, front at 6")) from None


def course_at(course: Course, height_mm: float, clock_h: float | None = None) -> Course:
    """A course with its height chosen, and the side where it asks for one.

    Parameters
    ----------
    course : Course
        One whose steps leave the height open.
    height_mm : float
        Above the soil: where a trunk is cut, or the upper edge of a ring.
    clock_h : float, optional
        The side, seen from above with the front at 6; that of the course by default.

    Returns
    -------
    Course
        Its key tells the height.

    Raises
    ------
    MissingFieldError
        If no step of it leaves the height open, or a side is given for a course that has none.

    Source
    ------
    own.

    Examples
    --------
    >>> course_at(ready_course("chop"), 220.0).key
    'chop@220mm'
    """
    if not course.chosen:
        raise MissingFieldError(_("no step of this course asks for a height"), where=course.key)
    sided = any(step.site == CHOSEN and step.clock_h >= 0 for step in course.steps)
    if clock_h is not None and not sided:
        raise MissingFieldError(_("no step of this course asks for a side"), where=course.key)
    site, side = f"{height_mm:g} mm", "" if clock_h is None else f",{clock_h:g}"

    def at(step: Step) -> Step:
        if step.site != CHOSEN:
            return step
        turned = step.clock_h if clock_h is None or step.clock_h < 0 else clock_h
        return replace(step, site=site, clock_h=turned)

    steps = tuple(at(step) for step in course.steps)
    return replace(course, key=f"{course.key}{AT}{height_mm:g}mm{side}", steps=steps, height_mm=height_mm)


def courses_for(question: str) -> tuple[Course, ...]:
    """The ready-made courses of a question.

    Parameters
    ----------
    question : str
        One of `course.QUESTIONS`.

    Returns
    -------
    tuple of Course
        In the order in which they are shown.

    Source
    ------
    practice.

    Examples
    --------
    >>> [course.key for course in courses_for("lift")]
    ['lift_now', 'lift_in_a_year', 'lift_in_two_years', 'cut_roots_then_lift']
    """
    return tuple(course for course in _all().values() if course.question == question)
