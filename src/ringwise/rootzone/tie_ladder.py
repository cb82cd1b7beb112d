"""What to try before thick aluminium: more legs, a bar under the ball, shelter, copper, in this order."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ringwise.kit.show import number, wire_span
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.words import _
from ringwise.rootzone.tie_down import MM_PER_M, TieDown, gust_for_n, tie_down
from ringwise.rootzone.wire import WireChoice, thinnest, working_n

MORE = 2  # the first step doubles the legs in tension


@dataclass(frozen=True)
class Rung:
    """One step of the ladder: what it is, what it does to the pull, and the wire that then holds."""

    key: str
    words: str
    tension_n: float
    wire: WireChoice | None
    enough: bool


def ladder_from_mm() -> Parameter:
    """The gauge above which the ladder comes before thicker aluminium.

    Returns
    -------
    Parameter
        Row of `data/potting.csv`, in mm.

    Source
    ------
    practice: thick wire is hard to twist and bites.

    Examples
    --------
    >>> ladder_from_mm().number
    3.0
    """
    return load_table("ringwise.rootzone", "potting").get("tie", "ladder_above_mm")


def needs_ladder(held: TieDown) -> bool:
    """Whether aluminium up to the ladder's gauge does not hold.

    Parameters
    ----------
    held : TieDown
        The pull on a leg.

    Returns
    -------
    bool
        True above 3 mm, or where no aluminium holds.

    Source
    ------
    practice: above 3 mm the ladder comes first.

    Examples
    --------
    >>> from ringwise.rootzone.tie_down import TieCase
    >>> needs_ladder(tie_down(TieCase(0.35, 18.0, 550.0, 14_000.0, 280.0, (300.0, 300.0))))
    True
    """
    return held.aluminium is None or held.aluminium.diameter_mm > ladder_from_mm().number


def ladder(held: TieDown) -> tuple[Rung, ...]:
    """The steps before thick aluminium, each with what it gives here; empty where none is needed.

    Parameters
    ----------
    held : TieDown
        The pull on a leg.

    Returns
    -------
    tuple of Rung
        More legs, bar, shelter, copper, in this order.

    Source
    ------
    practice: the order. own: what each gives, from the moments.

    Examples
    --------
    >>> from ringwise.rootzone.tie_down import TieCase
    >>> steps = ladder(tie_down(TieCase(0.35, 18.0, 550.0, 14_000.0, 280.0, (300.0, 300.0))))
    >>> [(step.key, step.wire.diameter_mm, step.enough) for step in steps]
    [('legs', 2.5, True), ('bar', 4.0, False), ('shelter', 3.0, True), ('copper', 2.0, True)]
    """
    if not needs_ladder(held):
        return ()
    return (_legs(held), _bar(held), _shelter(held), _copper(held))


def recommended(held: TieDown) -> WireChoice | None:
    """The wire to cut as the case stands: aluminium where it holds at all, else copper.

    Parameters
    ----------
    held : TieDown
        The pull on a leg.

    Returns
    -------
    WireChoice or None
        None where neither holds.

    Source
    ------
    own: the ladder is shown beside it where it is due.

    Examples
    --------
    >>> from ringwise.rootzone.tie_down import TieCase
    >>> recommended(tie_down(TieCase(0.0825, 15.0, 280.0, 3000.0, 160.0, (160.0, 160.0)))).words
    'aluminium 1 mm'
    """
    return held.aluminium or held.copper


def _fits(wire: WireChoice | None) -> bool:
    return wire is not None and wire.diameter_mm <= ladder_from_mm().number


def _gauge(wire: WireChoice | None) -> str:
    return _("no aluminium holds") if wire is None else wire.words


def _legs(held: TieDown) -> Rung:
    case = replace(held.case, arms_mm=held.case.arms_mm * MORE)
    pull_n = tie_down(case).tension_n
    wire = thinnest("aluminium", pull_n)
    words = _("more legs: {n} in tension pull {pull} N each; {wire}").format(
        n=len(case.arms_mm), pull=number(pull_n, 3), wire=_gauge(wire)
    )
    return Rung("legs", words, pull_n, wire, _fits(wire))


def _bar(held: TieDown) -> Rung:
    """A bar carries the pull to the windward edge of the ball, so that no arm is shorter than its width."""
    arms_mm = tuple(max(arm, held.case.ball_width_mm) for arm in held.case.arms_mm)
    pull_n = tie_down(replace(held.case, arms_mm=arms_mm)).tension_n
    wire = thinnest("aluminium", pull_n)
    if pull_n < held.tension_n:
        words = _("a bar under the ball lets each leg pull at its windward edge: {pull} N; {wire}").format(
            pull=number(pull_n, 3), wire=_gauge(wire)
        )
    else:
        words = _("a bar under the ball: spares the roots; the pull stays, the legs reach far enough already")
    return Rung("bar", words, pull_n, wire, _fits(wire))


def _shelter(held: TieDown) -> Rung:
    gauge_mm = ladder_from_mm().number
    carries_n = working_n("aluminium", gauge_mm)
    arms_m = math.fsum(held.case.arms_mm) / MM_PER_M
    moment_nm = held.held_nm + carries_n / held.safety_factor * arms_m
    gust = gust_for_n(moment_nm / (held.case.grip_mm / MM_PER_M), held.case.area_m2, held.drag_factor)
    words = _("wind shelter: {gauge} of aluminium hold up to gusts of {gust} m/s").format(
        gauge=wire_span(gauge_mm, gauge_mm), gust=number(math.floor(gust * 10) / 10, 3)
    )
    return Rung("shelter", words, carries_n, thinnest("aluminium", carries_n), True)


def _copper(held: TieDown) -> Rung:
    wire = held.copper
    if wire is None:
        words = _("copper: no gauge in the table holds; shelter the tree or lash the pot to the bench")
    else:
        words = _("copper: {gauge}, margin {margin}").format(
            gauge=wire_span(wire.diameter_mm, wire.diameter_mm), margin=number(wire.margin_factor or 0.0, 2)
        )
    return Rung("copper", words, held.tension_n, wire, wire is not None)
