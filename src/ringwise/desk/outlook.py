"""The wish for an outlook: when each work suits each tree, from weather, stages seen and the catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringwise.desk.entry_words import operation_words
from ringwise.desk.shapes import Shape
from ringwise.desk.weather import teaching_series, weather_notes, yard_series
from ringwise.kit import show
from ringwise.kit.days import GrowingYear, growing_year
from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.phenology.forecast import StageForecast
    from ringwise.phenology.seen import SeenStage
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.season.window import Window
    from ringwise.weather.series import WeatherSeries
    from ringwise.weather.years import WeatherMembers

PARAMETER_DRAWS = 20  # per kind of tree; with 20 weather years 400 samples, a quantile's error under a day
WEATHER_YEARS = 20
USUAL = "repot"  # the work shown where nothing else is planned


@dataclass(frozen=True)
class YardForecast:
    """Forecasts of all trees of a yard, with the weather they stand on."""

    trees: Mapping[str, StageForecast]
    members: WeatherMembers
    series: WeatherSeries
    later: dict[int, YardForecast]  # of the growing years after, made when a window of this one is over

    def next_year(self, workspace: Workspace) -> YardForecast:
        """The forecast of the growing year after this one."""
        if 1 not in self.later:
            self.later[1] = yard_forecast(workspace, years_on=1)
        return self.later[1]

    def of(self, facts: TreeFacts) -> StageForecast:
        """The forecast of one tree."""
        return self.trees[facts.tree.id]


def _weak_on(vigours: Sequence[Entry], when: date) -> bool:
    """Whether the tree was weak when a stage was seen, by the nearest note of its vigour up to a year off."""
    from ringwise.operations.conflicts import limit

    near = [
        (abs((e.on.middle - when).days), int(str(e.data["score"])))
        for e in vigours
        if e.on.middle is not None
    ]
    return bool(near) and min(near)[0] <= 366 and min(near)[1] <= limit("weak", "vigour_score")


def seen_stages(facts: TreeFacts, *, south: bool) -> tuple[SeenStage, ...]:
    """The stages seen on a tree, as the forecast takes them.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    south : bool
        Whether the yard lies south of the equator.

    Returns
    -------
    tuple of SeenStage
        In the order of the entries; entries without a known day are left out.
    """
    from datetime import date, timedelta

    from ringwise.phenology.seen import SeenStage

    vigours = [e for e in facts.entries if e.kind == "vigour"]
    found = []
    for entry in facts.entries:
        if entry.kind != "stage" or entry.on.latest is None or entry.on.earliest is None:
            continue
        before = entry.data.get("last_seen_before")
        earliest = date.fromisoformat(str(before)) if before else None
        if earliest is None and entry.on.precision != "day":
            earliest = entry.on.earliest - timedelta(days=1)
        found.append(
            SeenStage(
                code=str(entry.data["code"]),
                year=growing_year(entry.on.latest, south=south),
                latest=entry.on.latest,
                earliest=earliest,
                extent=str(entry.data.get("extent") or "first"),
                weak=_weak_on(vigours, entry.on.latest),
            )
        )
    return tuple(found)


def yard_forecast(workspace: Workspace, *, years_on: int = 0) -> YardForecast:
    """Stage forecasts of every tree of the collection, as seen today.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.
    years_on : int
        0 for the growing year of today, 1 for the next one.

    Returns
    -------
    YardForecast
        By tree id.

    Raises
    ------
    MissingFieldError
        If there is no weather, or none of a past year.
    """
    from ringwise.phenology.choice import Luck
    from ringwise.phenology.seen import TreeRecord
    from ringwise.phenology.species import yard_weather
    from ringwise.phenology.yard import yard_forecast as forecast_all
    from ringwise.weather.years import members

    series = yard_series(workspace)
    year = GrowingYear(workspace.year.label + years_on, workspace.year.south)
    ahead = members(series, issue=workspace.today, year=year, most=WEATHER_YEARS)
    known = [f for f in workspace.facts.values() if f.taxon is not None]
    records = [
        TreeRecord(tree_number(f.tree.id), f.taxon, seen_stages(f, south=workspace.settings.south))
        for f in known
        if f.taxon is not None
    ]
    made = forecast_all(
        records,
        yard_weather(teaching_series(series), ahead),
        today=workspace.today,
        luck=Luck(workspace.seed, PARAMETER_DRAWS),
    )
    return YardForecast({f.tree.id: made[tree_number(f.tree.id)] for f in known}, ahead, series, {})


def tree_number(tree: str) -> int:
    """A tree's own number in keyed chance; the same whatever other trees there are."""
    import hashlib

    return int.from_bytes(hashlib.sha256(tree.encode()).digest()[:6], "big")


_NO_LATER: dict[int, YardForecast] = {}  # marks the forecast that is not followed by another


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
        As the season room tells it.

    Raises
    ------
    UnknownNameError
        If the operation is not in the catalogue.
    """
    from ringwise.operations.registry import OPERATIONS
    from ringwise.season.frost import frost_after
    from ringwise.season.window import Circumstances, operation_window

    if operation not in OPERATIONS:
        raise unknown_name(_("operation"), operation, OPERATIONS)
    facts = workspace.facts_of(tree)
    made = yard or yard_forecast(workspace)
    plans = [e for e in facts.planned if e.data.get("operation") == operation]
    override = str(plans[-1].data.get("override_reason") or "") if plans else ""
    work, forecast = OPERATIONS[operation], made.of(facts)
    window = operation_window(
        work,
        facts,
        forecast,
        today=workspace.today,
        circumstances=Circumstances(override_reason=override),
    )
    if _is_over(window, workspace.today) and made.later is not _NO_LATER:
        later = made.next_year(workspace)
        return tree_window(workspace, facts.tree.id, operation, replace(later, later=_NO_LATER))
    if not work.root_work or window.opens is None:
        return window
    day = max(window.opens.median, workspace.today)
    if not made.members.first <= day <= made.members.last:
        return window
    told = Circumstances(frost_years=frost_after(made.members, day), override_reason=override)
    return operation_window(work, facts, forecast, today=workspace.today, circumstances=told)


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


def windows_ahead(workspace: Workspace, names: Sequence[str], *, operation: str | None = None) -> Ahead:
    """The windows that are shown for trees, with the forecast they stand on.

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
    return Ahead(tuple(sorted({facts.tree.id for facts in asked})), operation, yard, windows)


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
    yard = ahead.yard
    rows = [window_shape(workspace, facts, window, yard) for facts, window in ahead.windows]
    rows.sort(key=lambda row: (row["opens_low"] or "9999", row["tree"], row["operation"]))
    return {
        "today": workspace.today.isoformat(),
        "heading": _("Windows ahead, seen on {day}").format(day=show.day(workspace.today, year=True)),
        "windows": rows,
        "notes": _notes(workspace, yard),
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
    }
    for name, band in (("opens", window.opens), ("closes", window.closes)):
        answer[f"{name}_low"] = band.low.isoformat() if band else None
        answer[f"{name}_median"] = band.median.isoformat() if band else None
        answer[f"{name}_high"] = band.high.isoformat() if band else None
        answer[f"{name}_shown"] = _band_text(band, workspace.today)
    frost = window.frost_years
    answer["frost_years"] = frost.years if frost else None
    answer["frost_of_years"] = frost.of_years if frost else None
    return answer
