"""What a page about a turning shows: plain values, no layout, no tree tables, nothing computed by the page.

The futures room fills these from a comparison and from trees replayed from their seeds; a report only
draws them. Courses carry short keys ("A", "B", ...) that every other part refers to. Nothing in here
ranks courses: there is no score and no winner.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ringwise.futures.weighed_view import WeighedView
from ringwise.kit.errors import MissingFieldError, unknown_name
from ringwise.kit.ranged import Ranged
from ringwise.kit.words import _
from ringwise.structure.silhouette import Silhouette


@dataclass(frozen=True)
class PotFront:
    """The pot as seen from the front; None in the view for a tree in the ground."""

    length_mm: float
    depth_mm: float
    shape: str = "oval"


@dataclass(frozen=True)
class CourseText:
    """One course as the grower reads it: a short key, a title, a sentence, its steps in order."""

    key: str
    title: str
    words: str
    steps: tuple[str, ...] = ()


@dataclass(frozen=True)
class MeasureText:
    """A measure, its unit ("mm", "cm2", "count", "ratio" or "frac") and the words for more and less of it.

    The words complete "{first} ... than {second}": "thicker", "with more tips".
    """

    key: str
    label: str
    unit: str
    more: str
    less: str = ""


@dataclass(frozen=True)
class FutureTree:
    """One simulated tree, redrawn from its seed; `silhouette` is None where the tree is lost by then.

    `second` is the other tree that a layer or a split gave, None where there is none.
    `below_frac` is the share of futures that end with less of the turning's first measure, NaN where unsaid.
    """

    future: int
    silhouette: Silhouette | None
    caption: str = ""
    below_frac: float = float("nan")
    second: Silhouette | None = None


@dataclass(frozen=True)
class Outcome:
    """One measure of one course after so many years: its band over living futures, 20 to 50 quantile dots."""

    measure: str
    band: Ranged
    dots: tuple[float, ...]


@dataclass(frozen=True)
class Cell:
    """One course after so many years; `lost` counts the futures in which the tree is dead by then.

    Where a layer was separated the tree is the top on its new roots; `second` counts the futures in which
    the stump lives on as a tree of its own, `none_left` those in which neither lives.
    """

    course: str
    after_years: int
    trees: tuple[FutureTree, ...]
    outcomes: tuple[Outcome, ...]
    lost: int
    futures: int
    second: int = 0
    none_left: int = 0
    pot: PotFront | None = None  # where the course has moved the tree into another one by then


@dataclass(frozen=True)
class CourseHours:
    """Hours of work over the whole span, and the mean of each year from the first on."""

    course: str
    total_h: Ranged
    by_year_h: tuple[float, ...]


@dataclass(frozen=True)
class Paired:
    """The same futures lived under two courses: in how many the first has more of a measure, or less."""

    measure: str
    after_years: int
    first: str
    second: str
    first_more: int
    second_more: int
    futures: int


@dataclass(frozen=True)
class Driver:
    """An input that moves the answer: which way, how much of the spread it explains, how well it is known."""

    label: str
    direction: str
    share_frac: float
    basis: str  # measured, fitted, transferred, practice or assumed


@dataclass(frozen=True)
class Sign:
    """What to look at that settles the question, until when waiting is sensible, and what waiting costs."""

    look_for: str
    wait_until: str
    cost_of_waiting: str = ""


@dataclass(frozen=True)
class Origin:
    """Where a number comes from: what it is, its value with unit, basis and source."""

    label: str
    value: str
    basis: str
    source: str


@dataclass(frozen=True)
class FuturesView:
    """All that the page about one turning shows; `facts` are label and text pairs about the tree today."""

    tree: str
    species: str
    question: str
    facts: tuple[tuple[str, str], ...]
    courses: tuple[CourseText, ...]
    horizons: tuple[int, ...]  # years ahead, ascending, 0 for now
    measures: tuple[MeasureText, ...]
    cells: tuple[Cell, ...]
    hours: tuple[CourseHours, ...]
    paired: tuple[Paired, ...]
    drivers: tuple[Driver, ...]
    signs: tuple[Sign, ...]
    origins: tuple[Origin, ...]
    cautions: tuple[str, ...]
    pot: PotFront | None
    front: str  # which side is drawn, in words
    made_on: str
    seed: int
    engine: str
    invented: bool = False
    notes: tuple[str, ...] = field(default=())
    weighed: WeighedView | None = None  # None where nothing was aimed at

    def cell(self, course: str, after_years: int) -> Cell:
        """The cell of a course and a number of years, or an error that says it is missing."""
        for each in self.cells:
            if each.course == course and each.after_years == after_years:
                return each
        raise MissingFieldError(
            _("there is no result for course {course} after {n} years").format(course=course, n=after_years)
        )

    def course(self, key: str) -> CourseText:
        """The course of a key."""
        for each in self.courses:
            if each.key == key:
                return each
        raise unknown_name(_("course"), key, [each.key for each in self.courses])

    def measure(self, key: str) -> MeasureText:
        """The measure of a key."""
        for each in self.measures:
            if each.key == key:
                return each
        raise unknown_name(_("measure"), key, [each.key for each in self.measures])
