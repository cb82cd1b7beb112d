"""What the numbers of a turning stand on: the chain down to the rows, and the origins for the page."""

from __future__ import annotations

import math
import re

from ringwise.futures.chance_words import range_in_tenths
from ringwise.futures.start import Start
from ringwise.futures.view import Origin
from ringwise.growth.biology import Biology
from ringwise.growth.odds import Odds
from ringwise.growth.tries import Learned, life_after
from ringwise.growth.wounds import closure_rows
from ringwise.kit import show
from ringwise.kit.sources import source
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _, counted

_GROWTH = ("pipe", "area_exponent", "pot_exponent", "budget_units", "leaf_capacity", "wood_budget")
_CM2_PER_M2 = 1e4  # exact
_WORK_ENDS = re.compile(r"; | \(|: |, and ")  # what follows is how it was read, or the particulars
_MANY_AUTHORS = re.compile(r"^([^\s,]+), [^0-9]*?( (?:19|20)\d\d)")


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
    low, high = range_in_tenths(odds)
    tries = counted("{n} try", "{n} tries", round(odds.successes_n + odds.failures_n))
    return _("{chance} (80 %: {low} to {high} in 10), as sure as {tries} would make it").format(
        chance=show.chance(odds.mean_prob), low=low, high=high, tries=tries
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
    life = life_after(life, start.learned)
    return (
        *_odds_origins(life, question, start.learned or Learned()),
        *_tree_origins(start, life),
        *_growth_origins(),
        _root_work_origin(),
    )


def _own(told: Learned, cell: str) -> str:
    came, tried = told.count(cell)
    return ", " + _("from {n} of {of} of your own and the book").format(n=came, of=tried) if tried else ""


def _odds_origins(life: Biology, question: str, told: Learned) -> list[Origin]:
    """The odds of the question's own operations."""
    out: list[Origin] = []
    if question == "base":
        layers = {
            "easy": _("a kind that layers easily"),
            "medium": _("a kind that layers fairly well"),
            "hard": _("a kind that is hard to layer"),
        }
        text = (
            f"{layers.get(life.layer_class, life.layer_class)}: {odds_words(life.layer)}{_own(told, 'layer')}"
        )
        out.append(Origin(_("Chance that a ring roots"), text, life.layer.basis, cited("practice")))
        lives = odds_words(life.severed) + _own(told, "severed")
        out.append(Origin(_("Chance to live once separated"), lives, "assumed", cited("layer_trials")))
    if question in ("base", "graft"):
        grafts = {
            "easy": _("a kind that grafts easily"),
            "medium": _("a kind that grafts fairly well"),
            "hard": _("a kind that is hard to graft"),
        }
        kind = grafts.get(life.graft_class, life.graft_class)
        text = f"{kind}: {odds_words(life.approach)}{_own(told, 'graft')}"
        out.append(Origin(_("Chance that a graft takes"), text, life.approach.basis, cited("practice")))
    return out


def _tree_origins(start: Start, life: Biology) -> list[Origin]:
    """What this tree's own record says of its graft and its vigour."""
    out: list[Origin] = []
    if start.graft is not None:
        chance = show.chance(start.graft.take_prob(life.approach.mean_prob))
        checks = counted("after {n} check", "after {n} checks", min(2, len(start.graft.signs)))
        label = _("Chance that the present graft takes")
        out.append(Origin(label, f"{chance}, {checks}", "assumed", cited("own")))
    label = _("Vigour of this tree")
    if start.vigour is None:
        text = _("as its kind grows; too few of its own girths yet to tell")
        return [*out, Origin(label, text, "transferred", cited("mcpherson2016"))]
    girths = counted("{n} own girth increment", "{n} own girth increments", start.vigour.increments_n)
    told = _("{x} times its kind, from {girths}")
    if start.vigour.mostly_prior:
        told = _("mostly prior: {x} times its kind, from {girths} only")
    text = told.format(x=two_digits(start.vigour.factor_ratio), girths=girths)
    return [*out, Origin(label, text, "fitted", _("this tree's own record"))]


def _growth_origins() -> list[Origin]:
    """The rows that growth leans on most, in the units of the page."""
    pipe, pot, leaf = _row("pipe"), _row("pot_exponent"), _row("leaf_capacity")
    sapwood = _("{x} mm² per cm²").format(x=two_digits(pipe.number))
    volume = _("{x} times the growth in twice the volume").format(x=two_digits(2.0**pot.number))
    area = _("{x} m²").format(x=two_digits(leaf.number / _CM2_PER_M2))
    closure = _("{x} mm for each mm of thickness grown").format(x=two_digits(closure_rows().closure_ratio))
    return [
        Origin(_("Sapwood for each leaf area"), sapwood, pipe.basis, cited(pipe.source)),
        Origin(_("Growth against pot volume"), volume, pot.basis, cited(pot.source)),
        Origin(_("Leaf that the roots in a 50 L pot can feed"), area, leaf.basis, cited(leaf.source)),
        Origin(_("Closing of wounds"), closure, "transferred", cited("seifert2010")),
    ]


def _root_work_origin() -> Origin:
    base = _row("survive_base")
    survives_prob = 1.0 / (1.0 + math.exp(-base.number))
    text = _(
        "about {n} in 100 in season and within the safe share of root; "
        "less beyond it, off season or on a weak tree"
    ).format(n=round(100 * survives_prob))
    return Origin(_("Chance to live through root work"), text, base.basis, cited(base.source))


def two_digits(value: float) -> str:
    """A number with two significant digits, the zero kept, so that like numbers look alike.

    Parameters
    ----------
    value : float
        The number.

    Returns
    -------
    str
        The text.

    Source
    ------
    own.

    Examples
    --------
    >>> two_digits(0.5), two_digits(0.55), two_digits(0.02), two_digits(4)
    ('0.50', '0.55', '0.020', '4.0')
    """
    if value == 0 or not math.isfinite(value):
        return show.number(value)
    return show.fixed(value, max(0, 1 - math.floor(math.log10(abs(value)))))


def cited(key: str) -> str:
    """A source as the page names it: authors, year and where it appeared, never the key.

    Parameters
    ----------
    key : str
        As in the list of sources.

    Returns
    -------
    str
        Short reference; says so where nobody saw it in print.

    Raises
    ------
    ParameterError
        If no such source is listed.

    Source
    ------
    own.

    Examples
    --------
    >>> cited("practice"), cited("poorter2012")
    ('common practice', 'Poorter et al. 2012, Functional Plant Biology 39:839-850')
    """
    named = {"practice": _("common practice"), "own": _("own reasoning")}
    if key in named:
        return named[key]
    work = source(key)
    text = _WORK_ENDS.split(work.reference, maxsplit=1)[0].strip()
    text = _MANY_AUTHORS.sub(r"\1 et al.\2", text)
    return text if work.read else _("{work}; the figure from memory").format(work=text)
