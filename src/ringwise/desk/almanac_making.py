"""Making the almanac: the key of all it is made from, the making itself, and its place in the store."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence, Set
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from ringwise.desk.almanac import FORMAT, Almanac, almanac_of_text, almanac_text, packed_chances, packed_days
from ringwise.desk.engine import engine_version
from ringwise.desk.place_readings import MICROSITE_SETTING, ROLE
from ringwise.desk.results import result_key
from ringwise.desk.yard_plan import set_benches
from ringwise.kit.reading import current_reading

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.desk.yard_forecast import YardForecast
    from ringwise.phenology.forecast import StageForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.season.window import Window

KIND = "almanac"
KEPT = 6  # almanacs that stay in the store: two days in a few readings
# Entries that no forecast looks at; of decisions the due list reads the newest.
_UNREAD_KINDS = frozenset({"note", "photo", "course", "decision", "aim"})
_UNREAD_SETTINGS = ("owner", "workers", "language", "units")  # the last two are in the reading
_READ_STORED = ("climate", MICROSITE_SETTING)  # settings kept in the record that weather is made from


def tree_mark(facts: TreeFacts) -> str:
    """What tells whether anything changed of a tree that forecasts and futures are made from.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        Hexadecimal digits; photos, notes, aims, own courses and decisions do not change them.
    """
    read = [
        (entry.id, entry.kind, entry.on, entry.data, entry.note)
        for entry in facts.entries
        if entry.kind not in _UNREAD_KINDS
    ]
    return hashlib.sha256(repr((facts.tree, facts.pot, facts.place, facts.stays, read)).encode()).hexdigest()[
        :32
    ]


def almanac_mark(facts: TreeFacts) -> str:
    """What tells whether a tree's part of the almanac is still that of now.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        `tree_mark`, and what was decided: it answers a question and may have a day to be looked at again.
    """
    if not facts.decisions:
        return tree_mark(facts)
    decided = [(entry.id, entry.on, entry.data, entry.recorded_at) for entry in facts.decisions]
    return hashlib.sha256(f"{tree_mark(facts)} {decided!r}".encode()).hexdigest()[:32]


def almanac_key(workspace: Workspace, marks: Mapping[str, str] | None = None) -> str:
    """The key of the almanac of now for the current reading.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    marks : mapping of str to str, optional
        `almanac_mark` of each tree, where they are known.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    known = {tree: almanac_mark(facts) for tree, facts in workspace.facts.items()} if marks is None else marks
    settings = {k: v for k, v in asdict(workspace.settings).items() if k not in _UNREAD_SETTINGS}
    stored = workspace.store.settings()
    inputs = {
        "format": FORMAT,
        "trees": dict(sorted(known.items())),
        "today": workspace.today,
        "settings": settings | {"today": None},
        "stored": {name: value for name, value in stored.items() if name.startswith(_READ_STORED)},
        "kinds": {name: bench.kind for name, bench in set_benches(stored).items()},
        "weather": sorted(workspace.store.weather_batches()),
        "forecast": sorted(workspace.store.weather_batches("forecast")),
        "readings": sorted(workspace.store.weather_batches(role=ROLE)),
    }
    return result_key(KIND, inputs, [], workspace.seed, worded=True)


def stored_almanac(workspace: Workspace, key: str) -> Almanac | None:
    """The almanac with a key, where the store has it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    key : str
        From `almanac_key`.

    Returns
    -------
    Almanac or None
        None where it was not made yet.
    """
    text = workspace.store.result_get(key)
    return None if text is None else almanac_of_text(text)


def kept_almanac(workspace: Workspace) -> Almanac:
    """The almanac of now: the stored one, else made and stored; older ones are let go.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    Almanac
        For the current reading.
    """
    from ringwise.desk import clock

    key = almanac_key(workspace)
    found = stored_almanac(workspace, key)
    if found is not None:
        return found
    made = make_almanac(workspace, key)
    workspace.store.result_put(
        key, KIND, almanac_text(made), made=clock.now(), engine_version=engine_version(), seed=workspace.seed
    )
    workspace.store.results_keep(KIND, KEPT)
    return made


def make_almanac(workspace: Workspace, key: str) -> Almanac:
    """Make the almanac for the current reading.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    key : str
        From `almanac_key`.

    Returns
    -------
    Almanac
        Without windows, and with the reason, where there is no weather.
    """
    from ringwise.desk.today import page_of, yard_or_reason

    step = workspace.store.latest_step()
    yard, missing = yard_or_reason(workspace)
    windows = _Windows(workspace, yard)
    page = page_of(workspace, yard, missing, windows.of)
    due: dict[str, set[str]] = {}
    for row in page["due"]:
        due.setdefault(row["tree"], set()).add(row["operation"])
    raw = {}
    if yard is not None:
        water = _water(workspace, yard)
        raw = {
            tree: {"water": water.get(tree)}
            | _raw_tree(workspace, facts, yard.of(facts), windows, due.get(tree, frozenset()))
            for tree, facts in workspace.facts.items()
            if tree in yard.trees
        }
    how = current_reading()
    return Almanac(
        key=key,
        step=step,
        today=workspace.today,
        language=how.language,
        units=how.units,
        missing=missing,
        weather_years=0 if yard is None else yard.members.n,
        weather_last=None if yard is None else yard.series.last,
        invented=workspace.settings.invented or (yard is not None and yard.series.invented),
        page=page,
        year=workspace.year,
        raw=raw,
    )


def _water(workspace: Workspace, yard: YardForecast) -> dict[str, list[str]]:
    """By tree when it wants water and how long its pot lasts; nothing where the weather does not tell."""
    from ringwise.desk.watering import horizon_days, yard_water
    from ringwise.desk.watering_told import water_words
    from ringwise.desk.watering_words import days_words
    from ringwise.kit.errors import MissingFieldError

    try:
        made = yard_water(workspace, yard)
    except MissingFieldError:
        return {}
    return {
        tree: [
            water_words(each, workspace.today),
            days_words(
                each.lasts.low_days,
                each.lasts.median_days,
                each.lasts.high_days,
                horizon_days=horizon_days(),
            ),
        ]
        for tree, each in made.trees.items()
        if each.tree is not None
    }


class _Windows:
    """Windows of a yard, each computed once; those that were asked for are known by tree."""

    def __init__(self, workspace: Workspace, yard: YardForecast | None) -> None:
        from ringwise.desk.today import windows_of

        self._window = windows_of(workspace, yard)
        self._asked: dict[str, dict[str, Window]] = {}

    def of(self, facts: TreeFacts, operation: str) -> Window | None:
        """The window of an operation on a tree."""
        window = self._window(facts, operation)
        if window is not None:
            self._asked.setdefault(facts.tree.id, {})[operation] = window
        return window

    def shown(self, facts: TreeFacts) -> Sequence[Window]:
        """Windows of a tree's planned works and the usual one first, then others that were looked at."""
        from ringwise.desk.outlook import USUAL

        for operation in (*planned_operations(facts), USUAL):
            self.of(facts, operation)
        asked = self._asked.get(facts.tree.id, {})
        first = [key for key in dict.fromkeys([*planned_operations(facts), USUAL]) if key in asked]
        return [asked[key] for key in [*first, *sorted(set(asked) - set(first))]]


def planned_operations(facts: TreeFacts) -> tuple[str, ...]:
    """The works that are planned for a tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of str
        Keys, without repeats, in the order of the plans.
    """
    return tuple(dict.fromkeys(str(entry.data["operation"]) for entry in facts.planned))


def _raw_tree(
    workspace: Workspace,
    facts: TreeFacts,
    forecast: StageForecast,
    windows: _Windows,
    due: Set[str],
) -> dict[str, Any]:
    import numpy as np

    from ringwise.phenology.forecast import BAND_PCT

    year = workspace.year
    wanted = {*planned_operations(facts), *due}
    bands = np.percentile(forecast.days, BAND_PCT, axis=0).T
    late = (forecast.days >= forecast.horizon_index).mean(axis=0)
    days = [[(year.day_at(float(day)) - year.start).days for day in band] for band in bands]
    return {
        "model": forecast.model,
        "basis": forecast.basis,
        "own_seasons": forecast.own_seasons,
        "codes": " ".join(forecast.codes),
        "stages": [day for band in days for day in band],
        "never": {code: float(share) for code, share in zip(forecast.codes, late, strict=True) if share > 0},
        "windows": [
            _raw_window(workspace, each, wanted=each.operation in wanted) for each in windows.shown(facts)
        ],
    }


def _raw_window(workspace: Workspace, window: Window, *, wanted: bool) -> dict[str, Any]:
    from ringwise.desk.window_after import risk_values
    from ringwise.season.risk_kinds import BENCH_FROST
    from ringwise.season.window import BLOCKED

    year, chance, after = workspace.year, window.open_prob, window.after
    frost = after.risk(BENCH_FROST)
    return {
        "operation": window.operation,
        "state": window.state,
        "sentence": window.sentence(),
        "opens": packed_days(year, window.opens),
        "closes": packed_days(year, window.closes),
        "last": packed_days(year, window.last),
        "open_prob": chance if chance == chance else None,
        "sign": window.sign,
        "closes_by": window.closes_by,
        "note": window.note,
        "blocked": list(window.blocked_by) if window.state == BLOCKED else [],
        "override_reason": window.override_reason,
        "frost_years": None if frost is None else frost.years,
        "frost_of_years": None if frost is None else frost.of_years,
        "wanted": wanted,
        "chances": packed_chances(year, window.chance_by_day),
        "work_on": None if after.work_on is None else (after.work_on - year.start).days,
        "risks": [risk_values(each) for each in after.risks],
        "carry_in": None if after.carry is None else after.carry.state,
        "carry_in_words": after.carry_words,
    }
