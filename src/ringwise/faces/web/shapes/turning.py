"""A turning: its courses, what a run told of them, and the form of an own course."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwise.faces.web.shapes.base import Asked, Choice, Job, Said
from ringwise.faces.web.shapes.weighed import TreeAims, TurningWeighed


class StepDraft(Said):
    """A step of a course, as the form has it; all of it text."""

    after_years: str
    half: str
    operation: str
    site: str
    clock: str
    amount: str
    litres: str
    extra: str
    condition: str
    every_years: str
    until_years: str
    if_: str = Field(alias="if")
    unless: str


class CheckDraft(Said):
    """A check of a course, as the form has it."""

    name: str
    after_years: str
    half: str
    look: str
    at_least: str
    times: str
    every_years: str
    until_years: str


class CourseDraft(Said):
    """A course as the form has it."""

    key: str
    title: str
    words: str
    question: str
    closes: str
    reason: str = Field(description="The grower's own, for work that a rule would put off.")
    steps: list[StepDraft]
    checks: list[CheckDraft]


class TurningCourse(Said):
    """A course that may be asked about."""

    id: str = Field(description="Its name in a run: a key, or own:ENTRY.")
    title: str
    words: str
    steps: list[str]
    closes: str = Field(description="Which decisions it closes.")
    text: str = Field(description="TOML.")
    draft: CourseDraft | None = Field(description="Null where an own text does not read any more.")
    entry: str | None = Field(description="Where the grower wrote it.")
    revision: int | None
    asked: bool = Field(description="Whether the open question names it.")
    can: bool | None = Field(description="Whether it can be done on this tree; null while that is found out.")
    why: str = Field(description="Why it can or cannot be done, where there is more to say.")
    notes: list[str]
    waits: str = Field(description="How long it can wait.")


class Spent(Said):
    """What was worked on the tree so far; it counts for no course."""

    hours_h: float
    timed: int = Field(description="Works with their time.")
    works: int
    words: str


class LatestRun(Said):
    """The newest kept result."""

    id: str
    made_shown: str
    courses: list[str]
    futures: int
    years: int
    is_old: bool = Field(description="Whether the record of the tree or its aims have changed since.")
    note: str


class Decided(Said):
    """The newest decision."""

    entry: str
    revision: int
    title: str
    key: str
    on_shown: str
    why: str
    by: str
    review_on: str | None
    review_shown: str
    review_due: bool


class CourseChoices(Said):
    """What the form of a course offers."""

    operations: list[Choice]
    conditions: list[Choice]
    halves: list[Choice]
    looks: list[Choice] = Field(description="What a check can look at.")


class RunLimits(Said):
    """How often and how far courses may be lived."""

    futures: int = Field(description="The usual number.")
    fewest_futures: int
    most_futures: int
    years: int
    most_years: int
    most_courses: int


class TurningRoom(Said):
    """The room Futures, but for its result."""

    tree: str
    name: str
    question: str
    question_note: str
    is_open: bool = Field(description="Whether a question waits for a decision.")
    asked_shown: str
    courses: list[TurningCourse]
    offers_state: Literal["ready", "making", "none"]
    offers_words: str
    spent: Spent
    aims: TreeAims
    latest: LatestRun | None
    job: Job | None = Field(description="A run under way, or the last one if it failed or was taken off.")
    decision: Decided | None
    choices: CourseChoices
    limits: RunLimits


class RunAsked(Asked):
    """A run that is wanted."""

    courses: list[str] = Field(
        default_factory=list, max_length=20, description="Names; none: those of the open question."
    )
    futures: int = Field(default=300, ge=50, le=2000)
    years: int = Field(default=25, ge=1, le=40)


class CourseTry(Asked):
    """A course as typed so far."""

    text: str = Field(max_length=8000, description="TOML.")


class CourseFault(Said):
    """What does not read of a course."""

    part: str = Field(description="step, check, or blank for the course itself")
    number: int = Field(description="Which of them, from 1; 0 for the course itself.")
    field: str = Field(description="Blank where it is about no single field.")
    line: str


class CourseTried(Said):
    """What a text says as a course; nothing is stored."""

    faults: list[CourseFault]
    steps: list[str]
    draft: CourseDraft | None


class TurningFact(Said):
    """Something about the tree as the run began."""

    label: str
    shown: str


class TurningPot(Said):
    """The pot as seen from the front."""

    length_mm: float
    depth_mm: float
    shape: str


class TurningMeasure(Said):
    """What is compared."""

    key: str
    label: str
    unit: str = Field(description="mm, cm2, count, ratio or frac")
    more: str = Field(description='Completes "A ... than B".')
    less: str


class TurningOutcome(Said):
    """One measure of a course after so many years, over the futures in which the tree lives."""

    measure: str
    low: float | None
    median: float | None
    high: float | None
    shown: str = Field(description="The middle one with its unit.")
    spread_shown: str
    dots: list[float] = Field(description="Equally likely values, ascending.")


class TurningCell(Said):
    """A course after so many years."""

    after_years: int
    when: str
    lost: int
    futures: int
    lost_words: str
    second: int = Field(
        default=0, description="Futures in which a second tree lives on: the stump of a layer."
    )
    second_words: str = Field(default="", description="The same in words; blank where there is none.")
    pot: TurningPot | None = Field(
        default=None, description="Where the course has moved the tree into another one by then."
    )
    outcomes: list[TurningOutcome]


class TurningHours(Said):
    """Hours of work."""

    low_h: float
    median_h: float
    high_h: float
    words: str
    by_year_h: list[float] = Field(description="The mean of each year, from the first on.")


class LivedCourse(Said):
    """A course and what came of it."""

    key: str = Field(description="Its letter in this result.")
    id: str
    title: str
    words: str
    steps: list[str]
    cells: list[TurningCell]
    hours: TurningHours


class TurningPair(Said):
    """The same futures under two courses; the first has more of the measure in more of them."""

    measure: str
    after_years: int
    first: str
    second: str
    first_more: int
    second_more: int
    futures: int
    words: str


class TurningDriver(Said):
    """What would change the answer."""

    label: str
    direction: str
    share_frac: float
    share_shown: str
    basis: str


class TurningSign(Said):
    """What settles it, and until when waiting is sensible."""

    look_for: str
    wait_until: str
    cost_of_waiting: str


class TurningOrigin(Said):
    """Where a number comes from."""

    label: str
    value: str
    basis: str
    source: str


class TurningResult(Said):
    """What came of a run."""

    id: str
    tree: str
    question: str
    made_shown: str
    futures: int
    years: int
    seed: int
    engine: str
    front: str
    pot: TurningPot | None
    facts: list[TurningFact]
    horizons: list[int]
    measures: list[TurningMeasure]
    courses: list[LivedCourse]
    weighed: TurningWeighed | None = Field(
        default=None, description="By the aims of the tree; null in results of an older version."
    )
    pairs: list[TurningPair]
    drivers: list[TurningDriver]
    signs: list[TurningSign]
    origins: list[TurningOrigin]
    cautions: list[str]
    notes: list[str]


class TwigLines(Said):
    """Twigs of one thickness as one path."""

    width_mm: float
    d: str


class TreeDrawn(Said):
    """A leafless tree from its front, in mm around the foot of its trunk, y down."""

    left_mm: float
    right_mm: float
    top_mm: float
    base_mm: float
    wood: str = Field(description="A path to be filled.")
    twigs: list[TwigLines]


class YearDrawn(Said):
    """A future after so many years; no tree where it is lost by then."""

    after_years: int
    tree: TreeDrawn | None
    second: TreeDrawn | None = Field(
        default=None, description="The other tree that a layer or a split gave, at the same scale."
    )


class FutureDrawn(Said):
    """One possible future, replayed from its seed."""

    future: int
    years: list[YearDrawn]


class TurningDrawings(Said):
    """Some futures of a course; the first is a middling one."""

    course: str
    tallest_mm: float = Field(description="Of all trees drawn in this result.")
    now: TreeDrawn | None = Field(description="The tree as it stands.")
    futures: list[FutureDrawn]
