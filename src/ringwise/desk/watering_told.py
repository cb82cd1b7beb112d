"""The watering order of the yard as documented values and lines: what is due, by place, not measured last."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.watering import Band, TreeWater, YardWater, horizon_days, yard_water
from ringwise.desk.watering_words import band_words, lasts_words, span_words
from ringwise.kit import show
from ringwise.kit.words import _, counted
from ringwise.rootzone.due import watering_row

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace

DUE, SOON, LATER, WET, REST, FROST, UNKNOWN = "due", "soon", "later", "wet", "rest", "frost", "unknown"
GROUND = "ground"


def state_of(water: TreeWater) -> str:
    """What a tree wants, as a key.

    Parameters
    ----------
    water : TreeWater
        Of the tree.

    Returns
    -------
    str
        due (within a day), soon, later, wet (not as far as the balance looks), rest (leafless), frost, ground
        or unknown.
    """
    from ringwise.season.carry import in_ground

    if water.tree is None:
        return GROUND if in_ground(water.facts) else UNKNOWN
    soon = watering_row("due", "soon_days").number
    if water.frost and water.leafless:
        return FROST
    if water.due.median_days < 1.0:
        return DUE
    if water.due.median_days < soon:
        return SOON
    if water.leafless:
        return REST
    return WET if math.isinf(water.due.low_days) else LATER


def water_words(water: TreeWater, today: date) -> str:
    """When a tree wants water, in one clause that asks to check first.

    Parameters
    ----------
    water : TreeWater
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    str
        In the reader's language.
    """
    state = state_of(water)
    if state == GROUND:
        return _("stands in the ground")
    if state == UNKNOWN:
        return _("cannot be told: its pot was never measured")
    if state == FROST:
        return _("frost: no water on a frozen pot; check on a mild morning")
    if state == REST:
        return _("leafless: water seldom; check about every {n} days").format(
            n=show.number(rest_check_days(water))
        )
    if state == WET:
        return _("no water needed for {n} days, as far as the balance tells").format(n=horizon_days())
    words = band_words(
        water.due.low_days,
        water.due.high_days,
        today,
        evening_frac=watering_row("due", "evening_frac").number,
        horizon_days=horizon_days(),
    )
    if water.frost and state in {DUE, SOON}:
        return _("{words}; never a frozen pot").format(words=words)
    return _("{words}; look morning and evening").format(words=words) if water.twice else words


def rest_check_days(water: TreeWater) -> int:
    """How often a leafless tree is looked at: as practice has it, sooner where its pot dries before.

    Parameters
    ----------
    water : TreeWater
        Of the tree.

    Returns
    -------
    int
        Days, at least one.
    """
    usual = watering_row("rest", "check_days").number
    return max(1, math.floor(min(usual, water.lasts.median_days)))


def when_words(water: TreeWater, today: date) -> str:
    """When a tree is checked, then watered, in the few words of a table whose head says the rest.

    Parameters
    ----------
    water : TreeWater
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    str
        Blank where nothing can be told.
    """
    state = state_of(water)
    if state in {GROUND, UNKNOWN}:
        return ""
    if state == FROST:
        return _("frost: on a mild morning")
    if state == REST:
        return _("seldom: look every {n} days").format(n=show.number(rest_check_days(water)))
    if state == WET:
        return _("not within {n} days").format(n=horizon_days())
    when = span_words(
        water.due.low_days,
        water.due.high_days,
        today,
        evening_frac=watering_row("due", "evening_frac").number,
    )
    if not water.twice:
        return when
    soon = water.due.low_days < 1.0
    return _("morning and evening") if soon else _("{when}, morning and evening").format(when=when)


def need_order(water: TreeWater) -> tuple[bool, bool, float, float, str]:
    """What makes a tree come before another: something of it was measured, then it is due sooner.

    Parameters
    ----------
    water : TreeWater
        Of the tree.

    Returns
    -------
    tuple
        To sort by.
    """
    return (
        water.tree is None,
        not water.measured,
        water.due.median_days,
        water.due.low_days,
        water.facts.tree.id,
    )


def _number(days: float) -> float | None:
    return None if math.isinf(days) else round(days, 2)


def _date(days: float, today: date) -> str | None:
    return None if math.isinf(days) else (today + timedelta(days=math.floor(days))).isoformat()


def _band(name: str, band: Band) -> Shape:
    return {
        f"{name}_low_days": _number(band.low_days),
        f"{name}_median_days": _number(band.median_days),
        f"{name}_high_days": _number(band.high_days),
    }


def row_of(water: TreeWater, today: date) -> Shape:
    """The documented keys of one tree in the watering order.

    Parameters
    ----------
    water : TreeWater
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    dict
        As documented for `ringwise water`; bands that reach beyond the balance are None there.
    """
    facts, told = water.facts, water.tree is not None
    return {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "place": "" if facts.place is None else facts.place.place,
        "state": state_of(water),
        "words": water_words(water, today),
        "when_shown": when_words(water, today),
        "measured": water.measured,
        "twice": water.twice,
        **_band("due", water.due),
        "due_low": _date(water.due.low_days, today),
        "due_median": _date(water.due.median_days, today),
        "due_high": _date(water.due.high_days, today),
        **_band("lasts", water.lasts),
        "lasts_shown": lasts_words(
            water.lasts.low_days, water.lasts.median_days, water.lasts.high_days, horizon_days=horizon_days()
        )
        if told
        else "",
        "full_from": water.full.day.isoformat() if told else None,
        "full_how": water.full.how if told else None,
        "full_words": water.full.words if told else "",
        "leaf_frac": round(water.leaf_frac, 3) if told else None,
        "why": f"{facts.tree.id}:water:due" if told else None,
    }


def watering_order(workspace: Workspace) -> Shape:
    """The yard in watering order.

    Parameters
    ----------
    workspace : Workspace
        The collection, with weather.

    Returns
    -------
    dict
        Keys today, heading, trees (measured ones first, by need), places (the order in which places are
        walked), notes.

    Raises
    ------
    MissingFieldError
        If there is no weather that tells evaporation.
    """
    made = yard_water(workspace)
    ordered = sorted(made.trees.values(), key=need_order)
    rows = [row_of(each, workspace.today) for each in ordered]
    due = [row for row in rows if row["state"] in {DUE, SOON}]
    return {
        "today": workspace.today.isoformat(),
        "heading": _("Watering order, {day}: {trees} within {days}").format(
            day=show.day(workspace.today, year=True),
            trees=counted("{n} tree due", "{n} trees due", len(due)),
            days=counted("{n} day", "{n} days", round(watering_row("due", "soon_days").number)),
        ),
        "trees": rows,
        "places": list(dict.fromkeys(row["place"] for row in rows if row["state"] not in {GROUND, UNKNOWN})),
        "notes": water_notes(workspace, made, ordered),
    }


def water_notes(
    workspace: Workspace, made: YardWater, trees: Sequence[TreeWater], *, one: bool = False
) -> list[str]:
    """What a reader of a watering order must know of what it stands on.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    made : YardWater
        Of the yard.
    trees : sequence of TreeWater
        Those that are told.
    one : bool
        They are one tree, whose own lines tell where it begins and what was measured.

    Returns
    -------
    list of str
        Sentences.
    """
    from ringwise.desk.weather_under import weather_notes

    notes = [_("Check each pot by weight or with a skewer at half depth; then water. Bands are 10 to 90 %.")]
    if not one:
        notes += _yard_notes(workspace, trees)
    weathers = list(made.weather.values())
    if any(each.coarse_frac > 0 for each in weathers):
        notes.append(
            _("Evaporation stands on temperatures alone on {share} of the days: it is coarse.").format(
                share=show.percent(max(each.coarse_frac for each in weathers))
            )
        )
    if not any(each.rain_known for each in weathers):
        notes.append(_("No rain is known: the weather has none, so every day counts as dry."))
    return notes + weather_notes(workspace, made.yard.series)


def _yard_notes(workspace: Workspace, trees: Sequence[TreeWater]) -> list[str]:
    """Where the trees of a yard begin, and what was measured of them."""
    from ringwise.desk.watering_signs import far_off
    from ringwise.desk.watering_start import ASSUMED

    notes = []
    told = [each for each in trees if each.tree is not None]
    assumed = sum(1 for each in told if each.full.how == ASSUMED)
    if assumed:
        notes.append(
            counted(
                "{n} tree has no full watering written down: assumed full on the morning of {{day}}.",
                "{n} trees have no full watering written down: assumed full on the morning of {{day}}.",
                assumed,
            ).format(day=show.day(workspace.today - timedelta(days=1)))
        )
    unmeasured = sum(1 for each in told if not each.measured)
    if unmeasured:
        notes.append(
            counted(
                "{n} tree was never measured: its band rests on size and mix. Write down days to dry: "
                "ringwise log TREE dry 1.5",
                "{n} trees were never measured: their bands rest on size and mix. Write down days to dry: "
                "ringwise log TREE dry 1.5",
                unmeasured,
            )
        )
    apart = [each.facts.tree.id for each in told if far_off(each)]
    if apart:
        notes.append(
            _(
                "Measured days to dry lie far from those reckoned: {trees}. Weigh them: ringwise weigh TREE"
            ).format(trees=", ".join(sorted(apart)))
        )
    return notes
