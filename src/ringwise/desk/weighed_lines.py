"""A weighed turning as lines for the terminal: the paragraph first, then what it stands on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _, counted, inside_sentence

if TYPE_CHECKING:
    from ringwise.futures.weighed_view import CourseMet, WeighedView


def verdict_lines(weighed: WeighedView | None) -> list[str]:
    """The one paragraph, which stands before all else.

    Parameters
    ----------
    weighed : WeighedView or None
        The turning weighed.

    Returns
    -------
    list of str
        Empty where nothing was weighed.
    """
    if weighed is None:
        return []
    return ["", _("By your aims: {title}").format(title=weighed.title), f"   {weighed.verdict}"]


def weighed_lines(weighed: WeighedView | None) -> list[str]:
    """What the aims say of the courses, as lines.

    Parameters
    ----------
    weighed : WeighedView or None
        The turning weighed.

    Returns
    -------
    list of str
        Empty where nothing was weighed.
    """
    if weighed is None:
        return []
    lines = ["", _("Each aim: weight, met today, met over the years under each course")]
    for wish in weighed.wishes:
        by_course = ", ".join(f"{course} {show.percent(met)}" for course, met in wish.by_course)
        lines.append(
            _("   {label} ({range}): weight {weight}, today {today}; {courses}").format(
                label=wish.label,
                range=wish.range_words,
                weight=show.percent(wish.weight_frac),
                today=show.percent(wish.today_frac),
                courses=by_course,
            )
        )
    for course in weighed.courses:
        lines += ["", *_course_lines(course)]
    lines += ["", _("Future by future ({time})").format(time=weighed.time_words)]
    lines += [f"   {pair.words}" for pair in weighed.pairs]
    if weighed.turns:
        lines += ["", _("What would change the order"), *(f"   {turn}" for turn in weighed.turns)]
    lines += ["", _("What knowing more is worth"), f"   {weighed.knowing}"]
    lines += [f"   {wait}" for wait in weighed.waits]
    if weighed.sunk:
        lines += ["", weighed.sunk]
    return lines


def _course_lines(course: CourseMet) -> list[str]:
    def band(low: float, middle: float, high: float) -> str:
        told, span = show.percent(middle), show.spanned(show.percent(low), show.percent(high))
        return told if span == told else f"{told} ({span})"

    years = "; ".join(
        f"{counted('after {n} year', 'after {n} years', year)} {band(met.low, met.median, met.high)}"
        for year, met in course.by_year
        if year
    )
    return [
        _("{course}  meets {band} of the aims; aims met: {until}").format(
            course=course.course,
            band=band(course.band.low, course.band.median, course.band.high),
            until=inside_sentence(course.until_words),
        ),
        f"   {years}",
        _("   first under {n} in 100 other weightings; behind the best by {now}, at most by {most}").format(
            n=round(100 * course.first_rank_frac),
            most=show.percent(course.most_regret_frac),
            now=show.percent(course.regret_now_frac),
        ),
    ]
