"""A tree as its pot's balance needs it: the curve of the pot, leaf, crown, place, and roots after work."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk.microsites import microsite_kind
from ringwise.desk.pot_curves import pot_curve
from ringwise.desk.structures import structure_entry, structure_of
from ringwise.kit.errors import RingwiseError

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.trace import Trace
    from ringwise.kit.types import FloatArray
    from ringwise.phenology.forecast import StageForecast
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.balance import PotWater
    from ringwise.rootzone.evaporation import Cover
    from ringwise.rootzone.leaf_area import LeafArea
    from ringwise.rootzone.mix import Recipe
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.rain_share import PlaceFactors
    from ringwise.rootzone.retention import RetentionCurve

_NEAR = {
    "wall": "bench",
    "open_bench": "bench",
    "cold_frame": "tunnel",
}  # microsites by the place they are like
_FINE = frozenset({"pine_bark", "aged_bark", "sphagnum", "coir", "peat"})


@dataclass(frozen=True)
class Drained:
    """The part of a pot's state that its balance begins with."""

    volume_cm3: float
    theta_v: FloatArray


@dataclass(frozen=True)
class HeldPot:
    """A pot as filled: its curve, its water at rest, and whether mix and weights are known."""

    shape: PotShape
    recipe: Recipe
    curve: RetentionCurve
    mix_known: bool
    weighed: bool
    words: tuple[str, ...]
    trace: Trace

    def water(self) -> PotWater:
        """What each draw of the pot holds: drained, when it is time to check, and at the stop of supply."""
        from ringwise.rootzone.balance import held_by
        from ringwise.rootzone.sections import pot_sections, volume_cm3, water_cm3

        filling = pot_sections(self.shape)
        volume = volume_cm3(filling)
        return held_by(self.shape, self.curve, Drained(volume, water_cm3(filling, self.curve) / volume))


@dataclass(frozen=True)
class Roots:
    """Root work that still limits the tree: share of fine roots kept, the day, and since when roots grow."""

    kept_frac: float
    cut: date
    growing: date


@dataclass(frozen=True)
class DryingTree:
    """A tree with all that its balance stands on but weather, watering and its own pace."""

    facts: TreeFacts
    held: HeldPot
    water: PotWater
    leaf: LeafArea
    crown_m2: float
    place: PlaceFactors
    place_kind: str
    top: Cover
    evergreen: bool
    roots: Roots | None


def held_pot(workspace: Workspace, facts: TreeFacts, draws: int) -> HeldPot:
    """The pot that a tree stands in with the curve of its mix.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    draws : int
        How many draws of the curve, evenly over those there are.

    Returns
    -------
    HeldPot
        With its water at rest.

    Raises
    ------
    MissingFieldError
        If the tree stands in no measured pot.
    """
    own = pot_curve(workspace, facts)
    return HeldPot(
        own.pot, own.recipe, _chosen(own.curve, draws), own.known, own.weighed, own.words, own.trace
    )


def place_kinds(workspace: Workspace) -> dict[str, str]:
    """The kind of place by which rain and air of each place are told.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict of str to str
        By the name of the place: as stated for its weather, else as in the record.
    """
    kinds: dict[str, str] = {}
    for facts in workspace.facts.values():
        if facts.place is not None and facts.place.place not in kinds:
            stated = microsite_kind(workspace, facts.place.place)
            kept = facts.place.kind in {"show", "lent"}
            kinds[facts.place.place] = facts.place.kind if kept else _NEAR.get(stated, stated)
    return kinds


def _chosen(curve: RetentionCurve, draws: int) -> RetentionCurve:
    import numpy as np

    from ringwise.rootzone.retention import RetentionCurve

    if curve.draws <= draws:
        return curve
    at = np.linspace(0, curve.draws - 1, draws).round().astype(int)
    return RetentionCurve(*(getattr(curve, name)[at] for name in RetentionCurve.__dataclass_fields__))


def _crown_m2(workspace: Workspace, facts: TreeFacts) -> tuple[float, bool]:
    """Ground below the crown, and whether branches tell it; 0 where nothing of the tree was measured."""
    from ringwise.rootzone.due import watering_row
    from ringwise.rootzone.leaf_area import crown_m2
    from ringwise.structure.tape import clock_direction, tape_from_json

    entry = structure_entry(facts)
    if entry is not None and entry.kind == "shape":
        ends_mm = structure_of(workspace, facts).table.end_mm
        wide_mm, deep_mm = (float(ends_mm[:, axis].max() - ends_mm[:, axis].min()) for axis in (0, 1))
        return crown_m2(wide_mm, deep_mm), True
    branches = () if entry is None else tape_from_json(entry.data).branches
    reaches = [(b.clock, b.length_mm) for b in branches if b.clock is not None and b.length_mm is not None]
    if reaches:
        tips = [clock_direction(clock) * length_mm for clock, length_mm in reaches]
        wide_mm, deep_mm = (2.0 * max(abs(float(tip[axis])) for tip in tips) for axis in (0, 1))
        longest_mm = max(length_mm for _clock, length_mm in reaches)
        return crown_m2(max(wide_mm, longest_mm), max(deep_mm, longest_mm)), True
    if facts.height_mm is None:
        return 0.0, False
    return crown_m2(watering_row("crown", "width_ratio").number * facts.height_mm), False


def _leaf(covered_m2: float, measured: bool, area_m2: float) -> LeafArea:
    from ringwise.kit.ranged import SDS_OF_80
    from ringwise.rootzone.due import watering_row
    from ringwise.rootzone.leaf_area import joined, leaf_of_crown, leaf_of_pot

    by_pot = leaf_of_pot(area_m2)
    if covered_m2 <= 0:
        return by_pot
    by_crown = leaf_of_crown(covered_m2)
    if measured:
        return by_crown
    row = watering_row("crown", "width_ratio")
    width_sd_log = math.log((row.high or row.number) / (row.low or row.number)) / (2.0 * SDS_OF_80)
    wide = replace(
        by_crown, sd_log=math.hypot(by_crown.sd_log, 2.0 * width_sd_log)
    )  # area goes with its square
    return joined([wide, by_pot])


_EVERY = 5  # sample of the stages: their mean share of leaf needs no more


def _roots(facts: TreeFacts, today: date, forecast: StageForecast | None) -> Roots | None:
    from ringwise.records.observations import ROOTS_ACTIVE
    from ringwise.rootzone.due import watering_row
    from ringwise.season.carry import ROOT_WORK
    from ringwise.season.jobs import share_of
    from ringwise.season.risk import FIRST_LEAF

    back = timedelta(weeks=watering_row("roots", "back_weeks").number)
    for work in reversed(facts.works):
        cut = work.on.by
        if cut is None or str(work.data.get("operation")) not in ROOT_WORK:
            continue
        if today - cut > back:
            return None
        told = share_of(work, "root_removed_frac")
        removed = watering_row("roots", "removed_frac").number if told is None else told
        seen = [e.on.by for e in facts.entries if e.kind == "stage" and e.data.get("code") == ROOTS_ACTIVE]
        active = [day for day in seen if day is not None and day >= cut]
        growing = cut
        if active:
            growing = min(active)
        elif forecast is not None and FIRST_LEAF in forecast.codes:
            growing = max(cut, forecast.band(FIRST_LEAF).median)
        return Roots(1.0 - removed, cut, growing)
    return None


def drying_tree(
    workspace: Workspace, facts: TreeFacts, forecast: StageForecast | None, *, kind: str, draws: int
) -> DryingTree | None:
    """A tree as its balance needs it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    forecast : StageForecast or None
        Of its leaves; None where its kind is in no list.
    kind : str
        Of the place where it stands, from `place_kinds`.
    draws : int
        How many draws of the pot's curve.

    Returns
    -------
    DryingTree or None
        None where the tree stands in no measured pot, or in the ground.
    """
    from ringwise.rootzone.evaporation import cover
    from ringwise.rootzone.rain_share import place_factors
    from ringwise.season.carry import in_ground

    if in_ground(facts, stated=kind):
        return None
    try:
        held = held_pot(workspace, facts, draws)
        water = held.water()
    except RingwiseError:  # no pot, no measures, or too shallow to hold anything above its floor
        return None
    area_m2 = float(water.area_m2[0])
    covered_m2, measured = _crown_m2(workspace, facts)
    total = sum(share for _key, share in held.recipe.parts)
    organic = sum(share for key, share in held.recipe.parts if key in _FINE)
    return DryingTree(
        facts=facts,
        held=held,
        water=water,
        leaf=_leaf(covered_m2, measured, area_m2),
        crown_m2=covered_m2,
        place=place_factors(kind),
        place_kind=kind,
        top=cover("fine" if organic > total / 2.0 else "granule"),
        evergreen=forecast is None or "97" not in forecast.codes,
        roots=_roots(facts, workspace.today, forecast),
    )


def leaf_share(
    tree: DryingTree,
    forecast: StageForecast | None,
    first: date,
    days: int,
    before: StageForecast | None = None,
) -> FloatArray:
    """The share of its leaves that a tree bears on some days, mean over the samples of its stages.

    Parameters
    ----------
    tree : DryingTree
        The tree.
    forecast : StageForecast or None
        Of its leaves; without one it counts as in full leaf.
    first : date
        The first day.
    days : int
        How many.
    before : StageForecast, optional
        Of the growing year before, where its leaves may still hang.

    Returns
    -------
    (days,) float
        0 to 1.
    """
    import numpy as np

    from ringwise.rootzone.leaf_area import leaf_share_frac

    if forecast is None or tree.evergreen:
        return np.ones(days)

    def of(year: StageForecast) -> FloatArray:
        start = year.year.day_index(first)
        asked = np.arange(start, start + days, dtype=np.float64)
        return np.asarray(leaf_share_frac(asked, year.days[::_EVERY], year.codes).mean(axis=0))

    now = of(forecast)
    return now if before is None else np.maximum(now, of(before))
