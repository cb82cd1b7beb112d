"""Which courses a turning lives: those that were named, those of the open question, or offered ones."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from ringwise.desk.own_courses import file_at, utf8_of
from ringwise.kit.errors import MissingFieldError, NotFoundError, NotReadyError, unknown_name
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.futures.course import Course
    from ringwise.futures.offers import Offer
    from ringwise.records.facts import TreeFacts


def courses_of(
    facts: TreeFacts, asked: tuple[str | Course, ...], offered: Callable[[], tuple[Offer, ...]] = tuple
) -> tuple[str, tuple[Course, ...]]:
    """The question and its courses: those asked for, those of the tree's open question, or offered ones.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    asked : tuple of str or Course
        Keys, with a height where one is to be chosen (chop@22cm), TOML files, or courses read already.
    offered : callable
        Asked for what the tree offers where nothing else names a course.

    Returns
    -------
    (str, tuple of Course)
        The question in words, and the courses; one whose height is still open stays so.

    Raises
    ------
    MissingFieldError
        If nothing was asked for, no question with known courses is open and none is offered.
    """
    from ringwise.futures.catalogue import course_keys, is_ready
    from ringwise.futures.offers import shown_first

    question = facts.question
    title = str(question.data["title"]) if question is not None else _("Which course should it take?")
    if asked:
        return title, tuple(_course(each) if isinstance(each, str) else each for each in dict.fromkeys(asked))
    listed = question.data.get("courses") if question is not None else None
    keys = [str(key) for key in listed] if isinstance(listed, list | tuple) else []
    known = [key for key in keys if is_ready(key)]
    fitting = () if known else shown_first(offered())
    if fitting:
        return title, fitting
    if not known:
        raise MissingFieldError(
            _("no open question with ready courses; name courses: --course {keys}").format(
                keys=" --course ".join(course_keys()[:3])
            ),
            where=facts.tree.id,
        )
    return title, tuple(_course(key) for key in known)


def lived_courses(
    facts: TreeFacts, asked: tuple[str | Course, ...], offered: Callable[[], tuple[Offer, ...]]
) -> tuple[str, tuple[Course, ...], tuple[str, ...]]:
    """The question, the courses to live and what is to be said of their heights.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    asked : tuple of str or Course
        As `courses_of` takes them; heights are filled in only where nothing was asked for.
    offered : callable
        Asked for what the tree offers.

    Returns
    -------
    (str, tuple of Course, tuple of str)
        As `courses_of` and `with_heights` give them.

    Raises
    ------
    MissingFieldError, NotReadyError
        As those do.
    """
    title, courses = courses_of(facts, asked, offered)
    filled, lines = (courses, ()) if asked else with_heights(courses, offered)
    return title, filled, lines


def _course(name: str) -> Course:
    from ringwise.futures.catalogue import course_keys, is_ready, ready_course
    from ringwise.futures.course_file import read_course

    if is_ready(name):
        return ready_course(name)
    file = file_at(name)
    if file.suffix == ".toml" or file.is_file():
        if not file.is_file():
            raise NotFoundError(_("there is no file {file}").format(file=file))
        return read_course(utf8_of(file), name=file.name)
    raise unknown_name(_("course"), name, course_keys())


def with_heights(
    courses: tuple[Course, ...], offered: Callable[[], tuple[Offer, ...]]
) -> tuple[tuple[Course, ...], tuple[str, ...]]:
    """Courses whose height is still open, at heights that the tree offers.

    Parameters
    ----------
    courses : tuple of Course
        Of a question.
    offered : callable
        Asked for what the tree offers where a height is open.

    Returns
    -------
    (tuple of Course, tuple of str)
        The courses, and a line for each that was filled in: which heights were taken, how to name another.

    Raises
    ------
    NotReadyError
        If the tree offers no height for one of them.
    """
    from ringwise.futures.offers import at_heights

    if not any(course.chosen for course in courses):
        return courses, ()
    offers, filled, lines = offered(), [], []
    open_n = sum(course.chosen for course in courses)
    for course in courses:
        if not course.chosen:
            filled.append(course)
            continue
        found = at_heights(offers, course, beside_n=len(courses) - open_n, open_n=open_n)
        if not found:
            raise NotReadyError(_no_height(course, offers), where=course.key)
        filled += found
        lines.append(_taken(course, found))
    return tuple(filled), tuple(lines)


def _taken(course: Course, found: tuple[Course, ...]) -> str:
    return _("{course} names no height; taken: {keys}. For another: --course {course}@22cm").format(
        course=course.key, keys=", ".join(each.key for each in found)
    )


def _no_height(course: Course, offers: tuple[Offer, ...]) -> str:
    why = next((each.why for each in offers if each.course.key.startswith(f"{course.key}@")), "")
    if not why:
        return _("the tree offers no height for it; name one: --course {key}@22cm").format(key=course.key)
    return _("the tree offers no height for it ({why}); name one: --course {key}@22cm").format(
        why=why, key=course.key
    )
