"""What a grower's aims say of the courses of a run, as the app shows it: words, then shares, then dots."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.futures.weighed_view import CourseMet, WeighedView

_LEAST_FRAC = 0.005  # less of the aims is shown as 0%


def weighed_told(weighed: WeighedView) -> Shape:
    """A run weighed by the aims of its tree.

    Parameters
    ----------
    weighed : WeighedView
        Worded in the reader's language.

    Returns
    -------
    dict
        As `faces/web/shapes/weighed.TurningWeighed`.
    """
    return {
        "title": weighed.title,
        "verdict": weighed.verdict,
        "time_words": weighed.time_words,
        "today_frac": weighed.today_frac,
        "today_shown": show.percent(weighed.today_frac),
        "wishes": [
            {
                "label": wish.label,
                "range_shown": wish.range_words,
                "weight_shown": show.percent(wish.weight_frac),
                "today_frac": wish.today_frac,
                "today_shown": show.percent(wish.today_frac),
                "courses": [
                    {"course": course, "met_frac": met, "shown": show.percent(met)}
                    for course, met in wish.by_course
                ],
            }
            for wish in weighed.wishes
        ],
        "courses": [_course(course) for course in weighed.courses],
        "pairs": [pair.words for pair in weighed.pairs],
        "turns": list(weighed.turns),
        "waits": list(weighed.waits),
        "knowing": weighed.knowing,
        "sunk": weighed.sunk,
    }


def _course(course: CourseMet) -> Shape:
    low, middle, high = (
        show.percent(each) for each in (course.band.low, course.band.median, course.band.high)
    )
    return {
        "course": course.course,
        "low_frac": course.band.low,
        "median_frac": course.band.median,
        "high_frac": course.band.high,
        "shown": middle,
        "spread_shown": "" if low == high else _("8 in 10: {span}").format(span=show.spanned(low, high)),
        "dots": list(course.dots),
        "by_year": [
            {
                "after_years": year,
                "when": counted("after {n} year", "after {n} years", year) if year else _("now"),
                "shown": show.percent(met.median),
            }
            for year, met in course.by_year
        ],
        "until_words": course.until_words,
        "first_words": _("comes first under other weights: {chance}").format(
            chance=show.chance(course.first_rank_frac)
        ),
        "regret_words": _regret(course),
    }


def _regret(course: CourseMet) -> str:
    """How much of the aims is given up by this course where another one would have been the better."""
    most = show.percent(course.most_regret_frac)
    if course.most_regret_frac < _LEAST_FRAC:
        return _("gives up nothing, whatever the weights")
    if course.regret_now_frac < _LEAST_FRAC:
        return _("gives up nothing by your weights, at most {most} of the aims by any others").format(
            most=most
        )
    return _("gives up {now} of the aims by your weights, at most {most} by any others").format(
        now=show.percent(course.regret_now_frac), most=most
    )
