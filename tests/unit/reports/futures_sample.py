"""An invented turning for tests of the futures page: trees grown by scaling their tapes, luck from a seed.

Nothing here is a forecast; it only has the form of one.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

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
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.ranged import Ranged
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.silhouette import Silhouette, silhouette
from ringwise.structure.tape import Tape
from ringwise.structure.tape_tree import tree_from_tape

FORM = form_for(("morus_alba", "Morus"))
HORIZONS = (0, 5, 10, 20)
COURSES = (
    CourseText(
        "A",
        "Ground layer",
        "A ring below the present base at H1; the tree is lifted on its new roots when they carry it.",
        (
            "Ring at H1 this year, 12 mm below the flare",
            "Separate at leaf fall or next bud swell",
            "Repot into the same pot",
        ),
    ),
    CourseText(
        "B",
        "Root grafts in the empty sectors",
        "Four seedlings approach-grafted at 7 to 10 o'clock, severed one by one as each union carries.",
        ("Graft two at bud swell, two a year later", "Sever when thicker beyond than before at two checks"),
    ),
    CourseText(
        "C", "Accept the base", "No work on the base; the front turns a little to hide the bare side.", ()
    ),
)
MEASURES = (
    MeasureText("base_diameter", "Trunk above the root flare", "mm", "thicker"),
    MeasureText("tips", "Tips", "count", "with more tips"),
    MeasureText("sectors", "Root sectors filled (of 12)", "count", "with more root sectors filled"),
)
GROWTH_MM = {"A": 0.62, "B": 0.8, "C": 0.7}
LOSS = {"A": 0.055, "B": 0.02, "C": 0.008}
FUTURES = 500
FACTS = (
    ("Trunk", "92 mm"),
    ("Height", "52 cm"),
    ("Vigour", "4 of 5"),
    ("Pot", "oval 42 x 31 x 7.5 cm"),
    ("Last repotted", "spring 2023"),
)
DRIVERS = (
    Driver(
        "Whether the layer roots all round",
        "Rooting on every side puts A ahead of B; a bare side puts B ahead.",
        0.41,
        "assumed",
    ),
    Driver("Take of a root graft", "The better a graft takes, the closer B comes to A.", 0.27, "practice"),
    Driver(
        "Girth growth in this pot",
        "More growth hides the bare side sooner under C.",
        0.14,
        "measured",
    ),
    Driver("Winter losses after separation", "More of them speak against A.", 0.08, "assumed"),
)
ORIGINS = (
    Origin(
        "Rooting of a ground layer, mulberry",
        "easy class, 8 of 10 (6 to 9)",
        "assumed",
        "Common practice of the trade; no print behind it",
    ),
    Origin("Girth growth", "0.7 mm a year (0.4 to 1.2)", "fitted", "own girths 2019 to 2026"),
    Origin(
        "Take of an approach graft",
        "7 of 10 (5 to 9)",
        "practice",
        "Common practice of the trade; no print behind it",
    ),
    Origin(
        "Minutes for a repotting, size M",
        "150 min (120 to 210)",
        "practice",
        "Common practice of the trade; no print behind it",
    ),
)
SIGNS = (
    Sign(
        "Fine roots on the bare side when the tree is lifted at bud swell",
        "the next repotting, at latest when the buds show green",
        "one growing year of root growth, about a twentieth of the trunk's gain",
    ),
)
CAUTIONS = (
    "The layer is not open to a tree that lost more than a third of its roots in the same year.",
    "Root sectors under the soil were last seen in spring 2023.",
)


def _grown(tape: Tape, factor: float, tips: float) -> Tape:
    """A tape scaled in thickness, its branches a little longer and with more tips."""
    reach = 1.0 + 0.35 * (factor - 1.0)
    return replace(
        tape,
        girths=tuple(replace(each, girth_mm=each.girth_mm * factor) for each in tape.girths),
        branches=tuple(
            replace(
                each,
                diameter_mm=each.diameter_mm * factor,
                length_mm=each.length_mm * reach,
                tips=max(2, round(tips * each.length_mm / 18.0)),
            )
            for each in tape.branches
        ),
    )


def _tree(tape: Tape, factor: float, tips: float, seed: int) -> Silhouette:
    table = tree_from_tape(_grown(tape, factor, tips), seed=seed, form=FORM)
    return silhouette(table, stroke_below_mm=2.4)


def _dots(course: str, measure: str, years: int) -> np.ndarray:
    luck = chance.normal(7, np.arange(FUTURES), years, 0, Purpose.DEMO, MEASURES.index(_measure(measure)))
    if measure == "base_diameter":
        return 92.0 + GROWTH_MM[course] * years * np.exp(0.32 * luck)
    if measure == "tips":
        return np.round(226 * (1 + 0.07 * years ** (0.8 if course == "A" else 0.95)) * np.exp(0.14 * luck))
    start = {"A": 10.4, "B": 10.0, "C": 8.0}[course] if years else 8.0
    spread = {"A": 1.1, "B": 0.9, "C": 0.2}[course]
    return np.clip(np.round(start + spread * luck), 4, 12)


def _measure(key: str) -> MeasureText:
    return next(each for each in MEASURES if each.key == key)


def _outcome(course: str, measure: str, years: int) -> Outcome:
    values = np.sort(_dots(course, measure, years))
    quantiles = np.quantile(values, (np.arange(40) + 0.5) / 40, method="nearest")
    low, median, high = np.percentile(values, (10, 50, 90), method="nearest")
    return Outcome(
        measure, Ranged(float(median), float(low), float(high)), tuple(quantiles.tolist()) if years else ()
    )


def _cell(tape: Tape, course: str, years: int) -> Cell:
    lost = round(FUTURES * (1 - (1 - LOSS[course]) ** math.sqrt(years)))
    trees = []
    for number in range(1 if years == 0 else 5):
        factor = 1.0 + GROWTH_MM[course] * years / 92.0 * (0.7 + 0.12 * number)
        seed = 3 if years == 0 else 3 + number * (1 + ord(course) % 5)
        drawing = _tree(tape, factor, 2.6 + 0.12 * years ** (0.9 if course == "A" else 1.0), seed)
        gone = course == "A" and number == 4 and years == 20
        below_frac = (math.nan, 0.9, 0.7, 0.3, 0.1)[number] if years else math.nan
        trees.append(FutureTree(number * 83 + 8 if years else 0, None if gone else drawing, "", below_frac))
    outcomes = tuple(_outcome(course, each.key, years) for each in MEASURES)
    return Cell(course, years, tuple(trees), outcomes, lost if years else 0, FUTURES)


def _pairs() -> tuple[Paired, ...]:
    out = []
    for years in (10, 20):
        for measure, first, second in (
            ("base_diameter", "A", "B"),
            ("sectors", "A", "B"),
            ("sectors", "B", "C"),
        ):
            a, b = _dots(first, measure, years)[:50], _dots(second, measure, years)[:50]
            out.append(Paired(measure, years, first, second, int((a > b).sum()), int((a < b).sum()), 50))
    return tuple(out)


def _hours() -> tuple[CourseHours, ...]:
    base = 3.2
    extra = {"A": {0: 4.5, 1: 3.0}, "B": {0: 5.0, 1: 5.5, 2: 2.0, 3: 1.0}, "C": {}}
    out = []
    for course in COURSES:
        by_year = tuple(
            base + extra[course.key].get(year, 0.0) + (2.0 if year % 3 == 2 else 0.0) for year in range(20)
        )
        total = sum(by_year)
        out.append(CourseHours(course.key, Ranged(total, total * 0.85, total * 1.22), by_year))
    return tuple(out)


def _weighed() -> WeighedView:
    """The courses by invented aims."""
    met = {"A": 0.58, "B": 0.66, "C": 0.52}
    courses = tuple(
        CourseMet(
            course=key,
            band=Ranged(share, share - 0.2, share + 0.12),
            dots=tuple(np.clip(np.linspace(share - 0.3, share + 0.2, 40), 0, 1).tolist()),
            by_year=tuple((year, Ranged(share, share - 0.1, share + 0.1)) for year in HORIZONS[1:]),
            until_words="in 6 of 10 futures within 12 years",
            first_rank_frac=share - 0.3,
            most_regret_frac=0.21,
            regret_now_frac=0.66 - share,
        )
        for key, share in met.items()
    )
    wishes = tuple(
        WishMet(label, words, weight, 0.4, tuple((key, share + more) for key, share in met.items()))
        for label, words, weight, more in (
            ("Root sectors filled (of 12)", "10 or more", 0.5, 0.1),
            ("Trunk above the root flare", "100 to 130 mm", 0.3, -0.1),
            ("Widest open wound", "20 mm or less", 0.2, 0.0),
        )
    )
    return WeighedView(
        title="a spreading broadleaf",
        time_words="early, middle and late years count 0.2 : 0.4 : 0.4",
        today_frac=0.44,
        wishes=wishes,
        courses=courses,
        pairs=(PairMet("A", "B", 0.31, "B meets more than A: likely, about 7 in 10"),),
        turns=("with a chance to root above 9 in 10, A comes before B",),
        waits=("Waiting for the roots to show before C is worth 3 % of the aims",),
        knowing="Knowing every future in advance would add 6 % of the aims.",
        verdict="Of these aims 44 % are met today. Over the years that count: B 66 %, A 58 %, C 52 %.",
        sunk="So far 61 hours went into this tree: shown, not counted.",
    )


def sample_view() -> FuturesView:
    """The whole invented turning."""
    tape = tape_from_basics(92.0, 520.0, FORM, seed=5)
    return FuturesView(
        tree="Hollow Lane",
        species="Morus alba, white mulberry",
        question="The base is one-sided: ground layer, root grafts in the four empty sectors, or accept it?",
        facts=FACTS,
        courses=COURSES,
        horizons=HORIZONS,
        measures=MEASURES,
        cells=tuple(_cell(tape, course.key, years) for course in COURSES for years in HORIZONS),
        hours=_hours(),
        paired=_pairs(),
        drivers=DRIVERS,
        signs=SIGNS,
        origins=ORIGINS,
        cautions=CAUTIONS,
        pot=PotFront(420.0, 75.0, "oval"),
        front="the recorded front",
        made_on="7 Mar 2027",
        seed=7,
        engine="0.1.0",
        invented=True,
        weighed=_weighed(),
    )
