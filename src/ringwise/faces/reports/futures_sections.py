"""The sections of the futures page beside the matrix, from the title block to where numbers come from."""

from __future__ import annotations

from ringwise.faces.reports.futures_courses import Sheet, now_figure, one_in, year_words
from ringwise.faces.reports.futures_markup import Html, join, tag
from ringwise.faces.reports.futures_plots import counted_dots, hours_plot, share_bar
from ringwise.futures.view import CourseHours, FuturesView, Paired
from ringwise.kit import show
from ringwise.kit.words import _, counted

MOST_DOTS = 100  # beyond this many futures a dot stands for several
ALIKE_ONE_IN = 20  # courses that differ in fewer futures than one of so many are not told apart
WEAK_FRAC = 0.1  # a strongest driver below this moves little


def title_block(sheet: Sheet) -> Html:
    """The head of the sheet: the question, the facts as in the corner of a drawing, the tree as it stands."""
    view = sheet.view
    cells = [(_("Species"), view.species), *view.facts, (_("Drawn on"), view.made_on)]
    invented = _("Invented demonstration data: no such tree stands anywhere.") if view.invented else None
    words = tag(
        "div",
        tag("p", _("A turning: one tree, several courses"), class_="label"),
        tag("h1", view.tree),
        tag("p", view.question, class_="question"),
        tag("dl", [tag("div", tag("dt", label), tag("dd", text)) for label, text in cells], class_="block"),
        tag("p", invented, class_="invented") if invented else None,
    )
    return tag("header", words, now_figure(sheet), class_="title")


def pair_words(view: FuturesView, pair: Paired) -> str:
    """ "B thicker than A in 34 of 50 futures", and how many are equal; the larger count comes first."""
    measure = view.measure(pair.measure)
    if pair.futures == 0:
        return _("{first} and {second}, {measure}: no future in which the tree lives under both").format(
            first=pair.first, second=pair.second, measure=measure.label
        )
    first, second, count = pair.first, pair.second, pair.first_more
    if pair.second_more > pair.first_more:
        first, second, count = pair.second, pair.first, pair.second_more
    text = _("{first} {more} than {second} in {n} of {all} futures").format(
        first=first, more=measure.more, second=second, n=count, all=pair.futures
    )
    equal = pair.futures - pair.first_more - pair.second_more
    return text if equal == 0 else _("{text}, equal in {equal}").format(text=text, equal=equal)


def _dots_of(pair: Paired, each: int) -> Html | None:
    """The counted dots, one for every `each` futures."""
    if pair.futures == 0:
        return None
    high, low = max(pair.first_more, pair.second_more), min(pair.first_more, pair.second_more)
    total = round(pair.futures / each)
    more, less = round(high / each), round(low / each)
    return counted_dots(more, max(0, total - more - less), less)


def alike(pair: Paired) -> bool:
    """Whether neither course has more in as much as one future of twenty."""
    return max(pair.first_more, pair.second_more) * ALIKE_ONE_IN < pair.futures


def _rows(view: FuturesView, pairs: list[Paired], each: int) -> Html:
    """The comparisons of one year that differ, by pair of courses, and how many are left out as alike."""
    differing = [pair for pair in pairs if not alike(pair)]
    groups = [
        tag("div", tag("h4", _("{a} and {b}").format(a=first, b=second)), _pair_list(view, own, each))
        for first, second in dict.fromkeys((pair.first, pair.second) for pair in differing)
        for own in ([pair for pair in differing if (pair.first, pair.second) == (first, second)],)
    ]
    same = len(pairs) - len(differing)
    left_out = counted(
        "{n} comparison was alike: neither course had more in at least 1 in 20 futures.",
        "{n} comparisons were alike: neither course had more in at least 1 in 20 futures.",
        same,
    )
    blocks = tag("div", groups, class_="columns") if groups else None
    return join(blocks, tag("p", left_out, class_="note") if same else None)


def _pair_list(view: FuturesView, pairs: list[Paired], each: int) -> Html:
    """The comparisons of two courses, one line and one row of dots each."""
    return tag("ul", [tag("li", tag("p", pair_words(view, pair)), _dots_of(pair, each)) for pair in pairs])


def pairs_section(view: FuturesView) -> Html | None:
    """Each pair of courses through the same weather and luck; the last year open, earlier ones folded."""
    if not view.paired:
        return None
    most = max(pair.futures for pair in view.paired)
    each = max(1, round(most / 50)) if most > MOST_DOTS else 1
    years = sorted({pair.after_years for pair in view.paired})
    blocks = []
    for after_years in [years[-1], *years[:-1]]:
        rows = _rows(view, [pair for pair in view.paired if pair.after_years == after_years], each)
        head = tag("h3", year_words(after_years))
        if after_years == years[-1]:
            blocks.append(tag("div", head, rows))
        else:
            blocks.append(tag("details", tag("summary", head), rows))
    note = _(
        "Both courses are lived through the same weather and the same luck, future by future. {dots}: "
        "filled where the sentence holds, a dash where both are equal, open where it does not."
    ).format(dots=counted("Each dot is {n} future", "Each dot is {n} futures", each))
    return tag(
        "section",
        tag("h2", _("The same future under two courses")),
        tag("p", note, class_="note"),
        tag("div", blocks, class_="pairs"),
    )


def hours_section(view: FuturesView) -> Html | None:
    """Hours of work by course and by year."""
    if not view.hours:
        return None
    most_h = max((hour for each in view.hours for hour in each.by_year_h), default=0.0) or 1.0
    blocks = []
    for number, each in enumerate(view.hours):
        total = _("{median} h in all, 8 in 10 futures between {low} and {high} h").format(
            median=show.number(each.total_h.median, 2),
            low=show.number(each.total_h.low, 2),
            high=show.number(each.total_h.high, 2),
        )
        title = _("Hours a year under course {key}: {total}").format(key=each.course, total=total)
        head = tag("h3", tag("span", each.course, class_="key"), " ", view.course(each.course).title)
        plot = hours_plot(each.by_year_h, most_h, (f"h{number}", title))
        ends = tag("p", _("Work ends when the tree is lost."), class_="note") if _loses(view, each) else None
        blocks.append(tag("div", head, tag("p", total), ends, plot))
    return tag(
        "section",
        tag("h2", _("Hours of work")),
        tag("p", _("Mean of all futures, year by year."), class_="note"),
        tag("div", blocks, class_="columns"),
    )


def _loses(view: FuturesView, hours: CourseHours) -> bool:
    """Whether the tree is lost in any future of a course."""
    return any(cell.lost > 0 for cell in view.cells if cell.course == hours.course)


def losses_section(view: FuturesView) -> Html:
    """The chance of losing the tree, by course and year, in words and counts."""
    years = [each for each in view.horizons if each > 0]
    blocks = []
    for course in view.courses:
        lines = []
        for after_years in years:
            cell = view.cell(course.key, after_years)
            lines.append(
                tag("div", tag("dt", year_words(after_years)), tag("dd", one_in(cell.lost, cell.futures)))
            )
        head = tag("h3", tag("span", course.key, class_="key"), " ", course.title)
        blocks.append(tag("div", head, tag("dl", lines, class_="lines")))
    return tag("section", tag("h2", _("Chance of losing the tree")), tag("div", blocks, class_="columns"))


def drivers_section(view: FuturesView) -> Html | None:
    """Which inputs move the answer, the strongest first, with how well each is known."""
    if not view.drivers:
        return None
    items = [
        tag(
            "li",
            tag("p", tag("b", each.label), " ", basis_mark(each.basis)),
            tag("p", each.direction),
            tag(
                "p",
                share_bar(each.share_frac),
                " ",
                tag("small", _("{n} % of the spread").format(n=round(100 * each.share_frac))),
            ),
        )
        for each in sorted(view.drivers, key=lambda each: -each.share_frac)
    ]
    strongest = max(each.share_frac for each in view.drivers)
    weak = _("Nothing known moves this much: most of the spread is luck.") if strongest < WEAK_FRAC else None
    note = _("The shares belong to different measures and need not add up to 100 %.")
    return tag(
        "section",
        tag("h2", _("What moves the numbers most")),
        tag("p", weak) if weak else None,
        tag("p", note, class_="note"),
        tag("ol", items, class_="drivers"),
    )


def basis_words(basis: str) -> str:
    """How well a number is known, as a word."""
    words = {
        "measured": _("measured"),
        "fitted": _("fitted"),
        "transferred": _("taken from a like species"),
        "practice": _("practice"),
        "assumed": _("assumed"),
    }
    return words.get(basis, basis)


def basis_mark(basis: str) -> Html:
    """How well a number is known, as a word in a frame."""
    return tag("span", basis_words(basis), class_="basis")


def origins_section(view: FuturesView) -> Html | None:
    """Where each number comes from."""
    if not view.origins:
        return None
    items = [
        tag(
            "li",
            tag("b", each.label),
            " ",
            tag("span", each.value),
            " ",
            basis_mark(each.basis),
            " ",
            tag("small", each.source),
        )
        for each in view.origins
    ]
    return tag("section", tag("h2", _("Where the numbers come from")), tag("ul", items, class_="origins"))


def cautions_section(sheet: Sheet) -> Html:
    """What the page cannot say, and how to get it again."""
    view = sheet.view
    items = [tag("li", each) for each in (*view.cautions, *view.notes)]
    return tag(
        "section",
        tag("h2", _("Cautions")),
        tag("ul", items) if items else None,
        tag("h3", _("What no simulation can know")),
        tag("ul", [tag("li", each) for each in unknown_words()]),
        tag("p", again_words(view), class_="again"),
        class_="cautions",
    )


def unknown_words() -> tuple[str, ...]:
    """What the page cannot say, whatever was computed."""
    return (
        _("Which future is wanted: that is the grower's own matter. No course is ranked."),
        _("Which of these futures yours will be: trees are simulated, not foretold. Look at the tree first."),
        _("What you will do beyond the steps of a course: routine care is assumed."),
        _("Pests, storms, a summer without water: losses count root work, layers, grafts and weak years."),
        _(
            "Which bud breaks: trust trunk and main branches more than the outline, and the first ten years "
            "more than the next."
        ),
    )


def again_words(view: FuturesView) -> str:
    """How to get the page again."""
    return _(
        "Drawn on {day} from seed {seed} by engine {engine}: the same inputs give the same page."
    ).format(day=view.made_on, seed=view.seed, engine=view.engine)
