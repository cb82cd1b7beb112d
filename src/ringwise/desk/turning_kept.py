"""A turning asked for in the app: which courses, how often lived; what came of it, kept for the room."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ringwise.desk import clock
from ringwise.desk.aims import aims_mark
from ringwise.desk.almanac_making import tree_mark
from ringwise.desk.engine import engine_version
from ringwise.desk.results import result_key
from ringwise.desk.turning_offers import asked_courses, chosen_courses
from ringwise.kit.errors import NotFoundError, out_of_range
from ringwise.kit.reading import UNITS, Reading, current_reading, languages, reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts

KIND, DRAWINGS, LATEST = "turning", "turning_drawings", "turning_latest"
KEPT = 60  # results that stay; each is some hundred kilobytes with its drawings
FUTURES, YEARS = 300, 25
FEWEST, MOST, MOST_YEARS, MOST_COURSES = 50, 2000, 40, 6
DRAWING = "drawing"  # the last part of the work, after the courses were lived


@dataclass(frozen=True)
class TurningWish:
    """What is asked of a turning: courses by their names, futures of each, years."""

    courses: tuple[str, ...] = ()
    futures: int = FUTURES
    years: int = YEARS

    def text(self) -> str:
        """As it is kept with the job."""
        return json.dumps([list(self.courses), self.futures, self.years])


def wish_of(text: str) -> TurningWish:
    """What was asked, as it was kept with the job; blank for the usual.

    Parameters
    ----------
    text : str
        From `TurningWish.text`.

    Returns
    -------
    TurningWish
        The same.

    Examples
    --------
    >>> wish_of(TurningWish(("accept",), 100, 5).text())
    TurningWish(courses=('accept',), futures=100, years=5)
    """
    if not text:
        return TurningWish()
    courses, futures, years = json.loads(text)
    return TurningWish(tuple(courses), futures, years)


def checked_wish(facts: TreeFacts, wish: TurningWish) -> TurningWish:
    """What is asked, with the courses of the open question where none is named.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    wish : TurningWish
        As asked.

    Returns
    -------
    TurningWish
        Ready to be done.

    Raises
    ------
    InputError
        If a course is not known, none is left, or a number is out of range.
    """
    names = tuple(dict.fromkeys(wish.courses)) or asked_courses(facts)
    if len(names) > MOST_COURSES:
        raise out_of_range(_("courses"), str(len(names)), _("at most {n}").format(n=MOST_COURSES))
    for field, value, low, high in (
        (_("futures"), wish.futures, FEWEST, MOST),
        (_("years"), wish.years, 1, MOST_YEARS),
    ):
        if not low <= value <= high:
            raise out_of_range(field, str(value), _("{low} to {high}").format(low=low, high=high))
    chosen_courses(facts, names)
    return TurningWish(names, wish.futures, wish.years)


def make_turning(
    workspace: Workspace, tree: str, wish: TurningWish, progress: Callable[[float, str], None]
) -> str:
    """Live the courses, draw some futures, and keep both for the room; called in the worker.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    wish : TurningWish
        Checked.
    progress : callable
        Told the share done of each course and of the drawing.

    Returns
    -------
    str
        Name of the result.
    """
    from ringwise.desk.turning_drawings import drawings_of
    from ringwise.desk.turning_told import result_told
    from ringwise.desk.turnings import FuturesWish, futures_answer

    facts = workspace.facts_of(tree)
    courses = chosen_courses(facts, wish.courses)
    asked = FuturesWish(facts.tree.id, courses, wish.futures, wish.years)
    answer = futures_answer(workspace, asked, progress=progress)
    inputs = {"tree": tree_mark(facts), "today": workspace.today, "courses": courses, "wish": wish.text()}
    inputs["aims"] = aims_mark(facts)
    name = result_key(KIND, inputs, [], workspace.seed)[:16]
    drawn = answer.view()
    progress(0.7, DRAWING)
    for letter, drawing in drawings_of(drawn).items():
        _put(workspace, _drawings_key(facts.tree.id, name, letter), DRAWINGS, drawing)
    look = {"futures": wish.futures, "years": wish.years, "seed": drawn.seed, "engine": drawn.engine}
    for language in languages():
        for units in UNITS:
            how = Reading(language, units)
            with reading(how):
                view = answer.worded()
                ids = {text.key: key for text, key in zip(view.courses, wish.courses, strict=True)}
                told: dict[str, Any] = {"id": name, "tree": facts.tree.id, **look, **result_told(view, ids)}
            _put(workspace, _told_key(facts.tree.id, name, how), KIND, told)
    latest: dict[str, Any] = {"id": name, "mark": tree_mark(facts), "made_on": workspace.today.isoformat()}
    latest |= {"courses": list(wish.courses), "futures": wish.futures, "years": wish.years}
    latest["aims"] = aims_mark(facts)
    _put(workspace, _latest_key(facts.tree.id), LATEST, latest)
    for kind, each in ((KIND, len(languages()) * len(UNITS)), (DRAWINGS, MOST_COURSES)):
        workspace.store.results_keep(kind, KEPT * each)
    progress(1.0, DRAWING)
    return name


def latest_run(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    """The newest kept result of a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    dict or None
        Keys id, mark and aims (of the tree then), made_on, courses, futures, years.
    """
    stored = workspace.store.result_get(_latest_key(facts.tree.id))
    if stored is None:
        return None
    found: Shape = json.loads(stored)
    return found if workspace.store.result_get(_told_key(facts.tree.id, found["id"])) else None


def kept_result(workspace: Workspace, tree: str, name: str) -> Shape:
    """A kept result in the reader's words.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    name : str
        Of the result.

    Returns
    -------
    dict
        As `faces/web/shapes/turning.TurningResult`.

    Raises
    ------
    NotFoundError
        If there is none of that name on this tree.
    """
    stored = workspace.store.result_get(_told_key(workspace.tree(tree).id, name))
    if stored is None:
        raise NotFoundError(_("there is no result {name}; run the courses again").format(name=name[:20]))
    found: Shape = json.loads(stored)
    return found


def kept_drawings(workspace: Workspace, tree: str, name: str, letter: str) -> Shape:
    """The drawn futures of a course of a kept result.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    name : str
        Of the result.
    letter : str
        Of the course.

    Returns
    -------
    dict
        As `faces/web/shapes/turning.TurningDrawings`.

    Raises
    ------
    NotFoundError
        If there are none.
    """
    stored = workspace.store.result_get(_drawings_key(workspace.tree(tree).id, name, letter))
    if stored is None:
        raise NotFoundError(_("there is no result {name}; run the courses again").format(name=name[:20]))
    found: Shape = json.loads(stored)
    return found


def _put(workspace: Workspace, key: str, kind: str, value: Any) -> None:
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    workspace.store.result_put(
        key, kind, text, made=clock.now(), engine_version=engine_version(), seed=workspace.seed
    )


def _told_key(tree: str, name: str, how: Reading | None = None) -> str:
    found = how or current_reading()
    return f"turning:{tree}:{name}:{found.language}:{found.units}"


def _drawings_key(tree: str, name: str, letter: str) -> str:
    return f"turning:{tree}:{name}:drawings:{letter}"


def _latest_key(tree: str) -> str:
    return f"turning:{tree}:latest"
