"""Mixes side by side in one pot: air at the bottom, days between waterings, feed, life, the old soil."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.mix_drying import Drying, MixDays, drying_of
from ringwise.desk.mix_typed import typed_recipes
from ringwise.desk.pot_mixes import blended, own_parts, pot_mix
from ringwise.desk.potting import destination_pot, recipe_of, shape_of
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.blend import Blend
    from ringwise.rootzone.breakdown import GrainLife
    from ringwise.rootzone.container import ContainerState
    from ringwise.rootzone.mix import Grain, Recipe
    from ringwise.rootzone.pot import PotShape

_MOST = 12  # mixes side by side
_PROBS = (0.1, 0.5, 0.9)
_WHOLE_DAYS = 10.0  # from which halves of a day mean nothing
_LONG_YEARS = 30.0  # beyond it a pot was repotted long since


@dataclass(frozen=True)
class CompareWish:
    """What was typed: the tree, a purpose or mixes to compare, another pot, one watering a day."""

    tree: str
    purpose: str | None = None
    compare: str | None = None
    pot: str | None = None
    once_a_day: bool = False


@dataclass(frozen=True)
class OldSoil:
    """What stays of the old soil: the grain size that counts, crumbled as it may be, and as potted."""

    crumbled_mm: float
    potted_mm: float


@dataclass(frozen=True)
class TriedMix:
    """One mix in the pot."""

    recipe: Recipe
    grain: Grain
    blend: Blend
    state: ContainerState
    life: GrainLife
    ph: tuple[float, float] | None
    why: str = ""


def compare_mixes(workspace: Workspace, wish: CompareWish) -> Shape:
    """Mixes side by side in the pot of a tree.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : CompareWish
        What was typed.

    Returns
    -------
    dict
        Keys tree, pot, purpose, looks_for, mixes (each with recipe, parts, air_bottom_v,
        air_filled_porosity_v, water_l, available_l, spring_days, hottest_days, risk_days, cec_cmol_l,
        ph_low, ph_high, feed, life_years, texture), assumed and lines.

    Raises
    ------
    InputError
        If a mix, a purpose or a pot does not read.
    """
    from ringwise.rootzone.purpose import checked_purpose, looks_for

    purpose = None if wish.purpose is None else checked_purpose(wish.purpose)
    facts = workspace.facts_of(wish.tree)
    pot = _pot(workspace, facts, wish.pot)
    named = [] if wish.compare is None else typed_recipes(workspace, wish.compare)
    drying = drying_of(workspace, facts)
    asked = _asked(workspace, facts, pot, named, purpose, drying)
    tried = [_tried(workspace, each, pot, why) for each, why in asked]
    water = drying.in_mixes(pot, [each.blend.curve for each in tried])
    old = _old_soil(workspace, facts)
    rows = [
        _row(each, days, old, purpose, once_a_day=wish.once_a_day)
        for each, days in zip(tried, water, strict=True)
    ]
    assumed = list(drying.assumed)
    lines = [_title(facts, pot, purpose)]
    lines += _rows_lines(rows)
    lines += assumed
    lines.append(_("These are ranges from what is known of the parts. Weigh a pot to narrow them."))
    return {
        "tree": facts.tree.id,
        "pot": wish.pot or (facts.pot.id if facts.pot else None),
        "purpose": purpose,
        "looks_for": None if purpose is None else looks_for(purpose),
        "mixes": rows,
        "assumed": assumed,
        "lines": lines,
    }


def _pot(workspace: Workspace, facts: TreeFacts, asked: str | None) -> PotShape:
    from ringwise.rootzone.pot import practice_fill

    shape = shape_of(destination_pot(workspace, facts, asked, None))
    return shape.filled(practice_fill(shape))


def _asked(
    workspace: Workspace,
    facts: TreeFacts,
    pot: PotShape,
    named: Sequence[Recipe],
    purpose: str | None,
    drying: Drying,
) -> list[tuple[Recipe, str]]:
    """The mixes to compare, each once, with a reason where it has one of its own."""
    from ringwise.rootzone.mix import recipe
    from ringwise.rootzone.purpose import modifiers, purpose_row

    found: dict[Recipe, str] = dict.fromkeys(named, "")
    usual = recipe_of(workspace, facts, None, None)
    if purpose is not None:
        found |= dict.fromkeys((recipe(code) for code in purpose_row(purpose, "recipes").items), "")
        found.setdefault(usual, _("the usual one of its kind"))
        for each in modifiers(usual, pot, drying.site):
            found.setdefault(each.recipe, each.why)
    if not found:
        raise MissingFieldError(_("name a purpose or mixes to compare, such as --purpose build"))
    if len(found) > _MOST:
        raise InputError(_("{n} mixes to compare; {most} at most.").format(n=len(found), most=_MOST))
    return list(found.items())


def _tried(workspace: Workspace, recipe: Recipe, pot: PotShape, why: str) -> TriedMix:
    from ringwise.rootzone.breakdown import grain_life
    from ringwise.rootzone.components import ph_span
    from ringwise.rootzone.container import container_state
    from ringwise.rootzone.mix import grain_for

    own = own_parts(workspace, recipe)
    grain = grain_for(pot.fill_height_mm, recipe.code)
    mixed = blended(recipe, grain, workspace.seed, own)
    state = container_state(pot, mixed.curve)
    ph = ph_span([key for key, _share in recipe.parts], own)
    return TriedMix(recipe, grain, mixed, state, grain_life(recipe, grain, pot, own), ph, why)


def _old_soil(workspace: Workspace, facts: TreeFacts) -> OldSoil | None:
    """The soil in the tree's pot today, aged by its years; None where nothing is known of the pot."""
    import numpy as np

    from ringwise.desk.pot_curves import pot_curve

    try:
        now, potted = pot_curve(workspace, facts), pot_mix(workspace, facts)
    except MissingFieldError:
        return None
    return OldSoil(*(float(np.median(each.blend.effective_mm)) for each in (now, potted)))


def _row(
    each: TriedMix, days: MixDays, old: OldSoil | None, purpose: str | None, *, once_a_day: bool
) -> Shape:
    import numpy as np

    from ringwise.rootzone.purpose import feed_words, texture_words

    cec = float(np.median(each.blend.cec_cmol_l))
    mm = float(np.median(each.blend.effective_mm))
    row: Shape = {
        "recipe": each.recipe.code,
        "parts": [{"component": key, "share": share} for key, share in each.recipe.parts],
        "ratio": each.recipe.words,
        "reason": each.why or each.recipe.why or None,
        "grain_from_mm": each.grain.from_mm,
        "grain_to_mm": each.grain.to_mm,
        "effective_mm": mm,
        "air_bottom_v": _band(each.state.air_bottom_v),
        "air_filled_porosity_v": _band(each.state.air_filled_porosity_v),
        "water_l": float(np.median(each.state.water_cm3)) / 1000,
        "available_l": float(np.median(each.state.available_water_cm3)) / 1000,
        "spring_days": days.spring,
        "hottest_days": days.hottest,
        "risk_days": days.risk,
        "cec_cmol_l": cec,
        "ph_low": None if each.ph is None else each.ph[0],
        "ph_high": None if each.ph is None else each.ph[1],
        "feed": _("none until vigour is back") if purpose == "rescue" else feed_words(cec),
        "life_years": _life_shape(each.life),
        "texture": None if old is None else texture_words((old.crumbled_mm, old.potted_mm), mm),
    }
    return row | {"lines": _row_lines(each, row, once_a_day=once_a_day)}


def _rows_lines(rows: Sequence[Shape]) -> list[str]:
    """The lines of all mixes; what is the same for each of several is said once, below them."""
    same = [line for line in rows[0]["lines"] if all(line in row["lines"] for row in rows)]
    if len(rows) < 2 or not same:
        return [line for row in rows for line in row["lines"]]
    own = [line for row in rows for line in row["lines"] if line not in same]
    return [*own, _("The same for all of them:"), *same]


def _band(drawn: FloatArray) -> Shape:
    import numpy as np

    return dict(zip(("low", "median", "high"), (float(v) for v in np.quantile(drawn, _PROBS)), strict=True))


def _life_shape(life: GrainLife) -> Shape | None:
    """Years until the grains have crumbled to the floor of air; None where none of them crumbles."""
    if not life.crumbles:
        return None
    ends = (life.low_years, life.median_years, life.high_years)
    years = (end if math.isfinite(end) else None for end in ends)
    return dict(zip(("low", "median", "high"), years, strict=True))


def _row_lines(each: TriedMix, row: Shape, *, once_a_day: bool) -> list[str]:
    head = _("{code}: {words}, grains {cut}").format(
        code=each.recipe.code,
        words=each.recipe.words,
        cut=show.length_span(each.grain.from_mm, each.grain.to_mm),
    )
    if row["reason"]:
        head += f" ({row['reason']})"
    lines = [
        head,
        _("  air in the lowest 2 cm {bottom}, in all {air}").format(
            bottom=_percent_span(row["air_bottom_v"]), air=_percent_span(row["air_filled_porosity_v"])
        ),
        _("  holds {water} drained, {free} of it until it is time to check").format(
            water=show.litres(1000 * row["water_l"], 2), free=show.litres(1000 * row["available_l"], 2)
        ),
        _("  between waterings without rain: in spring {spring}, in the hottest week {hottest}").format(
            spring=_days(row["spring_days"]), hottest=_days(row["hottest_days"])
        ),
    ]
    risk = row["risk_days"]
    if risk["median"] is not None and (once_a_day or risk["median"] >= 1):
        lines.append(_("  watered once a day: {days} of a season end too dry").format(days=_whole(risk)))
    lines.append(_("  feed: {feed}").format(feed=row["feed"]))
    if each.ph is not None:
        lines.append(
            _("  pH of its parts {low} to {high}").format(
                low=show.number(each.ph[0], 2), high=show.number(each.ph[1], 2)
            )
        )
    lines.append(_("  grains: {life}").format(life=_life_words(each.life)))
    if row["texture"] is not None:
        lines.append(_("  the old soil: {texture}").format(texture=row["texture"]))
    return lines


def _percent_span(band: Shape) -> str:
    return _("{low} to {high} %").format(
        low=show.fixed(100 * band["low"], 0), high=show.fixed(100 * band["high"], 0)
    )


def _days(band: Shape) -> str:
    """A band of days; beyond what was reckoned it is "more than"."""
    low, high = band["low"], band["high"]
    if low is None:
        return _("more than a month")
    first = _about(low)
    if high is None:
        return _("{low} days or more").format(low=first)
    last = _about(high)
    return (
        _("{low} days").format(low=first)
        if first == last
        else _("{low} to {high} days").format(low=first, high=last)
    )


def _whole(band: Shape) -> str:
    """A count of days."""
    low, high = show.fixed(band["low"], 0), show.fixed(band["high"], 0)
    return (
        _("{low} days").format(low=low)
        if low == high
        else _("{low} to {high} days").format(low=low, high=high)
    )


def _about(days: float) -> str:
    return show.fixed(days, 1 if days < _WHOLE_DAYS else 0)


def _life_words(life: GrainLife) -> str:
    if not life.crumbles:
        return _("none of them crumbles")
    if life.low_years == 0:
        return _("so fine that the pot has little air from the start")
    if not math.isfinite(life.low_years):
        return _("those that crumble are too few to take its air")
    if not math.isfinite(life.high_years) or life.high_years > _LONG_YEARS:
        return _("last {low} years or more").format(low=show.number(life.low_years, 2))
    return _("last {low} to {high} years, then they leave too little air").format(
        low=show.number(life.low_years, 2), high=show.number(life.high_years, 2)
    )


def _title(facts: TreeFacts, pot: PotShape, purpose: str | None) -> str:
    from ringwise.rootzone.purpose import looks_for

    where = _("{tree} {name}, {depth} of soil").format(
        tree=facts.tree.id, name=facts.tree.name, depth=show.length(pot.fill_height_mm)
    )
    if purpose is None:
        return where
    return _("{where}; to {purpose}: {wish}").format(
        where=where, purpose=_purpose_words()[purpose], wish=looks_for(purpose)
    )


def _purpose_words() -> dict[str, str]:
    return {"build": _("build"), "hold": _("hold"), "refine": _("refine"), "rescue": _("rescue")}
