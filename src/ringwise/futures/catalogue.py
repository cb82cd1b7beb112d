"""Ready-made courses for the common turnings, in general form, as files of the package."""

from __future__ import annotations

from functools import lru_cache
from importlib import resources

from ringwise.futures.course import Course
from ringwise.futures.course_file import read_course
from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _

_ORDER = ("ground_layer", "root_grafts", "accept", "keep", "redo", "abandon", "as_it_is")


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


def ready_course(key: str) -> Course:
    """A ready-made course.

    Parameters
    ----------
    key : str
        One of `course_keys`.

    Returns
    -------
    Course
        In general form, fit for any tree.

    Raises
    ------
    UnknownNameError
        If there is no such course.

    Source
    ------
    practice.

    Examples
    --------
    >>> ready_course("accept").steps
    ()
    """
    if key not in _all():
        raise unknown_name(_("course"), key, _all())
    return _all()[key]


def courses_for(question: str) -> tuple[Course, ...]:
    """The ready-made courses of a question.

    Parameters
    ----------
    question : str
        "base" or "graft".

    Returns
    -------
    tuple of Course
        In the order in which they are shown.

    Source
    ------
    practice.

    Examples
    --------
    >>> [course.key for course in courses_for("graft")]
    ['keep', 'redo', 'abandon']
    """
    return tuple(course for course in _all().values() if course.question == question)
