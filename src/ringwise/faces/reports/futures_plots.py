"""Small charts of the futures page: quantile dot plots, hours by year, counted dots, bars of influence."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.faces.reports.futures_markup import Html, join, short, tag
from ringwise.futures.measured import measured
from ringwise.futures.view import FuturesView, MeasureText, Outcome
from ringwise.kit import show
from ringwise.kit.words import _

WIDTH_PX = 300
PLOT_PX = 62.0  # room for the tallest stack of dots
LEFT_PX = 8.0
LABEL_PX = 24.0
FEW_COUNTS = 14  # counts that span no more are drawn count by count, each with its own block of dots
LARGEST_DOT_PX, SMALLEST_DOT_PX = 3.4, 2.4  # radii; smaller ones are not seen as dots on a phone
SIDE_COLUMNS = 2  # so many dots to either side a stack gives away what would rise out of the plot


def shown(value: float, measure: MeasureText, axis: Axis | None = None) -> str:
    """A value of a measure with its unit, as people read it; along an axis all lengths have one unit."""
    return measured(measure, value, None if axis is None else max(abs(axis.low), abs(axis.high)))


@dataclass(frozen=True)
class Axis:
    """The common axis of a measure over all courses and years, and the dot that fits its fullest stack."""

    low: float
    high: float
    dot_px: float
    counts: bool = False  # few whole numbers: each has its own block

    @property
    def columns(self) -> int:
        """Dots side by side in one place."""
        if not self.counts:
            return 1
        room_px = 0.8 * (WIDTH_PX - 2 * LEFT_PX) / (self.high - self.low)
        return max(1, int(room_px / (2 * self.dot_px)))

    @property
    def rows(self) -> int:
        """Dots above one another that the plot has room for."""
        return int(PLOT_PX / (2 * self.dot_px))

    def at_px(self, value: float) -> float:
        """Where a value lies across the plot."""
        frac = (value - self.low) / (self.high - self.low)
        return LEFT_PX + frac * (WIDTH_PX - 2 * LEFT_PX)


def axis_of(view: FuturesView, measure: str) -> Axis | None:
    """The axis of a measure; None when no cell has dots for it."""
    outcomes = [each for cell in view.cells for each in cell.outcomes if each.measure == measure]
    values = [dot for each in outcomes for dot in each.dots] + [each.band.median for each in outcomes]
    if not values:
        return None
    counts = view.measure(measure).unit == "count" and max(values) - min(values) <= FEW_COUNTS
    low, high = (min(values) - 0.5, max(values) + 0.5) if counts else _round_ends(min(values), max(values))
    for dot_px in np.arange(LARGEST_DOT_PX, SMALLEST_DOT_PX, -0.1):
        axis = Axis(low, high, float(dot_px), counts)
        if all(_tallest(each, axis) <= axis.rows for each in outcomes):
            return axis
    return Axis(low, high, SMALLEST_DOT_PX, counts)


def _round_ends(low: float, high: float) -> tuple[float, float]:
    span = max(high - low, abs(high) * 0.1, 1e-9)
    step = 10.0 ** math.floor(math.log10(span))
    step = next(step * f for f in (0.1, 0.2, 0.5, 1.0) if span / (step * f) <= 12)
    return math.floor(low / step) * step, math.ceil(high / step + 1e-9) * step


def _stacks(outcome: Outcome, axis: Axis) -> dict[float, int]:
    """How many dots stand on each place across the plot (in px).

    A stack that would rise out of the plot gives dots to its neighbours, two dots to either side at most.
    """
    step_px = 2 * axis.dot_px
    columns: dict[int, int] = {}
    if axis.counts:
        counted: dict[float, int] = {}
        for dot in outcome.dots:
            counted[axis.at_px(dot)] = counted.get(axis.at_px(dot), 0) + 1
        return counted
    last = round((WIDTH_PX - 2 * LEFT_PX) / step_px)
    for dot in sorted(outcome.dots):
        own = round((axis.at_px(dot) - LEFT_PX) / step_px)
        side = range(max(own - SIDE_COLUMNS, 0), min(own + SIDE_COLUMNS, last) + 1)
        near = sorted(side, key=lambda column: abs(column - own))
        room = (column for column in near if columns.get(column, 0) < axis.rows)
        column = next(room, own)
        columns[column] = columns.get(column, 0) + 1
    return {LEFT_PX + column * step_px: count for column, count in columns.items()}


def _tallest(outcome: Outcome, axis: Axis) -> int:
    """Dots above one another in the fullest place."""
    return math.ceil(max(_stacks(outcome, axis).values(), default=0) / axis.columns)


def _dots(outcome: Outcome, axis: Axis, base_px: float) -> str:
    """Path data of all dots: zero-length strokes with round ends, stacked from the line upwards."""
    wide, step_px = axis.columns, 2 * axis.dot_px
    rise_px = min(step_px, PLOT_PX / max(_tallest(outcome, axis), 1))
    out = []
    for place, count in sorted(_stacks(outcome, axis).items()):
        across = min(wide, count)
        for number in range(count):
            x = place + (number % wide - (across - 1) / 2) * step_px
            y = base_px - axis.dot_px - 1 - (number // wide) * rise_px
            out.append(f"M{short(x)} {short(y)}h0")
    return "".join(out)


def dot_plot(outcome: Outcome, measure: MeasureText, axis: Axis, names: tuple[str, str]) -> Html:
    """A quantile dot plot with the band and the median below the line; `names` are its id and title."""
    key, title = names
    base = PLOT_PX + 4.0
    dots = _dots(outcome, axis, base)
    inset = 0.5 if axis.counts else 0.0
    left, right = axis.low + inset, axis.high - inset
    left_px, right_px = axis.at_px(left), axis.at_px(right)
    band = outcome.band
    low, mid, high = (axis.at_px(value) for value in (band.low, band.median, band.high))
    marks = f"M{short(low)} {short(base + 5)}H{short(high)}"
    return tag(
        "svg",
        tag("title", title, id=f"{key}-t"),
        tag("path", class_="thin", d=f"M{short(LEFT_PX)} {short(base)}H{short(WIDTH_PX - LEFT_PX)}"),
        tag("path", class_="dots", d=dots, stroke_width=f"{2 * axis.dot_px - 0.5:.1f}"),
        tag("path", class_="band", d=marks),
        tag("path", class_="median", d=f"M{short(mid)} {short(base - 3)}v12"),
        _axis_label(shown(left, measure, axis), left_px, base, "start" if not axis.counts else "middle"),
        _axis_label(shown(right, measure, axis), right_px, base, "end" if not axis.counts else "middle"),
        role="img",
        aria_labelledby=f"{key}-t",
        class_="plot",
        viewBox=f"0 0 {WIDTH_PX} {short(base + LABEL_PX + 6)}",
        width=WIDTH_PX,
        height=base + LABEL_PX + 6,
    )


def _axis_label(text: str, x_px: float, base_px: float, anchor: str) -> Html:
    return tag("text", text, x=x_px, y=base_px + LABEL_PX, class_="figure", text_anchor=anchor)


def hours_plot(by_year_h: tuple[float, ...], most_h: float, names: tuple[str, str]) -> Html:
    """Hours of each year as thin columns on a common scale; the fullest year is labelled."""
    key, title = names
    tall, base = 70.0, 94.0
    step = (WIDTH_PX - 2 * LEFT_PX) / max(len(by_year_h), 1)
    columns = "".join(
        f"M{short(LEFT_PX + (number + 0.5) * step)} {short(base)}v{short(-tall * hours / most_h)}"
        for number, hours in enumerate(by_year_h)
        if hours > 0
    )
    peak = int(np.argmax(by_year_h)) if by_year_h else 0
    label: Html | None = None
    if by_year_h and by_year_h[peak] > 0:
        x = min(max(LEFT_PX + (peak + 0.5) * step, 24.0), WIDTH_PX - 24.0)
        text = _("{n} h").format(n=show.number(by_year_h[peak], 2))
        top = base - tall * by_year_h[peak] / most_h
        label = tag("text", text, x=x, y=top - 6, class_="figure", text_anchor="middle")
    return tag(
        "svg",
        tag("title", title, id=f"{key}-t"),
        tag("path", class_="thin", d=f"M{short(LEFT_PX)} {short(base)}H{short(WIDTH_PX - LEFT_PX)}"),
        tag("path", class_="column", d=columns, stroke_width=f"{min(9.0, step * 0.6):.1f}"),
        label,
        tag("text", _("year 1"), x=LEFT_PX, y=base + 20, class_="figure"),
        tag(
            "text",
            _("year {n}").format(n=len(by_year_h)),
            x=WIDTH_PX - LEFT_PX,
            y=base + 20,
            class_="figure",
            text_anchor="end",
        ),
        role="img",
        aria_labelledby=f"{key}-t",
        class_="plot",
        viewBox=f"0 0 {WIDTH_PX} {short(base + 26)}",
        width=WIDTH_PX,
        height=base + 26,
    )


def counted_dots(more: int, equal: int, less: int) -> Html:
    """Futures as rows of 25 dots: filled for the first course, a dash where equal, open for the second."""
    step, columns = 11.6, 25
    filled, ties, open_ = [], [], []
    for number in range(more + equal + less):
        x, y = 6.0 + (number % columns) * step, 7.0 + (number // columns) * 12.0
        if number < more:
            filled.append(f"M{short(x)} {short(y)}h0")
        elif number < more + equal:
            ties.append(f"M{short(x - 2.5)} {short(y)}h5")
        else:
            open_.append(f"M{short(x - 3.4)} {short(y)}a3.4 3.4 0 1 0 6.8 0a3.4 3.4 0 1 0-6.8 0")
    rows = math.ceil((more + equal + less) / columns)
    height = 14.0 + 12.0 * max(rows - 1, 0)
    return tag(
        "svg",
        tag("path", class_="dots", d="".join(filled), stroke_width="7.6") if filled else None,
        tag("path", class_="thin", d="".join(ties + open_)) if ties or open_ else None,
        aria_hidden="true",
        class_="plot",
        viewBox=f"0 0 {WIDTH_PX} {short(height)}",
        width=WIDTH_PX,
        height=height,
    )


def share_bar(share_frac: float) -> Html:
    """A thin bar for an input's share of the spread; the words beside it say the same."""
    long_px = max(2.0, min(1.0, share_frac) * 160.0)
    return tag(
        "svg",
        join(tag("path", class_="thin", d="M0 6h160"), tag("path", class_="bar", d=f"M0 6h{short(long_px)}")),
        aria_hidden="true",
        class_="share",
        viewBox="0 0 160 12",
        width=160,
        height=12,
    )
