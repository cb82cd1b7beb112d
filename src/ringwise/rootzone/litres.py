"""Litres of mix for one pot: what it holds, what the kept ball leaves free, what to make, part by part."""

from __future__ import annotations

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


@dataclass(frozen=True)
class MixOrder:
    """What is asked for: recipe, share of the pot that the kept ball fills, share worked on, scoop."""

    recipe: Recipe
    kept_frac: float | None = None
    worked_frac: float = 1.0
    scoop_cm3: float | None = None


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
    own: refill = net x (1 - kept); gross = refill x settling x waste.

    Examples
    --------
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import Fill, PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80), Fill(5, 5, 0.92))
    >>> round(litres_for(tray, MixOrder(recipe("D"))).gross_cm3)
    6214
    """
    share = _refill_frac(order)
    refill = pot.volume_cm3 * share
    gross = gross_cm3(refill)
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


def _refill_frac(order: MixOrder) -> float:
    worked = in_range(
        order.worked_frac,
        0.0,
        1.0,
        field=_("share of the ball worked on"),
        shown=number(order.worked_frac, 3),
        accepted=_("0 to 1"),
    )
    if order.kept_frac is None:
        return refill_row(order.recipe.code).number * worked
    row = load_table("ringwise.rootzone", "potting").get("accepted", "kept_frac")
    low, high = row.low or 0.0, row.high or 1.0
    kept = in_range(
        order.kept_frac,
        low,
        high,
        field=_("share of the pot that the kept ball fills"),
        shown=number(order.kept_frac, 3),
        accepted=_("{low} to {high}").format(low=number(low), high=number(high)),
    )
    return (1 - kept) * worked


def _traces(pot: PotShape, order: MixOrder, refill_cm3: float, made_cm3: float) -> dict[str, Trace]:
    volume = volume_trace(pot)
    below = Trace(
        _("new mix in the pot"), litres(refill_cm3), ROOM, _("net x refill share"), "own", "assumed"
    )
    refilled = _with(below, volume, *_share_traces(order))
    rows = load_table("ringwise.rootzone", "potting").of("gross")
    made = Trace(_("mix to make"), litres(made_cm3), ROOM, _("new mix x settling x waste"), "own", "assumed")
    made = _with(made, refilled, *(trace_parameter(rows[n]) for n in ("settle_factor", "waste_factor")))
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
    if order.kept_frac is None:
        shares = [trace_parameter(refill_row(order.recipe.code), _("refill share"))]
    else:
        shares = [Trace(_("kept ball"), number(order.kept_frac), "given", basis="measured")]
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
