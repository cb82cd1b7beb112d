"""The wish "why?": the chain from a shown number to rows of parameter tables and their sources."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.deeds import trees_by_id
from ringwise.desk.entry_words import group_of, operation_words, stage_words
from ringwise.desk.shapes import Shape
from ringwise.desk.why_after import after_trace
from ringwise.desk.why_words import plain_link
from ringwise.kit import show
from ringwise.kit.errors import InputError, unknown_name
from ringwise.kit.sources import all_sources
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.season.risk_kinds import KINDS

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.season.window import Window

_WINDOW = ("opens", "closes", "chance", "window", "days_left", "carry_in", *KINDS)


def why(workspace: Workspace, result: str) -> Shape:
    """Where a shown number comes from.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    result : str
        "T03:repot:opens", "T03:repot:gross", "T21:stage:07", "T03:fact:trunk_mm", "T03:girth@2025",
        "T03:ahead:2032", "T03:measure:height_mm", "T10:water:due", "T03:figure", "photo:E12:scale",
        "yard:climate" or "T01:futures".

    Returns
    -------
    dict
        Keys result, title, value, chain (a list of links with their depth), sources and lines.

    Raises
    ------
    InputError
        If the name of the result does not read.
    """
    trace, group = _trace(workspace, result), _group(workspace, result)
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
    lines = [_link_line(depth, plain_link(link, group)) for depth, link in links]
    if sources:
        lines += ["", _("Sources")]
        lines += [
            f"  {key}: {known[key].reference}" + ("" if known[key].read else " " + _("[not read in print]"))
            for key in sources
        ]
    first = plain_link(trace, group)
    return {
        "result": result,
        "title": first.label,
        "value": first.value,
        "chain": chain,
        "sources": sources,
        "lines": lines,
    }


def why_told(workspace: Workspace, of: str) -> Shape:
    """Where a shown number comes from, in plain words, as the app shows it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    of : str
        Name of the why.

    Returns
    -------
    dict
        Keys of, title, value, chain and sources.

    Raises
    ------
    InputError
        If the name does not read.
    """
    group = _group(workspace, of)
    links = [(depth, plain_link(link, group)) for depth, link in _trace(workspace, of).walk()]
    known = all_sources()
    keys = [key for key in dict.fromkeys(link.source for _depth, link in links) if key in known]
    return {
        "of": of,
        "title": links[0][1].label,
        "value": links[0][1].value,
        "chain": [
            {
                "depth": depth,
                "label": link.label,
                "value": link.value,
                "room": link.room,
                "formula": link.formula,
                "basis": link.basis,
                "source": link.source,
            }
            for depth, link in links
        ],
        "sources": [
            {"key": key, "text": known[key].reference, "read": bool(known[key].read)} for key in keys
        ],
    }


def _group(workspace: Workspace, result: str) -> str:
    """The group of the tree that a result is about; blank where it is about none."""
    return group_of(trees_by_id(workspace).get(result.split(":")[0].strip().upper())) or ""


def _link_line(depth: int, link: Trace) -> str:
    more = [part for part in (link.room, link.formula, link.basis, link.source) if part]
    return "  " * depth + f"{link.label}: {link.value}" + (f"   [{'; '.join(more)}]" if more else "")


def _trace(workspace: Workspace, result: str) -> Trace:
    parts = [part.strip() for part in result.split(":")]
    if parts[0] == "yard" and len(parts) > 1:
        of_yard = _yard_trace(workspace, parts)
        if of_yard is not None:
            return of_yard
    if len(parts) == 2:
        return _tree_trace(workspace, parts[0], parts[1], result)
    if len(parts) != 3:
        raise _no_result(result)
    tree, what, figure = parts
    if tree == "photo":
        from ringwise.desk.why_facts import photo_trace

        return photo_trace(workspace, what, figure)
    of_tree = _own_trace(workspace, tree, what, figure)
    if of_tree is not None:
        return of_tree
    if what == "stage":
        return _stage_trace(workspace, tree, figure)
    if figure in _WINDOW:
        from ringwise.desk.outlook import tree_window

        return _window_trace(tree_window(workspace, tree, what), figure)
    return _potting_trace(workspace, tree, what, figure)


def _own_trace(workspace: Workspace, tree: str, what: str, figure: str) -> Trace | None:
    """The chain of what is known or measured of one tree; None for what is reckoned of its season."""
    if what == "fact":
        from ringwise.desk.why_facts import fact_trace

        return fact_trace(workspace, tree, figure)
    if what == "ahead":
        from ringwise.desk.why_ahead import ahead_trace

        return ahead_trace(workspace, tree, figure)
    if what == "measure":
        from ringwise.desk.why_measure import measure_trace

        return measure_trace(workspace, tree, figure)
    if what == "pot":
        from ringwise.desk.why_pot import pot_trace

        return pot_trace(workspace, tree, figure)
    if what == "water":
        from ringwise.desk.why_watering import water_trace

        return water_trace(workspace, tree, figure)
    return None


def _yard_trace(workspace: Workspace, parts: list[str]) -> Trace | None:
    """The chain of what is about the yard as a whole; None for what is not."""
    if parts[1] in {"climate", "weather"}:
        from ringwise.desk.why_weather import yard_trace

        return yard_trace(workspace, parts)
    if parts[1] == "stored":
        from ringwise.desk.why_stored import stored_trace

        return stored_trace(workspace, ":".join(parts[2:]))
    if parts[1] == "place":
        from ringwise.desk.places_room import place_trace

        return place_trace(workspace, parts)
    if parts[1] == "calibration":
        from ringwise.desk.why_calibration import calibration_trace

        return calibration_trace(workspace, parts)
    return None


def _no_result(result: str) -> InputError:
    return InputError(
        _('"{result}" names no result; write TREE:OPERATION:FIGURE, such as T03:repot:opens').format(
            result=result
        )
    )


def _tree_trace(workspace: Workspace, tree: str, what: str, result: str) -> Trace:
    if what == "futures":
        from ringwise.desk.turnings import futures_trace

        return futures_trace(workspace, tree)
    if what == "ahead":
        from ringwise.desk.why_ahead import ahead_trace

        return ahead_trace(workspace, tree)
    if what == "figure":
        from ringwise.desk.why_ahead import figure_trace

        return figure_trace(workspace, tree)
    ring, mark, year = what.partition("@")
    if ring == "girth" and mark:
        from ringwise.desk.why_facts import ring_trace

        return ring_trace(workspace, tree, year)
    raise _no_result(result)


def _window_trace(window: Window, figure: str) -> Trace:
    """The chain of a window, headed by the figure that was asked about."""
    trace = window.trace
    name = operation_words(window.operation)
    band = {"opens": window.opens, "closes": window.closes}.get(figure)
    if band is not None:
        words = _("{work} opens") if figure == "opens" else _("{work} closes")
        value = f"{show.day(band.median, year=True)} ({show.span(band.low, band.high)})"
        return replace(trace, label=words.format(work=name), value=value)
    if figure in {"days_left", "carry_in", *KINDS}:
        return after_trace(window, figure)
    if figure == "chance":
        value = show.odds(window.open_prob)
        formula = _("share of the samples in which the window is open today")
        return replace(
            trace,
            label=_("{work}: chance that it is open today").format(work=name),
            value=value,
            formula=formula,
        )
    return replace(trace, label=_("window of {work}").format(work=name))


def _stage_trace(workspace: Workspace, tree: str, code: str) -> Trace:
    from ringwise.desk.yard_forecast import yard_forecast

    facts = workspace.facts_of(tree)
    forecast = yard_forecast(workspace).of(facts)
    band = forecast.band(code)
    return Trace(
        _("{tree}, {stage}: median (band)").format(
            tree=facts.tree.name, stage=stage_words(code, group_of(facts.tree) or "")
        ),
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
