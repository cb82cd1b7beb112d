"""The wish for an outlook: when each work suits each tree, from weather, stages seen and the catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringwise.desk.entry_words import operation_words
from ringwise.desk.pot_cores import stand_of
from ringwise.desk.shapes import Shape
from ringwise.desk.weather_under import weather_notes
from ringwise.desk.window_after import after_shape, on_day_shape
from ringwise.desk.yard_forecast import YardForecast, yard_forecast
from ringwise.kit import show
from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.operations.base import Operation
    from ringwise.phenology.forecast import StageForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.season.window import Window

USUAL = "repot"  # the work shown where nothing else is planned


def _is_over(window: Window, today: date) -> bool:
    """Whether nothing of a window is left this growing year, not even at the end of its band."""
    end = window.last or window.closes
    return window.state == "closed" and end is not None and end.high < today


def tree_window(workspace: Workspace, tree: str, operation: str, yard: YardForecast | None = None) -> Window:
    """The window of one operation on one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    operation : str
        Key of the operation.
    yard : YardForecast, optional
        Made before; else made here.

    Returns
    -------
    Window
        As the season room tells it, with what may happen in the days after the work.

    Raises
    ------
    UnknownNameError
        If the operation is not in the catalogue.
    """
    from ringwise.operations.registry import OPERATIONS

    if operation not in OPERATIONS:
        raise unknown_name(_("operation"), operation, OPERATIONS)
    facts = workspace.facts_of(tree)
    made = yard or yard_forecast(workspace)
    work = OPERATIONS[operation]
    before = made.year_before(workspace) if _turns_with_leaf_fall(work, facts, made) else None
    window = _window_in(workspace, facts, work, made, before=before)
    if before is not None:
        last = _window_in(workspace, facts, work, before, stood=made)
        if _runs_on(last, window, workspace.today):
            return last
    if _is_over(window, workspace.today):
        return _window_in(workspace, facts, work, made.next_year(workspace), before=made)
    return window


def _turns_with_leaf_fall(work: Operation, facts: TreeFacts, made: YardForecast) -> bool:
    """Whether a span of a work opens or closes by a stage that may come after the year's turn."""
    from ringwise.operations.timing import spans
    from ringwise.phenology.stages import AUTUMN, SPRING
    from ringwise.records.taxa import lookup_keys

    if facts.taxon is None or AUTUMN[-1] not in made.of(facts).codes:
        return False
    late = {SPRING[-1], *AUTUMN}  # the last of spring is passed when the first of autumn is reached
    return any(
        span.done and late & {span.opens, span.closes} for span in spans(work, lookup_keys(facts.taxon.key))
    )


def _runs_on(last: Window, window: Window, today: date) -> bool:
    """Whether last year's window is told: not over, and not past its best while that of this year is open."""
    end = last.last or last.closes
    if end is None:  # only a sign ends it
        return last.state == "open"
    return end.high > today and (last.state != "closed" or window.state != "open")


def _window_in(
    workspace: Workspace,
    facts: TreeFacts,
    work: Operation,
    made: YardForecast,
    *,
    before: YardForecast | None = None,
    stood: YardForecast | None = None,
) -> Window:
    """The window in the growing year of a forecast; the days after it are told by `stood`."""
    from ringwise.season.spans import first_frosts
    from ringwise.season.window import Circumstances, operation_window

    forecast = made.of(facts)
    if before is not None:
        forecast = replace(forecast, before=before.of(facts))
    plans = [e for e in facts.planned if e.data.get("operation") == work.key]
    return operation_window(
        work,
        facts,
        forecast,
        today=workspace.today,
        circumstances=Circumstances(
            first_frost_days=first_frosts(forecast, made.members_at(facts)),
            override_reason=str(plans[-1].data.get("override_reason") or "") if plans else "",
            stand=stand_of(workspace, facts, stood or made, work),
        ),
    )


def operations_ahead(facts: TreeFacts) -> tuple[str, ...]:
    """What is shown for a tree that nobody asked about: its planned works, else a repot.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of str
        Keys, without repeats.
    """
    planned = [str(e.data["operation"]) for e in facts.planned]
    return tuple(dict.fromkeys(planned)) or (USUAL,)


@dataclass(frozen=True)
class Ahead:
    """What was asked, and the windows that answer it; `trees` is empty where all were asked for."""

    trees: tuple[str, ...]
    operation: str | None
    yard: YardForecast
    windows: tuple[tuple[TreeFacts, Window], ...]
    on_day: bool = False


def windows_ahead(
    workspace: Workspace, names: Sequence[str], *, operation: str | None = None, on_day: bool = False
) -> Ahead:
    """The windows that are shown for trees, with the forecast they stand on.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    names : sequence of str
        Trees; all where empty.
    operation : str or None
        One kind of work; by default what is planned.
    on_day : bool
        Whether the risks of a work on the very day of asking are wanted too.

    Returns
    -------
    Ahead
        Each tree with each of its windows.
    """
    yard = yard_forecast(workspace)
    asked = [workspace.facts_of(name) for name in names]
    windows = tuple(
        (facts, tree_window(workspace, facts.tree.id, key, yard))
        for facts in asked or workspace.facts.values()
        for key in ((operation,) if operation else operations_ahead(facts))
    )
    return Ahead(tuple(sorted({facts.tree.id for facts in asked})), operation, yard, windows, on_day)


def outlook(workspace: Workspace, names: Sequence[str], *, operation: str | None = None) -> Shape:
    """Windows ahead for trees, soonest opening first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    names : sequence of str
        Trees; all where empty.
    operation : str or None
        One kind of work; by default what is planned.

    Returns
    -------
    dict
        Keys today, windows and notes.
    """
    return outlook_shape(workspace, windows_ahead(workspace, names, operation=operation))


def outlook_shape(workspace: Workspace, ahead: Ahead) -> Shape:
    """The documented keys of windows ahead, soonest opening first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    ahead : Ahead
        From `windows_ahead`.

    Returns
    -------
    dict
        Keys today, windows and notes.
    """
    from ringwise.desk.tree_sites import place_notes

    yard = ahead.yard
    rows = [
        window_shape(workspace, facts, window, yard)
        | {"on_day": on_day_shape(window, workspace.today) if ahead.on_day else None}
        for facts, window in ahead.windows
    ]
    rows.sort(key=lambda row: (row["opens_low"] or "9999", row["tree"], row["operation"]))
    return {
        "today": workspace.today.isoformat(),
        "heading": _("Windows ahead, seen on {day}").format(day=show.day(workspace.today, year=True)),
        "windows": rows,
        "notes": _notes(workspace, yard)
        + place_notes(workspace, (facts for facts, _window in ahead.windows)),
    }


def _notes(workspace: Workspace, yard: YardForecast) -> list[str]:
    notes = [
        _("Bands are 10 to 90 %, over {years} weather years. Look for the sign, not for the day.").format(
            years=yard.members.n
        )
    ]
    notes += weather_notes(workspace, yard.series)
    if workspace.settings.latitude_deg is None:
        notes.append(_("The yard's latitude is not set; the north is assumed (collection.toml)."))
    return notes


def usual_shape(forecast: StageForecast) -> Shape:
    """The benchmark beside a forecast: the mean day of past leaf unfoldings.

    Parameters
    ----------
    forecast : StageForecast
        Of a tree.

    Returns
    -------
    dict
        Keys usual_day, usual_seasons and usual_shown: of the tree itself, else of its kind in the yard; None,
        0 and "" where leaves were never dated.
    """
    usual, day = forecast.usual, forecast.usual_day
    if usual is None or day is None:
        return {"usual_day": None, "usual_seasons": 0, "usual_shown": ""}
    words = _("your mean {day} ({seasons})") if usual.own else _("mean of this kind here {day} ({seasons})")
    seasons = counted("{n} season", "{n} seasons", usual.seasons)
    shown = words.format(day=show.day(day), seasons=seasons)
    return {"usual_day": day.isoformat(), "usual_seasons": usual.seasons, "usual_shown": shown}


def _band_text(band: DateBand | None, today: date) -> str:
    if band is None:
        return _("by sign")
    year = "" if band.median.year == today.year else f" {band.median.year}"
    return show.span(band.low, band.high) + year


def window_shape(workspace: Workspace, facts: TreeFacts, window: Window, yard: YardForecast) -> Shape:
    """The documented keys of a window.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    window : Window
        Of one operation.
    yard : YardForecast
        It stands on.

    Returns
    -------
    dict
        As documented for `ringwise outlook`.
    """
    forecast = yard.of(facts)
    chance = window.open_prob
    known = chance == chance  # NaN where no forecast tells
    answer: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "botanical_name": facts.taxon.botanical_name if facts.taxon else facts.tree.species,
        "operation": window.operation,
        "operation_words": operation_words(window.operation),
        "state": window.state,
        "sentence": window.sentence(),
        "open_prob": round(chance, 3) if known else None,
        "open_shown": show.odds(chance) if known and window.state != "blocked" else "",
        "sign": window.sign,
        "closes_by": window.closes_by,
        "note": window.note,
        "blocked": "; ".join(window.blocked_by) if window.state == "blocked" else "",
        "override_reason": window.override_reason,
        "own_seasons": forecast.own_seasons,
        "basis": forecast.basis,
        "model": forecast.model,
        **usual_shape(forecast),
    }
    for name, band in (("opens", window.opens), ("closes", window.closes)):
        answer[f"{name}_low"] = band.low.isoformat() if band else None
        answer[f"{name}_median"] = band.median.isoformat() if band else None
        answer[f"{name}_high"] = band.high.isoformat() if band else None
        answer[f"{name}_shown"] = _band_text(band, workspace.today)
    return answer | after_shape(window)
