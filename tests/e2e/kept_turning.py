"""A result of a run as the worker leaves it, from lives that were made up: nothing is simulated for it."""

from __future__ import annotations

from typing import Any

import numpy as np

from ringwise.desk import clock, turning_kept
from ringwise.desk.turning_drawings import drawings_of
from ringwise.desk.turning_told import result_told
from ringwise.desk.workspace import Workspace
from ringwise.futures.view import (
    Cell,
    CourseHours,
    CourseText,
    Driver,
    FuturesView,
    FutureTree,
    MeasureText,
    Origin,
    Outcome,
    Paired,
    PotFront,
    Sign,
)
from ringwise.futures.weighed_view import CourseMet, PairMet, WeighedView, WishMet
from ringwise.kit.ranged import Ranged
from ringwise.kit.reading import Reading, reading
from ringwise.structure.silhouette import silhouette
from ringwise.structure.table import single_segment

RESULT = "0123456789abcdef"
COURSES = ("accept", "as_it_is")
_YEARS = (0, 5, 10)
STUMP = single_segment(length_mm=200.0, diameter_mm=60.0)  # of the second course in its last year
BOX = PotFront(360.0, 180.0, "rectangle")  # into which the second course has moved its tree by then
_TWO = (
    CourseText("A", "Accept the base", "Routine repots only.", ("routine care only",)),
    CourseText("B", "Leave it as it is", "No work.", ("routine care only",)),
)


def _tree(course: str, future: int, year: int) -> FutureTree:
    if future == 8 and year == 10:
        return FutureTree(future, None)
    grown = single_segment(length_mm=400.0 + 10 * year + future, diameter_mm=40.0 + year)
    second = silhouette(STUMP) if course == "B" and year == 10 else None
    return FutureTree(future, silhouette(grown), second=second)


def _cell(course: str, year: int) -> Cell:
    now = FutureTree(0, silhouette(single_segment(length_mm=400.0, diameter_mm=40.0)))
    trees = (now,) if year == 0 else tuple(_tree(course, n, year) for n in (7, 8))
    dots = tuple(np.linspace(40.0 + year, 50.0 + year, 40).tolist())
    band = Ranged(45.0 + year, 41.0 + year, 49.0 + year)
    counts = Outcome("tips_n", Ranged(40.0, 30.0, 52.0), tuple(float(30 + n) for n in range(24)))
    told = (Outcome("base_mm", band, dots), counts)
    if course == "B" and year == 10:
        return Cell(course, year, trees, told, year, 200, second=150, none_left=2, pot=BOX)
    return Cell(course, year, trees, told, year, 200)


def made_up_view() -> FuturesView:
    """Two courses, three years, two futures of which one is lost at last; numbers written by hand."""
    return FuturesView(
        tree="T01 Hollow Lane",
        species="Acer palmatum",
        question="What to do about the base",
        facts=(("Trunk", "40 mm"),),
        courses=_TWO,
        horizons=_YEARS,
        measures=(
            MeasureText("base_mm", "Trunk above the root flare", "mm", "thicker", "thinner"),
            MeasureText("tips_n", "Tips", "count", "with more tips", "with fewer tips"),
        ),
        cells=tuple(_cell(course, year) for course in "AB" for year in _YEARS),
        cautions=("Each tree drawn is one possible future.",),
        hours=tuple(CourseHours(c, Ranged(6.0, 4.0, 9.0), (0.0, 1.5, 0.0, 2.5)) for c in "AB"),
        paired=(Paired("base_mm", 5, "A", "B", 60, 120, 195), Paired("base_mm", 10, "A", "B", 110, 70, 190)),
        drivers=(Driver("Chance that a ring roots", "The more of it, the better.", 0.4, "assumed"),),
        signs=(Sign("Roots all round.", "the next repot", "a season"),),
        origins=(Origin("Vigour", "as its kind grows", "transferred", "own"),),
        pot=PotFront(320.0, 70.0),
        front="the recorded front",
        made_on="7 Mar 2027",
        seed=1,
        engine="0" * 12,
        weighed=_weighed(),
    )


def _weighed() -> WeighedView:
    """Both courses by two aims; numbers and sentences written by hand."""

    def met(course: str, median: float) -> CourseMet:
        band = Ranged(median, median - 0.1, median + 0.05)
        dots = tuple(np.linspace(median - 0.15, median + 0.1, 40).tolist())
        years = ((0, Ranged(0.5, 0.5, 0.5)), (10, band))
        first = 0.7 if course == "A" else 0.3
        return CourseMet(
            course, band, dots, years, "in about 8 years", first, 0.09, 0.0 if first > 0.5 else 0.04
        )

    both = (("A", 0.7), ("B", 0.6))
    return WeighedView(
        title="a spreading broadleaf as it grows in a meadow",
        time_words="early, middle and late years count 1 : 2 : 2",
        today_frac=0.5,
        wishes=(
            WishMet("Root sectors filled (of 12)", "10 or more", 0.6, 0.4, both),
            WishMet("Widest open wound", "none", 0.4, 0.65, both),
        ),
        courses=(met("A", 0.7), met("B", 0.6)),
        pairs=(PairMet("A", "B", 0.8, "A meets more than B: likely, about 8 in 10"),),
        turns=("chance that a ring roots: below 4 in 10 B, above it A (taken: 7 in 10)",),
        waits=("Wait 1 year with B for its sign: worth 64.0% of the aims, decided today 62.0%.",),
        knowing="Knowing every future in advance would add 3.1% of the aims.",
        verdict="Of these aims 50% are met today. A meets more than B: likely, about 8 in 10.",
        sunk="Put in so far: 6 h of noted work, spent under every course and counted in none.",
    )


def keep_a_result(workspace: Workspace, tree: str, name: str) -> None:
    """Lay it into the store in every reading, as the newest of its tree."""
    view = made_up_view()

    def put(key: str, kind: str, value: Any) -> None:
        import json

        workspace.store.result_put(key, kind, json.dumps(value), made=clock.now())

    for letter, drawing in drawings_of(view).items():
        put(f"turning:{tree}:{name}:drawings:{letter}", turning_kept.DRAWINGS, drawing)
    head = {"id": name, "tree": tree, "futures": 200, "years": 10, "seed": 1, "engine": "0" * 12}
    for language in ("en", "de"):
        for units in ("metric", "inch"):
            with reading(Reading(language, units)):
                told = head | result_told(view, dict(zip("AB", COURSES, strict=True)))
            put(f"turning:{tree}:{name}:{language}:{units}", turning_kept.KIND, told)
    facts = workspace.facts_of(tree)
    latest = {
        "id": name,
        "mark": turning_kept.tree_mark(facts),
        "made_on": workspace.today.isoformat(),
        "courses": list(COURSES),
        "futures": 200,
        "years": 10,
    }
    put(f"turning:{tree}:latest", turning_kept.LATEST, latest)
