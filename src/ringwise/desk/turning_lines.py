"""A turning as lines for the terminal: words first, bands, counts, no ranking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.weighed_lines import verdict_lines, weighed_lines
from ringwise.kit import show
from ringwise.kit.words import _, counted, from_data, inside_sentence

if TYPE_CHECKING:
    from ringwise.futures.view import CourseText, FuturesView, Outcome
    from ringwise.records.facts import TreeFacts


def _told(view: FuturesView, outcome: Outcome) -> str:
    from ringwise.futures.measured import measured, measured_span

    measure, band = view.measure(outcome.measure), outcome.band
    label, middle = inside_sentence(measure.label), measured(measure, band.median)
    span = measured_span(measure, band.low, band.high)
    return f"{label} {middle}" if span == middle else f"{label} {middle} ({span})"


def _course_lines(view: FuturesView, course: CourseText) -> list[str]:
    lines = ["", f"{course.key}  {course.title}. {course.words}"]
    for year in view.horizons:
        when = _("now") if year == 0 else counted("after {n} year", "after {n} years", year)
        told = "; ".join(_told(view, outcome) for outcome in view.cell(course.key, year).outcomes)
        lines.append(f"   {when}: {told}")
    last = view.cell(course.key, view.horizons[-1])
    hours = next(each for each in view.hours if each.course == course.key).total_h
    chance = show.chance(last.lost / last.futures)
    told = _("   the tree lost: {chance} ({lost} of {n} futures)")
    if last.second:
        told = _("   the separated top lost: {chance} ({lost} of {n} futures), the stump as well in {both}")
    lines.append(told.format(chance=chance, lost=last.lost, n=last.futures, both=last.none_left))
    lines.append(
        _("   work: {middle} h ({low} to {high})").format(
            middle=show.number(hours.median, 2),
            low=show.number(hours.low, 2),
            high=show.number(hours.high, 2),
        )
    )
    return lines


def _paired_lines(view: FuturesView) -> list[str]:
    last = view.horizons[-1]
    lines = ["", _("Future by future, with shared luck, after {n} years").format(n=last)]
    for pair in view.paired:
        if pair.after_years == last:
            lines.append(
                _("   {a} {more} than {b} in {n} of {all} futures, the other way round in {m}").format(
                    a=pair.first,
                    more=view.measure(pair.measure).more,
                    b=pair.second,
                    n=pair.first_more,
                    m=pair.second_more,
                    all=pair.futures,
                )
            )
    return lines


def turning_lines(facts: TreeFacts, view: FuturesView) -> list[str]:
    """A turning as lines.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    view : FuturesView
        What was computed, without drawings.

    Returns
    -------
    list of str
        For the terminal.
    """
    futures = view.cells[0].futures
    lines = [
        f"{facts.tree.id} {facts.tree.name}: {view.question}",
        _("{n} futures a course, {years} years; bands are 10 to 90 % of the living; seed {seed}").format(
            n=futures, years=view.horizons[-1], seed=view.seed
        ),
    ]
    lines += verdict_lines(view.weighed)
    for sign in view.signs:
        lines += ["", _("What settles it: {sign}").format(sign=sign.look_for)]
        lines.append(_("   worth waiting until: {until}").format(until=sign.wait_until))
        if sign.cost_of_waiting:
            lines.append(_("   what waiting costs: {cost}").format(cost=sign.cost_of_waiting))
    for course in view.courses:
        lines += _course_lines(view, course)
    lines += weighed_lines(view.weighed)
    lines += _paired_lines(view)
    if view.drivers:
        lines += ["", _("What moves the answer (share of the difference that goes with it)")]
        lines += [
            f"   {d.label} ({from_data(d.basis)}): {show.percent(d.share_frac)}. {d.direction}"
            for d in view.drivers
        ]
    lines += ["", *view.cautions]
    return lines
