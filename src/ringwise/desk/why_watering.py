"""Why a tree is said to want water: weather, pot, leaf, place, roots, own pace, where the balance begins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.watering import Band, TreeWater, horizon_days, yard_water
from ringwise.desk.watering_told import water_words
from ringwise.desk.watering_words import days_words
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError, unknown_name
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _, counted
from ringwise.rootzone.due import watering_row

if TYPE_CHECKING:
    from ringwise.desk.watering_pots import DryingTree
    from ringwise.desk.workspace import Workspace

ROOM = "desk.watering"
FIGURES = ("due", "lasts", "leaf", "pace", "full")


def water_trace(workspace: Workspace, tree: str, figure: str) -> Trace:
    """The chain behind a figure about the water of one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    figure : str
        due, lasts, leaf, pace or full.

    Returns
    -------
    Trace
        Down to rows of tables and entries of the record.

    Raises
    ------
    UnknownNameError
        If there is no such figure.
    NotFoundError
        If the pot of the tree was never measured, or it stands in the ground.
    """
    if figure not in FIGURES:
        raise unknown_name(_("figure"), figure, FIGURES)
    facts = workspace.facts_of(tree)
    made = yard_water(workspace)
    water = made.trees[facts.tree.id]
    if water.tree is None:
        raise NotFoundError(
            _("{tree}: its pot was never measured, so its water cannot be told").format(tree=tree)
        )
    if figure == "leaf":
        return water.tree.leaf.trace
    if figure == "pace":
        return _pace(water)
    if figure == "full":
        return _full(water)
    inputs = (
        _full(water),
        _air(workspace, water, made.yard.members.n, made.weather_at(facts).coarse_frac),
        water.tree.held.trace,
        water.tree.leaf.trace,
        _place(water.tree),
        *_roots(water.tree),
        _pace(water),
    )
    formula = _("daily balance of the pot in each weather year, over draws of curve and leaf")
    if figure == "lasts":
        return Trace(
            _("days from full until water is due"), _band(water.lasts), ROOM, formula, "own", "", inputs
        )
    label = _("{tree}: when water is due").format(tree=facts.tree.name)
    return Trace(label, water_words(water, workspace.today), ROOM, formula, "own", "", inputs)


def _band(band: Band) -> str:
    return days_words(band.low_days, band.median_days, band.high_days, horizon_days=horizon_days())


def _full(water: TreeWater) -> Trace:
    rows = ("trusted_days", "soak_mm", "soak_back_days")
    return Trace(
        _("where the balance begins"),
        water.full.words,
        ROOM,
        _("last watering or weighing of a full pot, else a soaking rain, else yesterday"),
        "own",
        "assumed" if water.full.how == "assumed" else "measured",
        tuple(trace_parameter(watering_row("start", name)) for name in rows),
    )


def _air(workspace: Workspace, water: TreeWater, years: int, coarse_frac: float) -> Trace:
    route = _("Penman-Monteith")
    if coarse_frac > 0:
        route = _("Penman-Monteith, on {share} of the days Hargreaves from temperatures alone").format(
            share=show.percent(coarse_frac)
        )
    source = "allen1998" if coarse_frac < 1 else "hargreaves1985"
    return Trace(
        _("reference evapotranspiration"),
        counted("{n} weather year", "{n} weather years", years),
        "weather.et0_years",
        route,
        source,
    )


def _place(tree: DryingTree) -> Trace:
    return Trace(
        _("place"),
        tree.facts.place.place if tree.facts.place is not None else _("no place written down"),
        "rootzone.rain_share",
        _("rain let down, power of the air, exposure of the leaves"),
        "own",
        "assumed",
        tuple(trace_parameter(row) for row in tree.place.rows),
    )


def _roots(tree: DryingTree) -> tuple[Trace, ...]:
    if tree.roots is None:
        return ()
    return (
        Trace(
            _("roots after the last root work"),
            show.percent(tree.roots.kept_frac),
            "rootzone.transpiration",
            _("share kept, half of the loss back in the weeks of the row"),
            "practice",
            "practice",
            (trace_parameter(watering_row("roots", "removed_frac")),),
        ),
    )


def _pace(water: TreeWater) -> Trace:
    readings = tuple(
        Trace(
            _("measured {on}").format(on=each.on),
            _("{measured} days, {reckoned} reckoned").format(
                measured=show.number(each.measured_days), reckoned=show.number(each.reckoned_days)
            ),
            "record",
            "",
            "",
            "measured",
        )
        for each in water.pace.readings
    )
    own = water.pace.own
    if not readings:
        return Trace(
            _("own pace"),
            _("not measured"),
            "rootzone.due",
            _("the spread of leaf area stands in"),
            "own",
            "assumed",
            (trace_parameter(watering_row("own", "prior_sd_log")),),
        )
    low, high = own.span_factor()
    value = _("days times {factor} ({low} to {high})").format(
        factor=show.number(own.factor), low=show.number(low), high=show.number(high)
    )
    rows = tuple(trace_parameter(watering_row("own", name)) for name in ("prior_sd_log", "reading_sd_log"))
    return Trace(
        _("own pace"),
        value,
        "rootzone.due",
        _("measured over reckoned days, against trees in general"),
        "own",
        "measured",
        (*readings, *rows),
    )
