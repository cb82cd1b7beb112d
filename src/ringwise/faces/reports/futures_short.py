"""The first table of the futures page: now and each course at the last year, one row a measure."""

from __future__ import annotations

from ringwise.faces.reports.futures_courses import Sheet, loss_words, year_words
from ringwise.faces.reports.futures_markup import Html, tag
from ringwise.faces.reports.futures_plots import shown
from ringwise.futures.view import Cell, FuturesView, MeasureText
from ringwise.kit import show
from ringwise.kit.words import _


def short_section(sheet: Sheet) -> Html:
    """What a reader takes away in a minute: measures, the chance of a loss, hours, course beside course."""
    view = sheet.view
    last = view.horizons[-1]
    note = _(
        "The number in the middle of all futures, and below it the range that 8 in 10 of them keep to. "
        "The order of the courses says nothing about which is better."
    )
    rows = [_measure_row(sheet, measure, last) for measure in view.measures]
    losses = [
        _row(label, None, [(each, "") for each in values]) for label, values in loss_rows(_cells(view, last))
    ]
    body = [*rows, *losses, _hours_row(view)]
    return tag(
        "section",
        tag("h2", _("In short, {when}").format(when=year_words(last)), id="short"),
        tag("p", note, class_="note"),
        tag("table", _head(view), tag("tbody", [each for each in body if each is not None])),
        class_="short",
    )


def _cells(view: FuturesView, after_years: int) -> list[Cell]:
    return [view.cell(course.key, after_years) for course in view.courses]


def _head(view: FuturesView) -> Html:
    titles = [
        tag("th", tag("span", course.key, class_="key"), " ", tag("span", course.title), scope="col")
        for course in view.courses
    ]
    return tag("thead", tag("tr", tag("td"), tag("th", _("now"), scope="col"), titles))


def _row(label: str, now: str | None, values: list[tuple[str, str]]) -> Html:
    cells = [tag("td", tag("b", value), tag("small", spread) if spread else None) for value, spread in values]
    return tag("tr", tag("th", label, scope="row"), tag("td", now or "\N{EN DASH}"), cells)


def _measure_row(sheet: Sheet, measure: MeasureText, after_years: int) -> Html:
    axis = sheet.axes[measure.key]

    def told(cell: Cell) -> tuple[str, str]:
        for each in cell.outcomes:
            if each.measure == measure.key:
                low, middle, high = (
                    shown(value, measure, axis) for value in (each.band.low, each.band.median, each.band.high)
                )
                return middle, "" if low == high else show.spanned(low, high)
        return "\N{EN DASH}", ""

    view = sheet.view
    now = told(view.cell(view.courses[0].key, view.horizons[0]))[0]
    return _row(measure.label, now, [told(cell) for cell in _cells(view, after_years)])


def loss_rows(cells: list[Cell]) -> list[tuple[str, list[str]]]:
    """The chance of a loss; where a layer gives two trees, of the top, of the stump's life, and of both."""
    lost = [loss_words(cell.lost, cell.futures) for cell in cells]
    if not any(cell.second for cell in cells):
        return [(_("Tree lost"), lost)]
    left = [cell.none_left if cell.second else cell.lost for cell in cells]
    return [
        (_("Tree lost (of a separated layer: its top)"), lost),
        (_("Stump kept as a second tree"), [_kept_words(cell) for cell in cells]),
        (_("No tree left"), [loss_words(n, cell.futures) for n, cell in zip(left, cells, strict=True)]),
    ]


def _kept_words(cell: Cell) -> str:
    """In how many futures there is a second tree, by tenths."""
    if cell.second == 0:
        return "\N{EN DASH}"
    return _("about {n} in 10").format(n=max(1, round(10 * cell.second / cell.futures)))


def _hours_row(view: FuturesView) -> Html | None:
    if not view.hours:
        return None
    by_course = {each.course: each.total_h for each in view.hours}
    values = []
    for course in view.courses:
        total = by_course.get(course.key)
        if total is None:
            values.append((_("unknown"), ""))
            continue
        low, middle, high = (
            _("{n} h").format(n=show.number(value, 2)) for value in (total.low, total.median, total.high)
        )
        values.append((middle, show.spanned(low, high)))
    return _row(_("Hours of work until then"), None, values)
