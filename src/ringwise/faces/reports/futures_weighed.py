"""The answer by the grower's aims: one paragraph, what each course meets, what would turn it round."""

from __future__ import annotations

from ringwise.faces.reports.futures_courses import year_words
from ringwise.faces.reports.futures_markup import Html, short, tag
from ringwise.faces.reports.futures_plots import Axis, dot_plot
from ringwise.futures.view import FuturesView, MeasureText, Outcome
from ringwise.futures.weighed_view import CourseMet, WeighedView, WishMet
from ringwise.kit import show
from ringwise.kit.ranged import Ranged
from ringwise.kit.words import _

BAR_PX = 96.0
MOST_WAITS = 2  # of all pairs of courses, those that decided today are worth most
_AXIS = Axis(0.0, 1.0, 3.0)


def weighed_section(view: FuturesView) -> Html | None:
    """What a grower reads first, where aims are known."""
    weighed = view.weighed
    if weighed is None:
        return None
    note = _("Weighed by {title}; {time}. The weights are yours: with others another course may come first.")
    return tag(
        "section",
        tag("h2", _("The answer, by the aims of this tree")),
        [
            tag("p", each, class_="part" if place else "verdict")
            for place, each in enumerate(weighed.parts or (weighed.verdict,))
        ],
        tag("p", note.format(title=weighed.title, time=weighed.time_words), class_="note"),
        tag("p", weighed.sunk, class_="sunk") if weighed.sunk else None,
        class_="weighed",
    )


def before_section(view: FuturesView) -> Html | None:
    """Before one decides: what can be learned, until when waiting is sensible, what would turn the answer."""
    waits, turns = _waits(view), _turns(view)
    if waits is None and turns is None:
        return None
    return tag(
        "section",
        tag("h2", _("Before you decide")),
        tag("div", waits, turns, class_="columns"),
        class_="before",
    )


def aims_section(view: FuturesView) -> Html | None:
    """Each aim with the share of it met today and by each course, and each course in all."""
    weighed = view.weighed
    if weighed is None:
        return None
    titles = [tag("th", tag("span", each.key, class_="key"), scope="col") for each in view.courses]
    head = tag("tr", tag("td"), tag("th", _("weight"), scope="col"), tag("th", _("now"), scope="col"), titles)
    rows = [_wish_row(view, each) for each in weighed.wishes]
    note = _(
        "The share of each aim that is met, on average over all futures and the years that count. Below, "
        "a dot is one of equally likely futures: the share of all aims that it meets; lost trees stand at 0."
    )
    return tag(
        "section",
        tag("h2", _("How far the aims are met")),
        tag("p", note, class_="note"),
        tag("table", tag("thead", head), tag("tbody", rows, _all_row(view, weighed)), class_="aims"),
        tag("div", [_course(view, each) for each in weighed.courses], class_="columns"),
        tag("ul", [tag("li", each.words) for each in weighed.pairs]) if weighed.pairs else None,
        class_="short",
    )


def _turns(view: FuturesView) -> Html | None:
    """At which value of what another course comes first; beside it what moves the numbers most."""
    if view.weighed is None:
        return None
    turns = view.weighed.turns or (
        _("Nothing uncertain alone turns the order of the courses, as far as these futures reach."),
    )
    return tag(
        "div",
        tag("h3", _("What would turn the answer round")),
        tag("ul", [tag("li", each) for each in turns]),
    )


def _waits(view: FuturesView) -> Html | None:
    """Each sign: what is learned, until when, at what cost; then what waiting is worth by these futures."""
    worth = (*view.weighed.waits[:MOST_WAITS], view.weighed.knowing) if view.weighed else ()
    if not view.signs and not worth:
        return None
    signs = [
        tag(
            "div",
            tag("p", tag("b", _("What is learned:")), " ", sign.look_for),
            tag("p", tag("b", _("Waiting is sensible until:")), " ", sign.wait_until, class_="act"),
            tag("p", tag("b", _("What waiting costs:")), " ", sign.cost_of_waiting)
            if sign.cost_of_waiting
            else None,
            class_="sign",
        )
        for sign in view.signs
    ]
    head = tag("h3", _("What is worth waiting for, and until when"))
    return tag("div", head, signs, [tag("p", each) for each in worth])


def met_bar(share_frac: float) -> Html:
    """A thin line as long as the whole, thick as far as it is met."""
    frac = min(max(share_frac, 0.0), 1.0)
    return tag(
        "svg",
        tag("path", class_="thin", d=f"M0 6h{short(BAR_PX)}"),
        tag("path", class_="bar", d=f"M0 6h{short(BAR_PX * frac)}") if frac > 0 else None,
        aria_hidden="true",
        class_="share",
        viewBox=f"0 0 {short(BAR_PX)} 12",
        width=BAR_PX,
        height=12,
    )


def _met(share_frac: float) -> Html:
    return tag("td", tag("b", show.percent(share_frac)), " ", met_bar(share_frac))


def _wish_row(view: FuturesView, wish: WishMet) -> Html:
    by_course = dict(wish.by_course)
    return tag(
        "tr",
        tag("th", wish.label, tag("small", wish.range_words), scope="row"),
        tag("td", show.percent(wish.weight_frac)),
        _met(wish.today_frac),
        [_met(by_course.get(each.key, 0.0)) for each in view.courses],
    )


def _all_row(view: FuturesView, weighed: WeighedView) -> Html:
    by_course = {each.course: each.band.median for each in weighed.courses}
    return tag(
        "tr",
        tag("th", tag("b", _("all aims, the middle future")), scope="row"),
        tag("td", ""),
        _met(weighed.today_frac),
        [_met(by_course.get(each.key, 0.0)) for each in view.courses],
        class_="all",
    )


def _course(view: FuturesView, course: CourseMet) -> Html:
    """One course by all aims at once: dots, when the aims are met, what other weights would say."""
    title = _("course {key}: share of all aims met, {met}").format(
        key=course.course, met=band_words(course.band)
    )
    met = MeasureText("met", _("Share of the aims met"), "frac", "", "")
    plot = dot_plot(Outcome("met", course.band, course.dots), met, _AXIS, (f"met-{course.course}", title))
    years = [
        tag("div", tag("dt", year_words(year)), tag("dd", band_words(band))) for year, band in course.by_year
    ]
    other = _(
        "First under {n} of 100 other weightings; behind the first by {now} with yours, by {most} at most."
    ).format(
        n=round(100 * course.first_rank_frac),
        now=show.percent(course.regret_now_frac),
        most=show.percent(course.most_regret_frac),
    )
    return tag(
        "div",
        tag("h3", tag("span", course.course, class_="key"), " ", view.course(course.course).title),
        plot if course.dots else None,
        tag("p", _("Aims met: {until}").format(until=course.until_words)),
        tag("p", other),
        tag("dl", years, class_="lines"),
    )


def band_words(band: Ranged) -> str:
    """ "62% (51 to 70%)" of the aims met."""
    low, median, high = (show.percent(each) for each in (band.low, band.median, band.high))
    return median if low == high else f"{median} ({show.spanned(low, high)})"
