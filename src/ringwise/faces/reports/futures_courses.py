"""The matrix of the futures page: one column a course, one row a year, a cell for each pair."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ringwise.faces.reports.futures_drawing import Scale, scale_of, tree_figure
from ringwise.faces.reports.futures_markup import Html, join, tag
from ringwise.faces.reports.futures_plots import Axis, axis_of, dot_plot, shown
from ringwise.futures.view import Cell, CourseText, FuturesView, FutureTree, Outcome, PotFront
from ringwise.kit import show
from ringwise.kit.words import _, counted

MOST_APART = 2.0  # times that a year's trees may be smaller than the largest of the page, before rows differ


@dataclass(frozen=True)
class Sheet:
    """The view with what all its drawings share: the scale of trees, the axis of each measure.

    One scale serves all years, unless the trees of one are far larger than those of another.
    """

    view: FuturesView
    scale: Scale
    axes: dict[str, Axis | None]
    by_year: dict[int, Scale]

    def scale_at(self, after_years: int) -> Scale:
        """The scale of a year's row."""
        return self.by_year.get(after_years, self.scale)

    def pots_under(self, cell: Cell, tree: FutureTree) -> tuple[PotFront | None, PotFront | None]:
        """What two trees stand in: a stump keeps its pot, what a layered top moves into is still open."""
        pot = cell.pot or self.view.pot
        return (None, pot) if tree.second else (pot, None)


def sheet_of(view: FuturesView) -> Sheet:
    """Scale and axes, found once for the whole page."""
    one = scale_of(view)
    own = {year: scale_of(view, year) for year in view.horizons}
    apart = max(each.px_per_mm for each in own.values()) > MOST_APART * one.px_per_mm
    axes = {each.key: axis_of(view, each.key) for each in view.measures}
    return Sheet(view, one, axes, own if apart else {})


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
    note = _(
        "A row is one year, drawn at one scale from {front}. Its trees are one and the same possible "
        "future: the same weather and the same luck under each course. No course is ranked."
    ).format(front=view.front)
    return tag(
        "section",
        tag("h2", _("The courses side by side"), id="courses"),
        tag("p", note, class_="note"),
        _scrubber(view),
        tag("div", columns, class_=f"matrix of-{len(view.courses)} rows-{len(later(view))}"),
    )


def later(view: FuturesView) -> tuple[int, ...]:
    """The years after now; the tree as it stands is drawn once, at the head."""
    return tuple(each for each in view.horizons if each > 0)


def _scrubber(view: FuturesView) -> Html:
    years = [year_words(each) for each in later(view)]
    return tag(
        "div",
        tag("label", _("Year shown"), for_="year"),
        tag(
            "input",
            id="year",
            type="range",
            min=0,
            max=len(years) - 1,
            value=0,
            step=1,
            data_words="|".join(years),
        ),
        tag("output", years[0], id="year-words", for_="year"),
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
    cells = [_cell(sheet, course, each) for each in later(sheet.view)]
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
        _tree(sheet, cell, key, when),
        _loss(cell),
        tag("dl", [_value(sheet, each) for each in cell.outcomes], class_="values"),
        _spread(sheet, cell, key),
        class_="cell",
    )


def _tree(sheet: Sheet, cell: Cell, key: str, when: str) -> Html | None:
    if not cell.trees:
        return None
    tree = cell.trees[0]
    title = _("{tree}, course {course}, {when}").format(tree=sheet.view.tree, course=cell.course, when=when)
    pot, _stump_pot = sheet.pots_under(cell, tree)
    figure = tree_figure(
        tree.silhouette, pot, sheet.scale_at(cell.after_years), (key, title, about_words(tree))
    )
    shown_tree = tag("figure", figure, tag("figcaption", caption_words(tree, cell.after_years)))
    return join(shown_tree, _second(sheet, cell, key, title)) if tree.second else shown_tree


def _second(sheet: Sheet, cell: Cell, key: str, title: str) -> Html:
    """The other tree of the same future, at the same scale."""
    tree = cell.trees[0]
    names = (
        f"{key}s",
        _("{title}, second tree").format(title=title),
        about_words(replace(tree, silhouette=tree.second)),
    )
    _top_pot, pot = sheet.pots_under(cell, tree)
    figure = tree_figure(tree.second, pot, sheet.scale_at(cell.after_years), names)
    return tag(
        "figure",
        figure,
        tag("figcaption", _("the second tree of the same future")),
        class_="second",
    )


def now_figure(sheet: Sheet) -> Html | None:
    """The tree as it stands, which is the same under every course."""
    view = sheet.view
    trees = [tree for cell in view.cells if cell.after_years == 0 for tree in cell.trees]
    if not trees:
        return None
    title = _("{tree}, {when}").format(tree=view.tree, when=year_words(0))
    figure = tree_figure(
        trees[0].silhouette, view.pot, sheet.scale_at(0), ("now", title, about_words(trees[0]))
    )
    return tag("figure", figure, tag("figcaption", caption_words(trees[0], 0)), class_="now")


def caption_words(tree: FutureTree, after_years: int) -> str:
    """What stands below a large tree."""
    if tree.caption:
        return tree.caption
    if after_years == 0:
        return _("the tree as it stands")
    return _("one possible future, number {n}").format(n=tree.future + 1)


def about_words(tree: FutureTree) -> str:
    """What a drawn tree shows, for those who cannot see it."""
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


def _value(sheet: Sheet, outcome: Outcome) -> Html:
    """A measure as a line: the middle of all futures, and the range of 8 in 10 beneath it."""
    measure = sheet.view.measure(outcome.measure)
    low, median, high = _band(sheet, outcome)
    spread = _("at least 8 in 10") if low == high else show.spanned(low, high)
    return tag("div", tag("dt", measure.label), tag("dd", tag("b", median), tag("small", spread)))


def _band(sheet: Sheet, outcome: Outcome) -> tuple[str, str, str]:
    measure, axis, band = sheet.view.measure(outcome.measure), sheet.axes[outcome.measure], outcome.band
    low, median, high = (shown(each, measure, axis) for each in (band.low, band.median, band.high))
    return low, median, high


def _spread(sheet: Sheet, cell: Cell, key: str) -> Html | None:
    """All measures as dots, folded but for the last year."""
    drawn = (_plot(sheet, each, f"{key}m{number}") for number, each in enumerate(cell.outcomes) if each.dots)
    plots = [plot for plot in drawn if plot is not None]
    if not plots:
        return None
    last = cell.after_years == sheet.view.horizons[-1]
    summary = tag("summary", _("How far futures spread"))
    return tag("details", summary, plots, class_="spread", open="open" if last else None)


def _plot(sheet: Sheet, outcome: Outcome, key: str) -> Html | None:
    measure, axis = sheet.view.measure(outcome.measure), sheet.axes[outcome.measure]
    if axis is None:
        return None
    low, median, high = _band(sheet, outcome)
    spread = _("8 in 10 futures at {span}").format(span=show.spanned(low, high))
    if low == high:
        spread = _("at least 8 in 10 futures at {low}").format(low=low)
    title = _("{label}, {n} dots, each one possible future; median {median}, {spread}").format(
        label=measure.label, n=len(outcome.dots), median=median, spread=spread
    )
    return tag(
        "div", tag("p", measure.label), dot_plot(outcome, measure, axis, (key, title)), class_="measure"
    )
