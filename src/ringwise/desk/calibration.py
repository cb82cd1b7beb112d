"""The wish to know how well past forecasts did: each stage seen, against what would have been said before."""

from __future__ import annotations

import hashlib
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.results import kept, result_key
from ringwise.desk.shapes import Shape
from ringwise.desk.weather_under import teaching_series, yard_series
from ringwise.desk.yard_forecast import PARAMETER_DRAWS, WEATHER_YEARS, seen_stages, tree_number
from ringwise.kit import show
from ringwise.kit.days import GrowingYear
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.phenology.scores import Score, Totals
    from ringwise.phenology.seen import TreeRecord
    from ringwise.records.facts import TreeFacts
    from ringwise.weather.series import WeatherSeries


KIND = "calibration"


@dataclass(frozen=True)
class SeasonTask:
    """The scores of one growing year: where they are kept, and how they are made."""

    label: int
    key: str
    make: Callable[[], Shape]


def calibration(
    workspace: Workspace, name: str | None = None, progress: Callable[[float, str], None] | None = None
) -> Shape:
    """Past forecasts against what was then seen, for the yard or one tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str or None
        A tree; None for all of the yard.
    progress : callable, optional
        Told the share of the growing years that is scored.

    Returns
    -------
    dict
        Keys today, scores, totals, notes and lines.

    Raises
    ------
    MissingFieldError
        If there is no weather at all.
    """
    from ringwise.phenology.hindcast import LEADS_DAYS, targets
    from ringwise.phenology.scores import totals

    only = workspace.facts_of(name).tree.id if name else None
    records = yard_records(workspace)
    series = yard_series(workspace)
    numbers = {tree_number(tree): tree for tree in workspace.facts}
    tasks = season_tasks(workspace, records, series)
    scores = [
        each for each in _all_scores(workspace, tasks, progress) if only is None or numbers[each.tree] == only
    ]
    asked = [each for each in targets(records) if only is None or numbers[each.tree] == only]
    sums = [totals(scores, lead_days) for lead_days in LEADS_DAYS]
    answer: Shape = {
        "today": workspace.today.isoformat(),
        "tree": only,
        "heading": _("Past forecasts against what was then seen"),
        "scores": [_score_shape(workspace, each, numbers) for each in scores],
        "totals": [_totals_shape(each) for each in sums],
        "sightings": len(asked),
        "sightings_scored": len({(each.tree, each.code, each.label, each.seen_index) for each in scores}),
    }
    return answer | {"notes": _notes(answer, sums, series)}


def yard_records(workspace: Workspace) -> list[TreeRecord]:
    """Every tree of a known kind with what was seen on it.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    list of TreeRecord
        By number of the tree.
    """
    return [each.record for each in _seen_trees(workspace)]


@dataclass(frozen=True)
class _SeenTree:
    """A tree as forecasts are scored by it: its record, the last day of each year, all stages by day."""

    record: TreeRecord
    ends: Mapping[int, date]
    lines: tuple[tuple[date, int, str], ...]


def _seen_trees(workspace: Workspace) -> list[_SeenTree]:
    """Every tree of a known kind; each is read again only when something of it changed."""
    south = workspace.settings.south
    made = workspace.made_of(f"calibration:{south}", lambda facts: _seen_tree(facts, south))
    return [each for each in made.values() if each is not None]


def _seen_tree(facts: TreeFacts, south: bool) -> _SeenTree | None:
    from ringwise.phenology.hindcast import targets
    from ringwise.phenology.seen import TreeRecord

    if facts.taxon is None:
        return None
    record = TreeRecord(tree_number(facts.tree.id), facts.taxon, seen_stages(facts, south=south))
    ends: dict[int, date] = {}
    for each in targets([record]):
        label = each.seen.year.label
        ends[label] = max(each.latest, ends.get(label, each.latest))
    lines = ((each.newest, record.tree, repr(each)) for each in record.seen if each.newest is not None)
    return _SeenTree(record, ends, tuple(sorted(lines)))


def season_tasks(
    workspace: Workspace, records: Sequence[TreeRecord], series: WeatherSeries
) -> list[SeasonTask]:
    """The growing years that can be scored; none where the weather is described.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    records : sequence of TreeRecord
        From `yard_records`.
    series : WeatherSeries
        The yard's.

    Returns
    -------
    list of SeasonTask
        A year is reckoned again only if something it stands on changed: its key is then another.
    """
    from ringwise.weather.described import is_described

    if is_described(series.source):
        return []
    series = teaching_series(series)  # lent days of a doubtful shift judge no forecast
    trees = _seen_trees(workspace)
    ends: dict[int, date] = {}
    for tree in trees:
        for label, end in tree.ends.items():
            ends[label] = max(end, ends.get(label, end))
    known = _known_by(trees, sorted(ends.values()))
    return [
        _task(workspace, records, series, GrowingYear(label, workspace.settings.south), end, known[end])
        for label, end in sorted(ends.items())
    ]


def _known_by(trees: Sequence[_SeenTree], ends: Sequence[date]) -> dict[date, str]:
    """A mark of all that was known of all trees by each of some days, in ascending order."""
    told = hashlib.sha256(repr([(tree.record.tree, tree.record.taxon.key) for tree in trees]).encode())
    lines = sorted(line for tree in trees for line in tree.lines)
    days = [day for day, _tree, _told in lines]
    marks, before = {}, 0
    for end in ends:
        after = bisect_right(days, end)
        told.update("".join(f"{tree} {words}\n" for _day, tree, words in lines[before:after]).encode())
        marks[end], before = told.hexdigest(), max(before, after)
    return marks


def _all_scores(
    workspace: Workspace, tasks: Sequence[SeasonTask], progress: Callable[[float, str], None] | None
) -> list[Score]:
    from ringwise.phenology.scores import Score

    found: list[Score] = []
    for number, task in enumerate(tasks):
        if progress is not None:
            progress(number / len(tasks), KIND)
        scores = kept(workspace, KIND, task.key, task.make)["scores"]
        found += [Score(**each) for each in scores]
    return found


def _task(
    workspace: Workspace,
    records: Sequence[TreeRecord],
    series: WeatherSeries,
    year: GrowingYear,
    end: date,
    known: str,
) -> SeasonTask:
    from ringwise.phenology.choice import Luck

    weather = series if series.last <= end else series.cut(series.first, max(end, series.first))
    inputs = {
        "year": asdict(year),
        "known": known,
        "first": weather.first,
        "weather": hashlib.sha256(
            weather.tmean_degC.tobytes() + weather.tmin_degC.tobytes() + weather.tmax_degC.tobytes()
        ).hexdigest(),
        "draws": [PARAMETER_DRAWS, WEATHER_YEARS],
        "latitude_deg": workspace.settings.latitude_deg,
    }
    at = workspace.settings.latitude_deg
    luck = Luck(workspace.seed, PARAMETER_DRAWS)

    def make() -> Shape:
        from ringwise.phenology.hindcast import season_scores

        scores = season_scores(records, weather, year, luck=luck, most_years=WEATHER_YEARS, latitude_deg=at)
        return {"scores": [asdict(each) for each in scores]}

    return SeasonTask(year.label, result_key(KIND, inputs, [], workspace.seed), make)


def _score_shape(workspace: Workspace, score: Score, numbers: dict[int, str]) -> Shape:
    year = GrowingYear(score.label, workspace.settings.south)
    tree = numbers[score.tree]
    return {
        "tree": tree,
        "name": workspace.facts[tree].tree.name,
        "code": score.code,
        "year": score.label,
        "lead_days": score.lead_days,
        "seen": year.day_at(score.seen_index).isoformat(),
        "forecast_low": year.day_at(score.low_index).isoformat(),
        "forecast_median": year.day_at(score.median_index).isoformat(),
        "forecast_high": year.day_at(score.high_index).isoformat(),
        "error_days": round(score.error_days, 2),
        "inside": score.inside,
        "crps_days": round(score.crps_days, 3),
        "mean_error_days": None
        if score.mean_index is None
        else round(score.mean_index - score.seen_index, 2),
    }


def _totals_shape(each: Totals) -> Shape:
    rounded = {name: round(v, 3) if isinstance(v, float) else v for name, v in asdict(each).items()}
    return rounded | {"words": verdict_words(each)}


def verdict_words(each: Totals) -> str:
    """Whether bands are as wide as they say, in words.

    Parameters
    ----------
    each : Totals
        Of one lead.

    Returns
    -------
    str
        In the reader's language.
    """
    if each.n == 0:
        return _("nothing to judge by")
    return {
        "few": _("too few to judge by"),
        "narrow": _("bands are too narrow"),
        "wide": _("bands are wider than needed"),
        "fits": _("bands are as wide as they say"),
    }[each.verdict]


def _notes(answer: Shape, sums: Sequence[Totals], series: WeatherSeries) -> list[str]:
    from ringwise.weather.described import is_described

    if is_described(series.source):
        return [
            _("Described weather foretells no single spring: import weather, then past forecasts are scored.")
        ]
    notes = [
        counted(
            "{n} sighting is dated sharply enough to score.",
            "{n} sightings are dated sharply enough to score.",
            answer["sightings"],
        )
    ]
    lacking = answer["sightings"] - answer["sightings_scored"]
    if lacking:
        notes.append(
            counted(
                "For {n} of them no forecast could have been made: no full year of weather before it.",
                "For {n} of them no forecast could have been made: no full year of weather before them.",
                lacking,
            )
        )
    notes += [_against_mean(each) for each in sums if each.lead_days == _COMPARED_DAYS and each.compared]
    notes.append(
        _("A band should hold 8 in 10. Trees of one spring err together: seasons count for more than trees.")
    )
    if series.invented:
        notes.append(_("Weather and records of this yard are invented."))
    return notes


_COMPARED_DAYS = 14  # the lead at which the forecast is held against the tree's own mean in words


def _against_mean(each: Totals) -> str:
    model, mean = each.model_mae_days or 0.0, each.mean_mae_days or 0.0
    return _(
        "Two weeks ahead the forecast was off by {model} days, the tree's own mean by {mean}, over {n}."
    ).format(
        model=show.number(model, 2),
        mean=show.number(mean, 2),
        n=counted("{n} sighting", "{n} sightings", each.compared),
    )
