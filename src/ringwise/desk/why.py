"""The wish "why?": the chain from a shown number to rows of parameter tables and their sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit.errors import InputError, unknown_name
from ringwise.kit.sources import all_sources
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

_WINDOW = ("opens", "closes", "window")


def why(workspace: Workspace, result: str) -> Shape:
    """Where a shown number comes from.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    result : str
        "T03:repot:opens", "T03:repot:gross", "T21:stage:07" or "T01:futures".

    Returns
    -------
    dict
        Keys result, chain (a list of links with their depth), sources and lines.

    Raises
    ------
    InputError
        If the name of the result does not read.
    """
    trace = _trace(workspace, result)
    links = list(trace.walk())
    keys = list(dict.fromkeys(link.source for _depth, link in links if link.source))
    known = all_sources()
    chain = [
        {
            "depth": depth,
            "label": link.label,
            "value": link.value,
            "room": link.room,
            "formula": link.formula,
            "source": link.source,
            "basis": link.basis,
        }
        for depth, link in links
    ]
    sources = {key: known[key].reference for key in keys if key in known}
    lines = [_link_line(depth, link) for depth, link in links]
    lines += ["", _("Sources")]
    lines += [
        f"  {key}: {known[key].reference}" + ("" if known[key].read else " " + _("[not read in print]"))
        for key in sources
    ]
    return {"result": result, "chain": chain, "sources": sources, "lines": lines}


def _link_line(depth: int, link: Trace) -> str:
    more = [part for part in (link.room, link.formula, from_data(link.basis), link.source) if part]
    return "  " * depth + f"{link.label}: {link.value}" + (f"   [{'; '.join(more)}]" if more else "")


def _trace(workspace: Workspace, result: str) -> Trace:
    parts = [part.strip() for part in result.split(":")]
    if parts[0] == "yard" and parts[1:2] in (["climate"], ["weather"]):
        from ringwise.desk.why_weather import yard_trace

        return yard_trace(workspace, parts)
    if len(parts) == 2 and parts[1] == "futures":
        from ringwise.desk.turnings import futures_trace

        return futures_trace(workspace, parts[0])
    if len(parts) != 3:
        raise InputError(
            _('"{result}" names no result; write TREE:OPERATION:FIGURE, such as T03:repot:opens').format(
                result=result
            )
        )
    tree, what, figure = parts
    if what == "stage":
        return _stage_trace(workspace, tree, figure)
    if figure in _WINDOW:
        from ringwise.desk.outlook import tree_window

        return tree_window(workspace, tree, what).trace
    return _potting_trace(workspace, tree, what, figure)


def _stage_trace(workspace: Workspace, tree: str, code: str) -> Trace:
    from ringwise.desk.outlook import yard_forecast
    from ringwise.kit import show

    facts = workspace.facts_of(tree)
    forecast = yard_forecast(workspace).of(facts)
    band = forecast.band(code)
    return Trace(
        _("{tree} at stage {code}, median (band)").format(tree=facts.tree.id, code=code),
        f"{show.day(band.median)} ({show.span(band.low, band.high)})",
        "phenology.forecast",
        _("samples of weather years, parameters and own observations"),
        "own",
        forecast.basis,
        (forecast.trace,),
    )


def _potting_trace(workspace: Workspace, tree: str, operation: str, figure: str) -> Trace:
    from ringwise.desk.potting import PottingWish, planned_work, pot_job
    from ringwise.operations.registry import OPERATIONS
    from ringwise.rootzone.potting import potting

    if operation not in OPERATIONS:
        raise unknown_name(_("operation"), operation, [*OPERATIONS, "stage"])
    facts = workspace.facts_of(tree)
    ready = potting(pot_job(workspace, facts, PottingWish(), planned_work(facts, operation)))
    if figure not in ready.traces:
        raise unknown_name(_("figure"), figure, [*_WINDOW, *ready.traces])
    return ready.why(figure)
