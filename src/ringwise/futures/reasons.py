"""What the numbers of a turning stand on: the chain down to the rows, and the origins for the page."""

from __future__ import annotations

import numpy as np

from ringwise.futures.start import Start
from ringwise.futures.view import Origin
from ringwise.growth.biology import Biology
from ringwise.growth.odds import Odds, odds_quantile
from ringwise.growth.wounds import closure_rows
from ringwise.kit import show
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

_GROWTH = ("pipe", "area_exponent", "pot_exponent", "budget_units", "leaf_capacity", "wood_budget")
_ENDS: FloatArray = np.array([0.1, 0.9])


def odds_words(odds: Odds) -> str:
    """Odds as a chance in words with the count of tries they weigh as much as.

    Parameters
    ----------
    odds : Odds
        The odds.

    Returns
    -------
    str
        Words before digits.

    Source
    ------
    own.

    Examples
    --------
    >>> odds_words(Odds(6.5, 2.2))
    'likely, about 7 in 10 (80 %: 6 to 9 in 10), as sure as 9 tries would make it'
    """
    low, high = (max(0, round(10 * float(each))) for each in odds_quantile(odds, _ENDS))
    return _("{chance} (80 %: {low} to {high} in 10), as sure as {n} tries would make it").format(
        chance=show.chance(odds.mean_prob), low=low, high=high, n=round(odds.successes_n + odds.failures_n)
    )


def _row(name: str) -> Parameter:
    return load_table("ringwise.growth", "parameters").get("any", name)


def growth_trace(life: Biology, label: str, value: str) -> Trace:
    """The chain from a simulated number to the rows that growth stands on.

    Parameters
    ----------
    life : Biology
        The taxon.
    label, value : str
        What is explained and its value with unit.

    Returns
    -------
    Trace
        With one link for each row.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> growth_trace(biology(("morus",)), "base", "97 mm").inputs[0].source
    'lehnebach2018'
    """
    rows = tuple(trace_parameter(_row(name)) for name in _GROWTH)
    taxon = tuple(trace_parameter(row) for row in life.rows)
    return Trace(
        label,
        value,
        "futures.simulate",
        _("half-year steps lived many times; median and 80 % of the living"),
        "own",
        "assumed",
        (*rows, *taxon),
    )


def origins_of(start: Start, life: Biology, question: str) -> tuple[Origin, ...]:
    """The main inputs of a turning for the page, with basis and source.

    Parameters
    ----------
    start : Start
        The tree.
    life : Biology
        Its taxon.
    question : str
        "base", "graft" or "other".

    Returns
    -------
    tuple of Origin
        What the answer stands on, the odds of the question first.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> origins_of(start, biology(("morus",)), "base")[0].basis
    'assumed'
    """
    out: list[Origin] = []
    if question == "base":
        text = _("{odds}; class {name}").format(odds=odds_words(life.layer), name=life.layer_class)
        out.append(Origin(_("Chance that a ring roots"), text, life.layer.basis, "practice"))
        out.append(
            Origin(_("Chance to live once separated"), odds_words(life.severed), "assumed", "layer_trials")
        )
    if question in ("base", "graft"):
        text = _("{odds}; class {name}").format(odds=odds_words(life.approach), name=life.graft_class)
        out.append(Origin(_("Chance that a graft takes"), text, life.approach.basis, "practice"))
    if start.graft is not None:
        now = start.graft.take_prob(life.approach.mean_prob)
        n = min(2, len(start.graft.signs))
        text = _("{chance}, after the last {n} checks").format(chance=show.chance(now), n=n)
        out.append(Origin(_("Chance that the present graft takes"), text, "assumed", "own"))
    if start.vigour is None or start.vigour.mostly_prior:
        out.append(Origin(_("Vigour of this tree"), _("mostly prior"), "transferred", "mcpherson2016"))
    else:
        text = _("{x} times its kind, from {n} own girth increments").format(
            x=show.number(start.vigour.factor_ratio), n=start.vigour.increments_n
        )
        out.append(Origin(_("Vigour of this tree"), text, "fitted", "own"))
    for row, label in (
        (_row("pipe"), _("Sapwood for each leaf area")),
        (_row("pot_exponent"), _("Growth against pot volume, exponent")),
        (_row("leaf_capacity"), _("Leaf that a 50 L pot can feed")),
    ):
        out.append(Origin(label, f"{row.value} {row.unit}", row.basis, row.source))
    closure = _("{x} mm for each mm of thickness grown").format(x=show.number(closure_rows().closure_ratio))
    out.append(Origin(_("Closing of wounds"), closure, "transferred", "seifert2010"))
    out.append(Origin(_("Chance to live through root work"), _("see the table of growth"), "assumed", "own"))
    return tuple(out)
