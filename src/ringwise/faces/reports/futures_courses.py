"""The matrix of the futures page: one column a course, one row a year, a cell for each pair."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.faces.reports.futures_drawing import Scale, scale_of, small_figures, tree_figure
from ringwise.faces.reports.futures_markup import Html, join, short, tag
from ringwise.faces.reports.futures_plots import Axis, axis_of, dot_plot, shown
from ringwise.futures.view import Cell, CourseText, FuturesView, FutureTree, Outcome
from ringwise.kit import show
from ringwise.kit.words import _, counted


@dataclass(frozen=True)
class Sheet:
    """The view with what all its drawings share: the scale of trees, the axis of each measure."""

    view: FuturesView
    scale: Scale
    axes: dict[str, Axis | None]


def sheet_of(view: FuturesView) -> Sheet:
    """Scale and axes, found once for the whole page."""
    return Sheet(view, scale_of(view), {each.key: axis_of(view, each.key) for each in view.measures})


def year_words(after_years: int) -> str:
    """ "now" or "after 5 years"."""
    return _("now") if after_years == 0 else counted("after {n} year", "after {n} years", after_years)


def one_in(lost: int, futures: int) -> str:
    """A count of losses as a chance in words, with the counts themselves."""
    if futures <= 0 or lost == 0:
        return loss_words(lost, futures)
    counts = _("{lost} of {n} futures").format(lost=lost, n=futures)
    return f"{loss_words(lost, futures)} ({counts})"


def loss_words(lost: int, futures: int) -> str:
    """A count of losses as a chance in words alone."""
    if futures <= 0:
        return _("unknown")
    if lost == 0:
        return _("none of {n} futures").format(n=futures)
    frac = lost / futures
    if frac > 0.4:
        return _("about {n} in 10").format(n=round(frac * 10))
    ratio = 1.0 / frac
    rounded = round(ratio) if ratio < 15 else round(ratio / 5) * 5 if ratio < 60 else round(ratio / 50) * 50
    return _("about 1 in {n}").format(n=rounded)


def courses_section(sheet: Sheet) -> Html:
    """All courses side by side."""
    view = sheet.view
    columns = [_course(sheet, course) for course in view.courses]
    small = sheet.scale.px_per_mm / sheet.scale.small_px_per_mm
    note = _(
        "The tree now is one tree; later, each tree and each dot is one possible future. All large trees are "
        "drawn at one scale, from {front}; the small ones at 1:{n} of it. No course is ranked."
    ).format(front=view.front, n=short(small))
    return tag(
        "section",
        tag("h2", _("The courses side by side"), id="courses"),
        tag("p", note, class_="note"),
        _scrubber(view),
        tag("div", columns, class_=f"matrix of-{len(view.courses)} rows-{len(view.horizons)}"),
    )


def _scrubber(view: FuturesView) -> Html:
    last = len(view.horizons) - 1
    words = "|".join(year_words(each) for each in view.horizons)
    return tag(
        "div",
        tag("label", _("Year shown"), for_="year"),
        tag("input", id="year", type="range", min=0, max=last, value=0, step=1, data_words=words),
        tag("output", year_words(view.horizons[0]), id="year-words", for_="year"),
        class_="scrubber",
        id="scrubber",
    )


def _course(sheet: Sheet, course: CourseText) -> Html:
    steps = tag("ol", [tag("li", step) for step in course.steps]) if course.steps else None
    head = tag(
        "header",
        tag("h3", tag("span", course.key, class_="key"), " ", course.title),
        tag("p", course.words),
        steps,
    )
    cells = [_cell(sheet, course, each) for each in sheet.view.horizons]
    strip = tag(
        "div",
        cells,
        class_="strip",
        role="region",
        tabindex=0,
        aria_label=_("Course {key}, year by year").format(key=course.key),
    )
    hint = tag("p", _("Swipe sideways for later years."), class_="hint") if len(cells) > 1 else None
    return tag("article", tag("div", head, hint), strip, class_="course")


def _cell(sheet: Sheet, course: CourseText, after_years: int) -> Html:
    cell = sheet.view.cell(course.key, after_years)
    when = year_words(after_years)
    key = f"c{sheet.view.courses.index(course)}y{after_years}"
    return tag(
        "div",
        tag("h4", tag("span", course.key, class_="key"), " ", when),
        _trees(sheet, cell, key, when),
        _loss(cell),
        [_outcome(sheet, cell, each, f"{key}m{number}") for number, each in enumerate(cell.outcomes)],
        class_="cell",
    )


def _trees(sheet: Sheet, cell: Cell, key: str, when: str) -> Html | None:
    if not cell.trees:
        return None
    first, rest = cell.trees[0], cell.trees[1:]
    title = _("{tree}, course {course}, {when}").format(tree=sheet.view.tree, course=cell.course, when=when)
    figure = tree_figure(first.silhouette, sheet.view.pot, sheet.scale, (key, title, _about(first)))
    caption = _caption(first, cell.after_years)
    small: Html | None = None
    if rest:
        words = gallery_words(sheet.view)
        labels = [(each.silhouette, below_words(each)) for each in rest]
        small = tag(
            "figure",
            small_figures(labels, sheet.scale, (f"{key}s", f"{title}: {words}")),
            tag("figcaption", words) if cell.after_years == sheet.view.horizons[-1] else None,
        )
    return join(tag("figure", figure, tag("figcaption", caption)), small)


def below_words(tree: FutureTree) -> str:
    """ "3 in 10", as the label of a small tree."""
    if tree.below_frac != tree.below_frac:
        return ""
    return _("{n} in 10").format(n=round(10 * tree.below_frac))


def gallery_words(view: FuturesView) -> str:
    """What the labels under small trees say."""
    main, last = view.measures[0], year_words(view.horizons[-1])
    return _(
        "More possible futures. Below each: how many end {less} than it {when}, lost ones first."
    ).format(less=main.less or _("with less of it"), when=last)


def _caption(tree: FutureTree, after_years: int) -> str:
    if tree.caption:
        return tree.caption
    if after_years == 0:
        return _("the tree as it stands")
    return _("one possible future, number {n}").format(n=tree.future + 1)


def _about(tree: FutureTree) -> str:
    drawing = tree.silhouette
    if drawing is None:
        return _("In this future the tree is lost.")
    return _("Leafless tree drawn to scale: {height} high, {spread} wide, trunk {base} at the soil.").format(
        height=show.length(drawing.top_mm),
        spread=show.length(drawing.width_mm),
        base=show.length(drawing.base_mm),
    )


def _loss(cell: Cell) -> Html | None:
    if cell.after_years == 0:
        return None
    words = one_in(cell.lost, cell.futures)
    if cell.second:
        words = _("{lost}; the stump lives on beside it in {n} of {all}").format(
            lost=words, n=cell.second, all=cell.futures
        )
    return tag("p", tag("b", _("Tree lost:")), " ", words, class_="loss")


def _outcome(sheet: Sheet, cell: Cell, outcome: Outcome, key: str) -> Html:
    measure = sheet.view.measure(outcome.measure)
    band = outcome.band
    axis = sheet.axes[outcome.measure]
    low, median, high = (shown(each, measure, axis) for each in (band.low, band.median, band.high))
    value = tag("b", median)
    if cell.after_years == 0 or not outcome.dots:
        return tag("p", tag("span", measure.label, class_="label"), " ", value, class_="measure")
    spread = _("8 in 10 futures between {low} and {high}").format(low=low, high=high)
    if low == high:
        spread = _("at least 8 in 10 futures at {low}").format(low=low)
    title = _("{label}, {n} dots, each one possible future; median {median}, {spread}").format(
        label=measure.label, n=len(outcome.dots), median=median, spread=spread
    )
    plot = dot_plot(outcome, measure, axis, (key, title)) if axis else None
    words = tag("p", tag("span", measure.label, class_="label"), " ", value, tag("small", spread))
    return tag("div", words, plot, class_="measure")
