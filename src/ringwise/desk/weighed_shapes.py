"""A weighed turning as the documented keys aims, weighed and waiting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.aims import wish_shapes
from ringwise.desk.lives import plain
from ringwise.desk.shapes import Shape

if TYPE_CHECKING:
    from ringwise.futures.weighed import CourseWorth, Wait, Weighed
    from ringwise.futures.weighed_view import WeighedView


def weighed_shapes(weighed: Weighed | None, view: WeighedView | None, *, own: bool) -> Shape:
    """The answer's keys about aims, worths and waiting.

    Parameters
    ----------
    weighed : Weighed or None
        The turning weighed.
    view : WeighedView or None
        The same in words.
    own : bool
        Whether the grower stored these aims.

    Returns
    -------
    dict
        Keys aims, weighed and waiting; null where nothing was weighed.
    """
    if weighed is None or view is None:
        return {"aims": None, "weighed": None, "waiting": []}
    from ringwise.futures.aims import weighing

    wishes = wish_shapes(weighed.aims)
    for number, each in enumerate(wishes):
        each["today_frac"] = float(weighed.today[number])
        each["by_course"] = [
            {"course": key, "met_frac": float(row[number])} for key, row in weighed.by_wish.items()
        ]
    time = weighed.time
    shape: Shape = {
        "aims": {
            "set": weighed.aims.name,
            "title": view.title,
            "own": own,
            "today_frac": weighed.today_frac,
            "faults_n": weighed.faults_today_n,
            "met_from_frac": weighing("met", "from"),
            "time": {"early": time.early, "middle": time.middle, "late": time.late},
            "wishes": wishes,
        },
        "weighed": _weighed(weighed, view),
        "waiting": [_wait(wait, words) for wait, words in zip(weighed.waits, view.waits, strict=True)],
    }
    shaped: Shape = plain(shape)
    return shaped


def _weighed(weighed: Weighed, view: WeighedView) -> Shape:
    from ringwise.futures.drivers import input_words

    return {
        "courses": [_course(weighed, view, place) for place in range(len(weighed.courses))],
        "pairs": [
            {
                "first": pair.first,
                "second": pair.second,
                "first_better_frac": pair.first_better_frac,
                "dominant": pair.dominant,
                "order": pair.order,
            }
            for pair in weighed.pairs
        ],
        "flips": [
            {
                "input": flip.input,
                "label": input_words(flip.input),
                "above": flip.above,
                "below": flip.below,
                "now": flip.now,
                "at": flip.at,
                "worth_futures": flip.futures_n,
            }
            for flip in weighed.flips
        ],
        "knowing": {
            "all_frac": weighed.knowing_all,
            "inputs": [
                {"input": name, "label": input_words(name), "worth_frac": worth}
                for name, worth in weighed.knowing.items()
                if worth > 0
            ],
        },
        "verdict": view.verdict,
    }


def _course(weighed: Weighed, view: WeighedView, place: int) -> Shape:
    course: CourseWorth = weighed.courses[place]
    seen, other = view.courses[place], weighed.other
    return {
        "course": course.course,
        "low": course.band.low,
        "median": course.band.median,
        "high": course.band.high,
        "mean": float(course.worth.mean()),
        "dots": list(seen.dots),
        "by_year": [
            {"after_years": year, "low": met.low, "median": met.median, "high": met.high}
            for year, met in course.met_by_year.items()
        ],
        "until_met_years": list(course.until_met_years),
        "never_frac": course.never_frac,
        "until_words": seen.until_words,
        "lost_frac": course.lost_frac,
        "ranks_frac": [float(each) for each in other.ranks_frac[place]],
        "most_regret_frac": float(other.most_regret_frac[place]),
        "regret_now_frac": float(other.regret_now_frac[place]),
    }


def _wait(wait: Wait, words: str) -> Shape:
    found = wait.found
    return {
        "keep": wait.keep,
        "act": wait.act,
        "years": found.years,
        "act_now": found.now,
        "wait": found.wait,
        "evsi": found.evsi,
        "evpi": found.evpi,
        "late": found.late,
        "break_even_late": found.break_even_late,
        "classes": [
            {"share_frac": each.share_frac, "keep": each.worths[0], "late": each.worths[1]}
            for each in found.classes
        ],
        "words": words,
    }
