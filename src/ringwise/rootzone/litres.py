"""Litres of mix for one pot: what it holds, what the kept ball leaves free, what to make, part by part.

The kept ball is taken as measured where it was; else it follows the share of the roots that is cut; else
it is the flat planning share of the recipe.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ringwise.kit.show import dimensions, length, litres, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.units import in_range
from ringwise.kit.words import _, from_data
from ringwise.rootzone.batches import checked_scoop_cm3, whole_scoops
from ringwise.rootzone.components import component_name
from ringwise.rootzone.mix import (
    Grain,
    Recipe,
    grain_for,
    gross_cm3,
    recipe_codes,
    recipe_row,
    split,
)
from ringwise.rootzone.pot import PotShape

ROOM = "rootzone.litres"
LEAST_YIELD = 0.5  # grains of any sizes keep more than half of their loose volume


@dataclass(frozen=True)
class MixOrder:
    """What is asked for: recipe, share of the pot that the kept ball fills, share worked on, scoop.

    A measured ball (`ball_cm3`) comes before a kept share, and that before the share of the roots that is
    cut. `mound_cm3` is what is heaped above the level of the fill, `yield_frac` what mixing keeps of the
    loose volume of the parts.
    """

    recipe: Recipe
    kept_frac: float | None = None
    worked_frac: float = 1.0
    scoop_cm3: float | None = None
    root_removed_frac: float | None = None
    ball_cm3: float | None = None
    mound_cm3: float = 0.0
    yield_frac: float = 1.0


@dataclass(frozen=True)
class Litres:
    """Volumes of one potting, each part in cm3 and whole scoops."""

    volume_cm3: float
    refill_frac: float
    refill_cm3: float
    gross_cm3: float
    parts_cm3: Mapping[str, float]
    scoop_cm3: float
    scoops: Mapping[str, int]
    grain: Grain
    traces: Mapping[str, Trace]


def refill_row(code: str) -> Parameter:
    """The row that holds the share of a pot filled with new mix.

    Parameters
    ----------
    code : str
        Recipe; a grower's own recipe takes the row for any other mix.

    Returns
    -------
    Parameter
        The row; the kept root ball fills the rest.

    Source
    ------
    own: planning shares, to be replaced by the grower's own record.

    Examples
    --------
    >>> refill_row("V").number, refill_row("mine").number
    (0.6, 0.55)
    """
    table = load_table("ringwise.rootzone", "potting")
    return table.get("refill", code if table.has("refill", code) else "other")


def litres_for(pot: PotShape, order: MixOrder) -> Litres:
    """Volumes of mix for one pot.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    order : MixOrder
        Recipe, kept and worked shares, scoop.

    Returns
    -------
    Litres
        Net, refill, gross and parts, each with its chain.

    Raises
    ------
    RangeError
        If a share is out of bounds.

    Source
    ------
    own: refill = net x (1 - kept) + mound; gross = refill x settling x waste / yield.

    Examples
    --------
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import Fill, PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80), Fill(5, 5, 0.92))
    >>> round(litres_for(tray, MixOrder(recipe("D"))).gross_cm3)
    6214
    >>> round(litres_for(tray, MixOrder(recipe("D"), root_removed_frac=0.5)).gross_cm3)
    7909
    """
    share = _refill_frac(pot, order)
    refill = pot.volume_cm3 * share + _positive(order.mound_cm3)
    gross = gross_cm3(refill) / _yield_frac(order)
    parts = split(gross, order.recipe)
    scoop = checked_scoop_cm3(order.scoop_cm3)
    return Litres(
        pot.volume_cm3,
        share,
        refill,
        gross,
        parts,
        scoop,
        {key: whole_scoops(volume, scoop) for key, volume in parts.items()},
        grain_for(pot.fill_height_mm, order.recipe.code),
        _traces(pot, order, refill, gross),
    )


def ordinary_roots_row(code: str) -> Parameter:
    """The row that holds the share of the roots at which the flat refill share holds.

    Parameters
    ----------
    code : str
        Recipe; a grower's own recipe takes the row for any other mix.

    Returns
    -------
    Parameter
        The row.

    Source
    ------
    own: planning shares, to be replaced by the grower's own record.

    Examples
    --------
    >>> ordinary_roots_row("V").number, ordinary_roots_row("mine").number
    (0.4, 0.3)
    """
    table = load_table("ringwise.rootzone", "potting")
    return table.get("ordinary_roots", code if table.has("ordinary_roots", code) else "other")


def kept_after_cut_frac(code: str, root_removed_frac: float) -> float:
    """Share of the pot that the kept ball fills when a share of the roots is cut.

    Parameters
    ----------
    code : str
        Recipe.
    root_removed_frac : float
        Share of the roots that is cut, 0 to 1.

    Returns
    -------
    float
        In proportion to the roots that stay; at the ordinary share of the recipe the flat planning share.

    Source
    ------
    own: soil goes with its roots; what is combed out of the rest is the same share at each amount.

    Examples
    --------
    >>> [round(kept_after_cut_frac("D", cut), 2) for cut in (0.0, 0.25, 0.5, 1.0)]
    [0.6, 0.45, 0.3, 0.0]
    """
    ordinary = ordinary_roots_row(code).number
    return (1 - refill_row(code).number) * (1 - root_removed_frac) / (1 - ordinary)


def _share(value: float, low: float, high: float, field: str) -> float:
    accepted = _("{low} to {high}").format(low=number(low), high=number(high))
    return in_range(value, low, high, field=field, shown=number(value, 3), accepted=accepted)


def _positive(volume_cm3: float) -> float:
    return in_range(
        volume_cm3, 0.0, math.inf, field=_("mound"), shown=litres(volume_cm3), accepted=_("0 L or more")
    )


def _yield_frac(order: MixOrder) -> float:
    return _share(order.yield_frac, LEAST_YIELD, 1.0, _("share of the volume kept on mixing"))


def _refill_frac(pot: PotShape, order: MixOrder) -> float:
    worked = _share(order.worked_frac, 0.0, 1.0, _("share of the ball worked on"))
    return (1 - _kept_frac(pot, order)) * worked


def _kept_frac(pot: PotShape, order: MixOrder) -> float:
    if order.ball_cm3 is not None:
        return _share(order.ball_cm3 / pot.volume_cm3, 0.0, 1.0, _("the ball as a share of the pot"))
    if order.kept_frac is not None:
        row = load_table("ringwise.rootzone", "potting").get("accepted", "kept_frac")
        field = _("share of the pot that the kept ball fills")
        return _share(order.kept_frac, row.low or 0.0, row.high or 1.0, field)
    if order.root_removed_frac is not None:
        removed = _share(order.root_removed_frac, 0.0, 1.0, _("share of the roots cut"))
        return kept_after_cut_frac(order.recipe.code, removed)
    return 1 - refill_row(order.recipe.code).number


def _traces(pot: PotShape, order: MixOrder, refill_cm3: float, made_cm3: float) -> dict[str, Trace]:
    volume = volume_trace(pot)
    below = Trace(
        _("new mix in the pot"), litres(refill_cm3), ROOM, _("net x refill share"), "own", "assumed"
    )
    refilled = _with(below, volume, *_share_traces(order))
    rows = load_table("ringwise.rootzone", "potting").of("gross")
    made = Trace(_("mix to make"), litres(made_cm3), ROOM, _("new mix x settling x waste"), "own", "assumed")
    made = _with(made, refilled, *(trace_parameter(rows[n]) for n in ("settle_factor", "waste_factor")))
    if order.yield_frac < 1.0:
        kept = number(order.yield_frac, 3)
        made = _with(made, Trace(_("share of the volume kept on mixing"), kept, "rootzone.blend"))
    return {"volume": volume, "refill": refilled, "gross": made, **_part_traces(order, made_cm3, made)}


def _with(trace: Trace, *inputs: Trace) -> Trace:
    return Trace(
        trace.label,
        trace.value,
        trace.room,
        trace.formula,
        trace.source,
        trace.basis,
        (*trace.inputs, *inputs),
    )


def _share_traces(order: MixOrder) -> list[Trace]:
    if order.ball_cm3 is not None:
        shares = [Trace(_("kept ball"), litres(order.ball_cm3), "given", basis="measured")]
    elif order.kept_frac is not None:
        shares = [Trace(_("kept ball"), number(order.kept_frac), "given", basis="measured")]
    else:
        shares = [trace_parameter(refill_row(order.recipe.code), _("refill share"))]
        if order.root_removed_frac is not None:
            shares += [
                Trace(_("share of the roots cut"), number(order.root_removed_frac), "given"),
                trace_parameter(ordinary_roots_row(order.recipe.code), _("ordinary share of the roots cut")),
            ]
    if order.mound_cm3:
        shares.append(Trace(_("mound"), litres(order.mound_cm3), "given"))
    if order.worked_frac != 1.0:
        shares.append(Trace(_("share of the ball worked on"), number(order.worked_frac), "given"))
    return shares


def _part_traces(order: MixOrder, made_cm3: float, made: Trace) -> dict[str, Trace]:
    known = order.recipe.code in recipe_codes()
    source = (
        trace_parameter(recipe_row(order.recipe.code))
        if known
        else Trace(_("own recipe"), order.recipe.words, "record", basis="measured")
    )
    return {
        f"part {key}": Trace(
            component_name(key),
            litres(volume),
            ROOM,
            _("share of the parts"),
            "practice",
            "practice",
            (made, source),
        )
        for key, volume in split(made_cm3, order.recipe).items()
    }


def volume_trace(pot: PotShape) -> Trace:
    """The chain of a pot's net volume.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.

    Returns
    -------
    Trace
        With its measures and the rows of its allowances.

    Source
    ------
    own: integral of the plan area over the height of the fill.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> volume_trace(pot_shape("oval", PotLengths(500, 370, 80))).value
    '11.6 L'
    """
    rows = load_table("ringwise.rootzone", "potting").of("fill")
    size = dimensions((pot.length_mm, pot.width_mm, pot.depth_mm))
    below = [Trace(_("inside measures"), f"{from_data(pot.shape)} {size}", "record", basis="measured")]
    for name, label, value, shown in (
        ("rim_drop_mm", _("rim drop"), pot.rim_drop_mm, length(pot.rim_drop_mm)),
        ("base_drop_mm", _("base drop"), pot.base_drop_mm, length(pot.base_drop_mm)),
        ("taper_frac", _("taper factor"), pot.taper_frac, number(pot.taper_frac)),
    ):
        if value == rows[name].number:
            below.append(trace_parameter(rows[name]))
        else:
            below.append(Trace(label, shown, "given"))
    return Trace(
        _("pot holds"), litres(pot.volume_cm3), "rootzone.pot", _("integral of A(z)"), "own", "", tuple(below)
    )
