"""The wish for a turning: what each course leads to, from the record to the page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from ringwise.desk.aims import aims_of
from ringwise.desk.asked_courses import lived_courses
from ringwise.desk.lives import Look, Progress, course_lives, plain
from ringwise.desk.many_machines import checked_address
from ringwise.desk.setting_dates import last_setting_of, waits_of
from ringwise.desk.shapes import Shape, pot_words
from ringwise.desk.start_tree import start_of
from ringwise.desk.sunk import sunk_hours, sunk_words
from ringwise.desk.turning_lines import turning_lines
from ringwise.desk.weighed_shapes import weighed_shapes
from ringwise.kit import show
from ringwise.kit.errors import out_of_range
from ringwise.kit.words import _
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Course
    from ringwise.futures.turning import Heading
    from ringwise.futures.view import CourseText, FuturesView
    from ringwise.kit.trace import Trace
    from ringwise.records.facts import TreeFacts

MOST_FUTURES, LEAST_FUTURES, MOST_YEARS, MOST_WORKERS = 5000, 20, 40, 64


@dataclass(frozen=True)
class FuturesWish:
    """What was typed for `ringwise futures TREE`; courses by key, by file, or read already."""

    tree: str
    courses: tuple[str | Course, ...] = ()
    futures: int = 500
    years: int = 25
    workers: int | None = None
    scheduler: str = ""


@dataclass(frozen=True)
class FuturesAnswer:
    """The documented keys, the lines for the terminal, and the page's content made on demand.

    `worded` is the content without drawings, in the language and units of whoever calls it.
    """

    data: Shape
    lines: tuple[str, ...]
    view: Callable[[], FuturesView]
    worded: Callable[[], FuturesView]


def _checked(workspace: Workspace, wish: FuturesWish) -> Look:
    workers = workspace.settings.workers if wish.workers is None else wish.workers
    for field, value, low, high in (
        ("--futures", wish.futures, LEAST_FUTURES, MOST_FUTURES),
        ("--years", wish.years, 1, MOST_YEARS),
        ("--workers", workers, 1, MOST_WORKERS),
    ):
        if not low <= value <= high:
            raise out_of_range(field, str(value), _("{low} to {high}").format(low=low, high=high))
    if wish.scheduler:
        checked_address(wish.scheduler)
    return Look(wish.futures, wish.years, workers, wish.scheduler)


def futures_answer(
    workspace: Workspace, wish: FuturesWish, *, progress: Progress | None = None
) -> FuturesAnswer:
    """What each course of a turning leads to.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : FuturesWish
        What was typed.
    progress : callable, optional
        Told the share done of each course.

    Returns
    -------
    FuturesAnswer
        Keys, lines and the page's content.

    Raises
    ------
    InputError
        If a number or a course does not read; nothing is stored then.
    NotReadyError
        If a course cannot be done on this tree.
    """
    from ringwise.futures.aims import for_question
    from ringwise.futures.feasible import check_feasible
    from ringwise.futures.offers import offers
    from ringwise.futures.simulate import Run
    from ringwise.futures.turning import Turning, futures_view
    from ringwise.growth.biology import biology

    look = _checked(workspace, wish)
    facts = workspace.facts_of(wish.tree)
    start = start_of(workspace, facts)
    life = biology(lookup_keys(facts.tree.species))
    title, courses, heights = lived_courses(facts, wish.courses, lambda: offers(start, life))
    for course in courses:
        check_feasible(course, start, life)
    lives = {c.key: course_lives(workspace, start, c, life, look, progress) for c in courses}
    held = aims_of(facts)
    turning = Turning(
        start,
        life,
        Run(look.futures, look.years, workspace.seed, look.workers),
        courses,
        lives,
        aims=for_question(held.aims, courses[0].question),
        time=held.time,
        sunk=sunk_words(facts),
        last_ring=_last_ring(workspace, courses),
    )

    def heading() -> Heading:
        return _heading(workspace, facts, title, start.condition.volume_l)

    told = futures_view(turning, heading(), drawn=False)
    return FuturesAnswer(
        data=_shape(facts, courses, look, told)
        | weighed_shapes(turning.weighed, told.weighed, own=held.entry is not None)
        | {"sunk_h": sunk_hours(facts.entries)},
        lines=(*heights, *turning_lines(facts, told)),
        view=lambda: futures_view(turning, heading()),
        worded=lambda: futures_view(turning, heading(), drawn=False),
    )


def _last_ring(workspace: Workspace, courses: tuple[Course, ...]) -> str:
    """Until when the first of the courses that sets a ring this year can wait with it, in words."""
    from ringwise.futures.feasible import LAYERS

    setting = [each for each in courses if any(step.operation in LAYERS for step in each.steps)]
    return waits_of(workspace, setting[0], last_setting_of(workspace)) if setting else ""


def _trunk_words(facts: TreeFacts) -> str:
    """The trunk as it was read last, with the height it was read at: futures tell it above the flare."""
    if facts.trunk_mm is None:
        return _("unknown")
    width = show.length(facts.trunk_mm)
    read = [entry for entry in facts.entries if entry.kind in ("trunk", "girth")]
    at_mm = read[-1].data.get("at_mm") if read else None
    if at_mm is None:
        return width
    return _("{width}, read {height} above the soil").format(
        width=width, height=show.length(float(str(at_mm)))
    )


def _heading(workspace: Workspace, facts: TreeFacts, title: str, volume_l: float) -> Heading:
    from ringwise.futures.turning import Heading
    from ringwise.futures.view import PotFront

    unknown = _("unknown")
    told = (
        (_("Trunk"), _trunk_words(facts)),
        (_("Height"), unknown if facts.height_mm is None else show.length(facts.height_mm)),
        (_("Vigour"), unknown if facts.vigour is None else _("{n} of 5").format(n=facts.vigour)),
        (_("Pot"), pot_words(facts.pot) or _("in the ground")),
        (_("Last repotted"), facts.last_repot.typed if facts.last_repot else unknown),
    )
    pot = facts.pot
    front = None
    if pot is not None and pot.length_mm is not None and pot.depth_mm is not None and pot.shape != "ground":
        front = PotFront(pot.length_mm, pot.depth_mm, pot.shape)
    return Heading(
        tree=f"{facts.tree.id} {facts.tree.name}",
        species=facts.taxon.botanical_name if facts.taxon else facts.tree.species,
        question=title,
        facts=told,
        pot=front,
        front=_("the recorded front"),
        made_on=show.day(workspace.today, year=True),
        invented=workspace.settings.invented,
    )


def _shape(facts: TreeFacts, courses: tuple[Course, ...], look: Look, view: FuturesView) -> Shape:
    key_of = {text.key: course.key for text, course in zip(view.courses, courses, strict=True)}
    answer: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "question": view.question,
        "futures": look.futures,
        "years": look.years,
        "horizons": list(view.horizons),
        "seed": view.seed,
        "engine": view.engine,
        "courses": [_course_shape(text, key_of, view) for text in view.courses],
        "paired": [
            asdict(pair) | {"first": key_of[pair.first], "second": key_of[pair.second]}
            for pair in view.paired
        ],
        "drivers": [asdict(d) for d in view.drivers],
        "signs": [asdict(sign) for sign in view.signs],
        "cautions": list(view.cautions),
    }
    shaped: Shape = plain(answer)
    return shaped


def _course_shape(text: CourseText, key_of: dict[str, str], view: FuturesView) -> Shape:
    hours = next(each for each in view.hours if each.course == text.key)
    cells = [view.cell(text.key, year) for year in view.horizons]
    return {
        "key": key_of[text.key],
        "short": text.key,
        "title": text.title,
        "words": text.words,
        "steps": list(text.steps),
        "outcomes": [
            {
                "after_years": cell.after_years,
                "lost": cell.lost,
                "measures": [
                    {
                        "measure": each.measure,
                        "low": each.band.low,
                        "median": each.band.median,
                        "high": each.band.high,
                        "dots": list(each.dots),
                    }
                    for each in cell.outcomes
                ],
            }
            for cell in cells
        ],
        "total_h": {"low": hours.total_h.low, "median": hours.total_h.median, "high": hours.total_h.high},
        "by_year_h": list(hours.by_year_h),
    }


def futures_trace(workspace: Workspace, tree: str) -> Trace:
    """The chain behind a tree's futures: what it starts from and every row that growth reads.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.

    Returns
    -------
    Trace
        Down to the rows of the taxon.
    """
    from ringwise.futures.reasons import growth_trace
    from ringwise.growth.biology import biology

    facts = workspace.facts_of(tree)
    life = biology(lookup_keys(facts.tree.species))
    return growth_trace(
        life, _("futures of {tree}").format(tree=facts.tree.id), _("seed {seed}").format(seed=workspace.seed)
    )
