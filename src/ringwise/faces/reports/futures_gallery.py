"""The gallery of the futures page: real futures of each course at stated places among all, redrawn."""

from __future__ import annotations

from ringwise.faces.reports.futures_courses import Sheet, about_words, year_words
from ringwise.faces.reports.futures_drawing import small_figure
from ringwise.faces.reports.futures_markup import Html, tag
from ringwise.futures.view import CourseText, FuturesView, FutureTree
from ringwise.kit.words import _


def below_words(tree: FutureTree) -> str:
    """ "3 in 10", as the label of a small tree."""
    if tree.below_frac != tree.below_frac:
        return ""
    return _("{n} in 10").format(n=round(10 * tree.below_frac))


def gallery_words(view: FuturesView) -> str:
    """What the labels under small trees say."""
    main, last = view.measures[0], year_words(view.horizons[-1])
    return _(
        "Each tree is one possible future that was lived. Below it: how many of all futures end "
        "{less} {when}; those in which the tree is lost count first."
    ).format(less=main.less or _("with less of it"), when=last)


def gallery_of(view: FuturesView, course: CourseText) -> list[FutureTree]:
    """The further futures of a course in its last year, from the least to the most."""
    trees = view.cell(course.key, view.horizons[-1]).trees[1:]
    return sorted(trees, key=lambda each: each.below_frac)


def gallery_section(sheet: Sheet) -> Html | None:
    """Rows of small trees, one row a course."""
    view = sheet.view
    rows = [_row(sheet, number, each) for number, each in enumerate(view.courses) if gallery_of(view, each)]
    if not rows:
        return None
    title = _("Possible futures, {when}").format(when=year_words(view.horizons[-1]))
    note = tag("p", gallery_words(view), class_="note")
    return tag("section", tag("h2", title), note, tag("div", rows, class_="galleries"))


def _row(sheet: Sheet, number: int, course: CourseText) -> Html:
    figures = []
    for place, tree in enumerate(gallery_of(sheet.view, course)):
        words = _("course {course}, number {n}: {about}").format(
            course=course.key, n=tree.future, about=about_words(tree)
        )
        drawn = small_figure(
            tree.silhouette, sheet.scale_at(sheet.view.horizons[-1]), (f"g{number}t{place}", words)
        )
        figures.append(tag("figure", drawn, tag("figcaption", below_words(tree) or words)))
    head = tag("h3", tag("span", course.key, class_="key"), " ", course.title)
    return tag("div", head, tag("div", figures, class_="gallery"))
