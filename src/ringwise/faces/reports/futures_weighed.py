"""What the aims say of the courses: the paragraph, dots on one axis, aims met, what would change it."""

from __future__ import annotations

from ringwise.faces.reports.futures_markup import Html, tag
from ringwise.faces.reports.futures_plots import Axis, dot_plot
from ringwise.futures.view import FuturesView, MeasureText, Outcome
from ringwise.futures.weighed_view import CourseMet, WeighedView
from ringwise.kit import show
from ringwise.kit.words import _

_DOT_PX = 3.0


def weighed_section(view: FuturesView) -> Html | None:
    """The courses by the grower's aims; None where nothing was weighed."""
    weighed = view.weighed
    if weighed is None:
        return None
    note = _(
        "A dot is one of equally likely futures: the share of these aims that it meets over the years, lost "
        "trees at 0. The weights are the grower's; {time}."
    ).format(time=weighed.time_words)
    return tag(
        "section",
        tag("h2", _("By your aims")),
        tag("p", weighed.title, class_="note"),
        tag("p", weighed.verdict),
        tag("p", note, class_="note"),
        tag("div", [_course(each) for each in weighed.courses], class_="columns"),
        _wishes(weighed),
        _list(_("Future by future"), [pair.words for pair in weighed.pairs]),
        _list(_("What would change the order"), list(weighed.turns)),
        _list(_("What waiting and knowing are worth"), [weighed.knowing, *weighed.waits]),
        tag("p", weighed.sunk, class_="note") if weighed.sunk else None,
        id="aims",
    )


def _course(course: CourseMet) -> Html:
    measure = MeasureText("met", _("Share of the aims met"), "frac", "", "")
    title = _("{course}: share of the aims met").format(course=course.course)
    plot = dot_plot(
        Outcome("met", course.band, course.dots),
        measure,
        Axis(0.0, 1.0, _DOT_PX),
        (f"met-{course.course}", title),
    )
    middle, low, high = (show.percent(x) for x in (course.band.median, course.band.low, course.band.high))
    return tag(
        "div",
        tag("h3", course.course),
        plot,
        tag("p", _("{middle} ({low} to {high})").format(middle=middle, low=low, high=high)),
        tag("p", _("Aims met: {until}").format(until=course.until_words)),
        tag(
            "p",
            _("First under {n} in 100 other weightings; behind the best by {now}, at most by {most}.").format(
                n=round(100 * course.first_rank_frac),
                most=show.percent(course.most_regret_frac),
                now=show.percent(course.regret_now_frac),
            ),
        ),
    )


def _wishes(weighed: WeighedView) -> Html:
    """Each aim by itself, so that nothing is averaged away unseen."""
    keys = [course for course, _met in weighed.wishes[0].by_course]
    head = [_("Aim"), _("Range"), _("Weight"), _("Today"), *keys]
    rows = [
        tag(
            "tr",
            tag("th", wish.label, scope="row"),
            tag("td", wish.range_words),
            tag("td", show.percent(wish.weight_frac)),
            tag("td", show.percent(wish.today_frac)),
            [tag("td", show.percent(met)) for _course_key, met in wish.by_course],
        )
        for wish in weighed.wishes
    ]
    return tag(
        "div",
        tag(
            "table",
            tag("caption", _("Each aim: met today, and over the years under each course")),
            tag("thead", tag("tr", [tag("th", text, scope="col") for text in head])),
            tag("tbody", rows),
        ),
        class_="short",
    )


def _list(title: str, texts: list[str]) -> Html | None:
    if not texts:
        return None
    return tag("div", tag("h3", title), tag("ul", [tag("li", text) for text in texts]))
