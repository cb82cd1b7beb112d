"""A turning as plain JSON values for its printed pages: texts, labels, and each drawing as a picture."""

from __future__ import annotations

from typing import TypeAlias

from ringwise.faces.reports.futures_courses import Sheet, one_in, sheet_of, year_words
from ringwise.faces.reports.futures_gallery import below_words, gallery_of, gallery_words
from ringwise.faces.reports.futures_markup import clean
from ringwise.faces.reports.futures_plots import dot_plot, hours_plot, shown
from ringwise.faces.reports.futures_print import small_picture, standalone, tree_picture
from ringwise.faces.reports.futures_sections import again_words, alike, basis_words, pair_words, unknown_words
from ringwise.faces.reports.futures_short import loss_rows
from ringwise.faces.reports.futures_weighed import MOST_WAITS, band_words
from ringwise.futures.view import Cell, CourseText, FuturesView, FutureTree, Outcome, Paired
from ringwise.kit import show
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _

Json: TypeAlias = "str | float | bool | list[Json] | dict[str, Json] | None"
FIRST_DRAWN_YEARS, MOST_DRAWN, FIRST_MEASURES = 5, 4, 2  # on the first page


def labels() -> dict[str, Json]:
    """The template's own words, in the user's language."""
    return {
        "now": _("now"),
        "wait": _("What is worth waiting for"),
        "until": _("Waiting is sensible until:"),
        "cost": _("What waiting costs:"),
        "change": _("What would change the answer"),
        "lost": _("Tree lost"),
        "hours": _("Hours of work"),
        "steps": _("Steps"),
        "outcomes": _("What it leads to"),
        "dots": _(
            "Each dot is one of equally likely futures; the bar holds 8 in 10, the stroke is the middle."
        ),
        "gallery": _("Real futures of this course, one possible future each"),
        "pairs": _("The same future under two courses"),
        "cautions": _("Cautions"),
        "unknown": _("What no simulation can know"),
        "origins": _("Where the numbers come from"),
        "page": _("page"),
        "gone": _("the tree is lost"),
    }


def futures_data(view: FuturesView) -> dict[str, Json]:
    """The turning for its template: no markup, only texts and pictures.

    Parameters
    ----------
    view : FuturesView
        What to show.

    Returns
    -------
    dict
        Of plain values; control characters and marks that turn the writing round are left out.
    """
    sheet = sheet_of(view)
    cleaned = _cleaned(
        {
            "labels": labels(),
            "lang": current_reading().language,
            "title": f"{view.tree}: {view.question}",
            "head": _head(sheet),
            "courses": [_course(sheet, each) for each in view.courses],
            "years": [year_words(each) for each in view.horizons if each > 0],
            "front-years": _front_years(view),
            "verdict": list(_verdict(view)),
            "gallery-words": gallery_words(view),
            "rows": [*_aims_rows(view), *_rows(sheet)],
            "end": year_words(view.horizons[-1]),
            "wait": _waiting(view),
            "change": _changing(view),
            "pairs": [pair_words(view, each) for each in _last_pairs(view)],
            "cautions": [*view.cautions, *view.notes],
            "unknown": list(unknown_words()),
            "origins": [
                {
                    "label": each.label,
                    "value": each.value,
                    "basis": basis_words(each.basis),
                    "source": each.source,
                }
                for each in view.origins
            ],
            "again": again_words(view),
        }
    )
    if not isinstance(cleaned, dict):
        raise AssertionError("data are a dictionary")
    return cleaned


def _front_years(view: FuturesView) -> list[Json]:
    """Which of the later years the first page draws: all but the first few, for want of room."""
    later = [each for each in view.horizons if each > 0]
    return [
        number for number, each in enumerate(later) if each >= FIRST_DRAWN_YEARS or len(later) <= MOST_DRAWN
    ]


def _verdict(view: FuturesView) -> tuple[str, ...]:
    """The answer by the grower's aims, where aims are known."""
    weighed = view.weighed
    if weighed is None:
        return ()
    by = _("Weighed by {title}; {time}.").format(title=weighed.title, time=weighed.time_words)
    return tuple(each for each in (*(weighed.parts or (weighed.verdict,)), by, weighed.sunk) if each)


def _waiting(view: FuturesView) -> list[Json]:
    """What is worth waiting for: the signs, then what waiting and finding out are worth."""
    signs: list[Json] = [
        {"look": each.look_for, "until": each.wait_until, "cost": each.cost_of_waiting} for each in view.signs
    ]
    weighed = view.weighed
    if weighed is None:
        return signs
    told: list[Json] = [
        {"look": each, "until": "", "cost": ""} for each in (*weighed.waits[:MOST_WAITS], weighed.knowing)
    ]
    return [*signs, *told]


def _changing(view: FuturesView) -> list[Json]:
    """What would change the answer: where it turns round, else what drives the difference."""
    if view.weighed is not None and view.weighed.turns:
        return [{"label": "", "text": each, "basis": ""} for each in view.weighed.turns]
    return [
        {"label": each.label, "text": each.direction, "basis": basis_words(each.basis)}
        for each in sorted(view.drivers, key=lambda each: -each.share_frac)
    ]


def _cleaned(value: Json) -> Json:
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {key: _cleaned(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_cleaned(each) for each in value]
    return value


def _head(sheet: Sheet) -> Json:
    view = sheet.view
    return {
        "tree": view.tree,
        "species": view.species,
        "question": view.question,
        "facts": [[label, text] for label, text in view.facts],
        "made": view.made_on,
        "invented": _("Invented demonstration data: no such tree stands anywhere.") if view.invented else "",
        "front": _("from {front}").format(front=view.front),
        "picture": _picture(sheet, view.cell(view.courses[0].key, view.horizons[0]), _now(view)),
    }


def _now(view: FuturesView) -> FutureTree | None:
    trees = [tree for cell in view.cells if cell.after_years == 0 for tree in cell.trees]
    return trees[0] if trees else None


def _picture(sheet: Sheet, cell: Cell, tree: FutureTree | None) -> str:
    if tree is None:
        return ""
    scale = sheet.scale_at(cell.after_years)
    return tree_picture(tree.silhouette, sheet.pots_under(cell, tree)[0], scale, scale.half_mm)


def _second_picture(sheet: Sheet, cell: Cell, tree: FutureTree | None) -> str:
    """The other tree of the same future, at the same scale."""
    if tree is None or tree.second is None:
        return ""
    scale = sheet.scale_at(cell.after_years)
    return tree_picture(tree.second, sheet.pots_under(cell, tree)[1], scale, scale.half_mm)


def _course(sheet: Sheet, course: CourseText) -> Json:
    view = sheet.view
    cells = [view.cell(course.key, each) for each in view.horizons if each > 0]
    last = sheet.scale_at(view.horizons[-1])
    return {
        "key": course.key,
        "title": course.title,
        "words": course.words,
        "steps": list(course.steps),
        "notes": _aims_notes(view, course),
        "trees": [_drawn(sheet, cell) for cell in cells],
        "measures": _measures(sheet, cells),
        "gallery": [
            {
                "picture": small_picture(each.silhouette, last, last.half_mm),
                "caption": below_words(each),
            }
            for each in gallery_of(view, course)
        ],
        "losses": [{"when": year_words(c.after_years), "words": one_in(c.lost, c.futures)} for c in cells],
        "hours": _hours(view, course),
    }


def _aims_notes(view: FuturesView, course: CourseText) -> list[Json]:
    """When the aims are met under a course, as label and text."""
    met = [each for each in view.weighed.courses if each.course == course.key] if view.weighed else []
    out: list[Json] = []
    for each in met:
        years = "; ".join(f"{year_words(year)} {band_words(band)}" for year, band in each.by_year)
        out += [[_("Aims:"), each.until_words], [_("Aims met:"), years]]
    return out


def _drawn(sheet: Sheet, cell: Cell) -> Json:
    tree = cell.trees[0] if cell.trees else None
    return {
        "when": year_words(cell.after_years),
        "picture": _picture(sheet, cell, tree),
        "second": _second_picture(sheet, cell, tree),
        "lost": tree is not None and tree.silhouette is None,
        "caption": tree.caption if tree else "",
    }


def _measures(sheet: Sheet, cells: list[Cell]) -> list[Json]:
    """By measure: its spread in each year in words, and the dots of the last year."""
    out: list[Json] = []
    for measure in sheet.view.measures:
        years = [
            (cell.after_years, each)
            for cell in cells
            for each in cell.outcomes
            if each.measure == measure.key
        ]
        if not years:
            continue
        axis, last = sheet.axes[measure.key], years[-1][1]
        plot = dot_plot(last, measure, axis, (f"p{measure.key}", "")) if axis and last.dots else None
        out.append(
            {
                "label": measure.label,
                "years": [[year_words(year), *_band(sheet, each)] for year, each in years],
                "picture": standalone(plot) if plot else "",
            }
        )
    return out


def _band(sheet: Sheet, outcome: Outcome) -> tuple[str, str]:
    """The median, and where 8 in 10 futures lie; blank where that is the median alone."""
    measure, axis = sheet.view.measure(outcome.measure), sheet.axes[outcome.measure]
    low, median, high = (
        shown(each, measure, axis) for each in (outcome.band.low, outcome.band.median, outcome.band.high)
    )
    if low == median == high:
        return median, ""
    return median, low if low == high else show.spanned(low, high)


def _hours(view: FuturesView, course: CourseText) -> Json:
    found = [each for each in view.hours if each.course == course.key]
    if not found:
        return None
    most_h = max((hour for each in view.hours for hour in each.by_year_h), default=0.0) or 1.0
    total = found[0].total_h
    return {
        "words": _("{median} h in all, 8 in 10 futures between {low} and {high} h").format(
            median=show.number(total.median, 2),
            low=show.number(total.low, 2),
            high=show.number(total.high, 2),
        ),
        "short": _("{n} h").format(n=show.number(total.median, 2)),
        "picture": standalone(hours_plot(found[0].by_year_h, most_h, (f"h{course.key}", ""))),
    }


def _aims_rows(view: FuturesView) -> list[Json]:
    if view.weighed is None:
        return []
    met = {each.course: band_words(each.band) for each in view.weighed.courses}
    return [
        {
            "label": _("Aims met, all years"),
            "values": [met.get(each.key, "") for each in view.courses],
            "front": True,
        }
    ]


def _rows(sheet: Sheet) -> list[Json]:
    """The table under the trees: each measure now and at the end, losses and hours, course by course."""
    view = sheet.view
    last = view.horizons[-1]
    cells = [view.cell(each.key, last) for each in view.courses]
    rows: list[Json] = [
        {"label": measure.label, "values": list[Json](values), "front": _on_front(measure.key, place)}
        for place, measure in enumerate(view.measures)
        if any(values := [_value(sheet, cell, measure.key) for cell in cells])
    ]
    rows += [
        {"label": label, "values": list[Json](values), "front": True} for label, values in loss_rows(cells)
    ]
    hours = {each.course: _("{n} h").format(n=show.number(each.total_h.median, 2)) for each in view.hours}
    rows.append(
        {
            "label": _("Hours of work"),
            "values": list[Json](hours.get(each.key, "") for each in view.courses),
            "front": True,
        }
    )
    return rows


def _on_front(measure: str, place: int) -> bool:
    """The first measures of the question, and both sizes of the second tree that a layer gives."""
    return place < FIRST_MEASURES or measure.startswith("second_")


def _value(sheet: Sheet, cell: Cell, measure: str) -> str:
    for each in cell.outcomes:
        if each.measure == measure:
            median, band = _band(sheet, each)
            return median if median == band else _("{median} ({band})").format(median=median, band=band)
    return ""


def _last_pairs(view: FuturesView) -> list[Paired]:
    year = max((pair.after_years for pair in view.paired), default=0)
    return [pair for pair in view.paired if pair.after_years == year and not alike(pair)]
