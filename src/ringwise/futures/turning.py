"""A turning as the page shows it: comparison, real futures redrawn, signs and cautions, as plain values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ringwise.futures.aims import Aims
from ringwise.futures.chance_words import chances_of
from ringwise.futures.compare import (
    QUANTILES,
    Comparison,
    compare,
    quantile_dots,
    representatives,
    shared_future,
)
from ringwise.futures.course import Course
from ringwise.futures.measure_words import measure_text
from ringwise.futures.outcome import Lives
from ringwise.futures.reasons import origins_of
from ringwise.futures.replay import replay_both
from ringwise.futures.simulate import Run
from ringwise.futures.start import Start
from ringwise.futures.turning_words import drivers_shown, signs_of
from ringwise.futures.view import (
    Cell,
    CourseHours,
    CourseText,
    FuturesView,
    FutureTree,
    Outcome,
    Paired,
    PotFront,
)
from ringwise.futures.weighed import Weighed, weigh
from ringwise.futures.weighed_telling import weighed_view
from ringwise.futures.weighed_view import WeighedView
from ringwise.futures.weighing import TimeWeights, usual_time_weights
from ringwise.growth.biology import Biology
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.words import _, from_data
from ringwise.structure.silhouette import STROKE_BELOW_MM, Silhouette, silhouette
from ringwise.structure.table import SegmentTable

HORIZONS = (0, 1, 5, 10, 15, 25)  # years ahead; those beyond the run are drawn at its end
PEN_RATIO = 200.0  # wood thinner than this part of the tree's height is drawn as a stroke
_MM3_PER_L, _BOX_LONG, _BOX_WIDE = 1e6, 2.0, 1.5  # exact; a box's length and width by its depth, drawing only
_BASE = ("sectors_n", "base_mm", "tips_n", "taper_ratio")
_GRAFT = ("graft_mm", "base_mm", "wound_mm", "tips_n")
_OTHER = ("base_mm", "height_mm", "tips_n", "taper_ratio")
_CHOP = ("taper_ratio", "height_mm", "wound_mm", "tips_n", "second_base_mm", "second_height_mm")
_LIFT = ("girth_mm", "taper_ratio", "first_branch_frac", "wound_mm", "height_mm")
_FINE = ("tips_dm2", "internode_mm", "tips_n", "base_mm")
MEASURES_OF = {
    "base": _BASE,
    "graft": _GRAFT,
    "chop": _CHOP,
    "leader": _CHOP[:4],
    "lift": _LIFT,
    "twigs": _FINE,
    "repot": _FINE,
    "other": _OTHER,
}


@dataclass(frozen=True)
class Heading:
    """What the page says of the tree itself, in words; `facts` are label and text pairs."""

    tree: str
    species: str
    question: str
    facts: tuple[tuple[str, str], ...]
    pot: PotFront | None
    front: str
    made_on: str
    invented: bool = False


def course_letters(courses: Sequence[Course]) -> dict[str, str]:
    """Short keys for courses, in their order: A, B, C.

    Parameters
    ----------
    courses : sequence of Course
        At most 26.

    Returns
    -------
    dict of str to str
        Letter by course key.

    Source
    ------
    own.

    Examples
    --------
    >>> course_letters((Course("keep", "", ""), Course("redo", "", "")))
    {'keep': 'A', 'redo': 'B'}
    """
    return {course.key: chr(ord("A") + number) for number, course in enumerate(courses)}


def _outcome(lives: Lives, measure: str, year: int) -> Outcome | None:
    values = lives.of(measure)[:, year]
    known = values[~np.isnan(values)]
    if known.size == 0:
        return None
    dots = quantile_dots(known)
    if measure.endswith("_n"):
        dots = np.round(dots)
    return Outcome(measure, ranged(known), tuple(dots.tolist()))


def _cells(
    turning: Turning, letters: Mapping[str, str], horizons: Sequence[int], drawn: bool
) -> tuple[Cell, ...]:
    cells = []
    main = turning.measures[0]
    now = [_tree_now(turning.start)] if drawn else []
    shared = shared_future(turning.lives, main, horizons[-1])
    for course in turning.courses:
        lives = turning.lives[course.key]
        trees: dict[int, list[FutureTree]] = {year: [] for year in horizons}
        trees[horizons[0]] = now
        chosen = [shared, *representatives(lives, main, horizons[-1])] if drawn else []
        for future, below_frac in zip(chosen, (float("nan"), *QUANTILES), strict=False):
            for year, tree in _redrawn(turning, course, int(future), horizons[1:]):
                trees[year].append(replace(tree, below_frac=below_frac))
        for year in horizons:
            outcomes = [_outcome(lives, each, year) for each in turning.measures]
            dead, second = lives.alive[:, year] <= 0, lives.of("second_kept")[:, year] > 0
            counts = (int(dead.sum()), lives.futures, int(second.sum()), int((dead & ~second).sum()))
            kept = tuple(each for each in outcomes if each is not None)
            pot = _box_of(course, year)
            cells.append(Cell(letters[course.key], year, tuple(trees[year]), kept, *counts, pot=pot))
    return tuple(cells)


def _box_of(course: Course, year: int) -> PotFront | None:
    """The box that a course has moved its tree into by then, as deep as half its length; None without one."""
    moved = [each for each in course.steps if each.volume_l > 0 and each.after_years < year]
    if not moved:
        return None
    # A box of the litres named, 1 deep to 1.5 wide to 2 long: its look only.
    deep_mm = (moved[-1].volume_l * _MM3_PER_L / (_BOX_LONG * _BOX_WIDE)) ** (1.0 / 3.0)
    return PotFront(_BOX_LONG * deep_mm, deep_mm, "rectangle")


def _tree_now(start: Start) -> FutureTree:
    """The one tree that stands, the same under every course."""
    table = start.tables[0]
    captions = {
        "tape": _("the tree now, reckoned from tape and calliper"),
        "basics": _("the tree now, reckoned from its trunk and height alone"),
        "traced": _("the tree now, traced from its photographs"),
        "turntable": _("the tree now, measured from a turn of photographs"),
        "imported": _("the tree now, from a file"),
        "grown": _("the tree now, as grown in simulation"),
        "invented": _("the tree now, invented"),
    }
    drawing = silhouette(table, stroke_below_mm=_pen_mm(table), root_sectors=start.condition.sectors)
    return FutureTree(0, drawing, captions.get(table.basis, _("the tree as it stands")))


def _pen_mm(table: SegmentTable) -> float:
    """The width below which wood is drawn as a stroke, for a drawing of the whole tree."""
    return max(STROKE_BELOW_MM, float(table.end_mm[:, 2].max()) / PEN_RATIO)


def _drawn(table: SegmentTable | None) -> Silhouette | None:
    return None if table is None else silhouette(table, stroke_below_mm=_pen_mm(table))


def _redrawn(
    turning: Turning, course: Course, future: int, horizons: Sequence[int]
) -> list[tuple[int, FutureTree]]:
    trees = replay_both(turning.start, course, turning.life, turning.run, future=future, at_years=horizons)
    out = []
    for year, (table, second) in zip(horizons, trees, strict=True):
        caption = _("one possible future, number {n}").format(n=future) if table else _("the tree is lost")
        out.append((year, FutureTree(future, _drawn(table), caption, second=_drawn(second))))
    return out


@dataclass(frozen=True)
class Turning:
    """All that a turning was computed from: start, taxon, run, courses, their lives, measures."""

    start: Start
    life: Biology
    run: Run
    courses: tuple[Course, ...]
    lives: Mapping[str, Lives]
    aims: Aims | None = None
    time: TimeWeights | None = None
    sunk: str = ""  # what was put in so far, in words: shown, never counted
    last_ring: str = ""  # until when a ring can be set this year, in words

    @property
    def question(self) -> str:
        """The question of the first course."""
        return self.courses[0].question

    @property
    def measures(self) -> tuple[str, ...]:
        """What is compared for this question, the main measure first."""
        return MEASURES_OF.get(self.question, _OTHER)

    @property
    def comparison(self) -> Comparison:
        """The courses side by side."""
        return compare(self.lives, measures=self.measures, horizons=HORIZONS)

    @cached_property
    def weighed(self) -> Weighed | None:
        """The courses weighed by the aims; None where nothing is aimed at or nothing was lived."""
        if self.aims is None or any(each.futures == 0 for each in self.lives.values()):
            return None
        time = self.time or usual_time_weights()
        return weigh(self.courses, self.lives, self.aims, time, HORIZONS)


def _cautions(turning: Turning) -> tuple[str, ...]:
    texts = [
        _("Each tree drawn is one possible future, not a forecast of this tree."),
        _("Growth in small pots is published nowhere by ring width: this tree's own girths teach it most."),
        _("Chances to live through root work are assumptions."),
    ]
    if turning.question in ("base", "graft"):
        texts.append(
            _("No counted trials of approach grafts or of layers of most genera were found: odds stay wide.")
        )
    if any(not lives.complete for lives in turning.lives.values()):
        texts.append(_("The run was stopped early: fewer futures than asked for."))
    return tuple(texts)


def futures_view(turning: Turning, heading: Heading, *, drawn: bool = True) -> FuturesView:
    """A turning as plain values for the page.

    Parameters
    ----------
    turning : Turning
        What was computed.
    heading : Heading
        What is said of the tree.
    drawn : bool
        Whether futures are redrawn as silhouettes, which takes a second or two.

    Returns
    -------
    FuturesView
        Filled; nothing ranks the courses.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.simulate import simulate
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> life, run, course = biology(("morus",)), Run(25, 5, workers=1), Course("accept", "Accept", "")
    >>> lives = {"accept": simulate(start, course, life, run)}
    >>> view = futures_view(
    ...     Turning(start, life, run, (course,), lives),
    ...     Heading("T01", "Morus alba", "?", (), None, "front", "today"),
    ...     drawn=False,
    ... )
    >>> view.horizons
    (0, 1, 5)
    """
    letters = course_letters(turning.courses)
    comparison = turning.comparison
    horizons = comparison.horizons
    first = next(iter(turning.lives.values()))
    return FuturesView(
        tree=heading.tree,
        species=heading.species,
        question=heading.question,
        facts=heading.facts,
        courses=tuple(
            CourseText(letters[each.key], *each.told, _step_words(each)) for each in turning.courses
        ),
        horizons=horizons,
        measures=tuple(measure_text(each) for each in turning.measures),
        cells=_cells(turning, letters, horizons, drawn),
        hours=tuple(
            CourseHours(letters[key], comparison.hours_h[key], comparison.hours_by_year_h[key])
            for key in comparison.courses
        ),
        paired=_paired(comparison, letters),
        drivers=drivers_shown(comparison, letters),
        signs=signs_of(turning.question, turning.last_ring),
        origins=origins_of(turning.start, turning.life, turning.question),
        cautions=_cautions(turning),
        pot=heading.pot,
        front=heading.front,
        made_on=heading.made_on,
        seed=first.seed,
        engine=first.engine,
        invented=heading.invented,
        notes=tuple(from_data(each.closes) for each in turning.courses if each.closes),
        weighed=_weighed(turning, letters),
    )


def _weighed(turning: Turning, letters: Mapping[str, str]) -> WeighedView | None:
    if turning.weighed is None:
        return None
    return weighed_view(
        turning.weighed,
        letters,
        turning.sunk,
        names={each.key: each.told[0] for each in turning.courses},
        chances=chances_of(turning.start, turning.life, turning.courses),
    )


def _step_words(course: Course) -> tuple[str, ...]:
    return course.lines or (_("routine care only"),)


def _paired(comparison: Comparison, letters: Mapping[str, str]) -> tuple[Paired, ...]:
    return tuple(
        Paired(
            each.measure,
            each.after_years,
            letters[each.first],
            letters[each.second],
            each.first_more,
            each.second_more,
            each.futures,
        )
        for each in comparison.paired
    )


def band_of(lives: Lives, measure: str, year: int) -> Ranged | None:
    """Median and 80 % band of a measure in a year, None where no tree lives.

    Parameters
    ----------
    lives : Lives
        A course lived.
    measure : str
        Its key.
    year : int
        Years ahead.

    Returns
    -------
    Ranged or None
        Over the living.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> band_of(Lives("a", 0, 1, "x", np.ones((5, 3, KEPT)), np.zeros((5, 1))), "base_mm", 2).median
    1.0
    """
    outcome = _outcome(lives, measure, year)
    return None if outcome is None else outcome.band
