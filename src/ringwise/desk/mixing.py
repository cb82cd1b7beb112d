"""The wish for mix: litres of each part for trees or for a volume, in scoops, and what to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeGuard

from ringwise.desk.mix_typed import typed_recipe
from ringwise.desk.own_components import own_components
from ringwise.desk.potting import PottingWish, planned_work, pot_job
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, UnknownNameError, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.batches import Batch, MixNeed
    from ringwise.rootzone.components import Component
    from ringwise.rootzone.mix import Grain, Recipe

_MOST_CM3 = 5_000_000.0  # five cubic metres: more is a slip of the unit
_TOLD_YIELD = 0.96  # what is lost up to here is within the planning figures


@dataclass(frozen=True)
class MixWish:
    """What was typed for `ringwise mix`."""

    trees: tuple[str, ...] = ()
    recipe: str | None = None
    litres: str | None = None
    scoop: str | None = None
    pot: str | None = None


def _volume(text: str, field: str) -> float:
    volume = parse_quantity(text, "volume", field=field, default_unit="L")
    if not 0 < volume <= _MOST_CM3:
        raise out_of_range(field, text, _("above 0 to 5000 L"))
    return volume


def _needs(workspace: Workspace, wish: MixWish) -> list[MixNeed]:
    from ringwise.rootzone.batches import MixNeed
    from ringwise.rootzone.mix import gross_cm3
    from ringwise.rootzone.potting import potting

    if wish.litres is not None:
        if wish.trees:
            raise InputError(_("give either trees or --litres, not both"))
        if wish.recipe is None:
            raise MissingFieldError(_("--recipe is needed with --litres, such as --recipe D"))
        mix = typed_recipe(workspace, wish.recipe)
        kept = _yield(mix, own_components(workspace))
        volume = gross_cm3(_volume(wish.litres, "--litres"))
        return [MixNeed(wish.litres, mix, volume / kept if _is_told(kept) else volume)]
    if not wish.trees:
        raise MissingFieldError(_("name trees, or give --recipe D --litres 4.5L"))
    if wish.pot is not None and len(wish.trees) > 1:
        raise InputError(_("--pot goes with one tree; there are {n}").format(n=len(wish.trees)))
    needs = []
    for facts in map(workspace.facts_of, wish.trees):
        if wish.pot is None and len(wish.trees) > 1 and _stays_in_ground(facts):
            continue
        job = pot_job(workspace, facts, PottingWish(wish.pot, wish.recipe), planned_work(facts, "repot"))
        needs.append(potting(job).need(facts.tree.id))
    if not needs:
        raise MissingFieldError(_("these trees stand in the ground and need no mix; name a pot with --pot"))
    return needs


def _stays_in_ground(facts: TreeFacts) -> bool:
    """Whether a tree of a bench list takes no mix: it stands in the ground, and no plan puts it in a pot."""
    in_ground = facts.place is not None and facts.place.kind == "ground" and facts.pot is None
    return in_ground and not any(plan.data.get("pot") for plan in facts.planned)


def _ground_lines(workspace: Workspace, wish: MixWish) -> list[str]:
    if wish.pot is not None or len(wish.trees) < 2:
        return []
    names = [f.tree.id for f in map(workspace.facts_of, wish.trees) if _stays_in_ground(f)]
    return [_("No mix for {trees}: in the ground.").format(trees=", ".join(names))] if names else []


def mix_batches(workspace: Workspace, wish: MixWish) -> Shape:
    """Batches of mix for trees or a volume, and what to order for all of them.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : MixWish
        What was typed.

    Returns
    -------
    dict
        Key batches, each with recipe, yield, gross_l, parts, made_l, leftover_l, for; shopping; and lines.

    Raises
    ------
    InputError
        If the wish does not read.
    """
    from ringwise.rootzone.batches import batches

    asked = None if wish.scoop is None else _volume(wish.scoop, "--scoop")
    made = batches(_needs(workspace, wish), scoop_cm3=asked)
    scoop = made[0].scoop_cm3
    own = own_components(workspace)
    lines: list[str] = []
    kept = [_yield(batch.recipe, own) for batch in made]
    for batch, share in zip(made, kept, strict=True):
        lines += _batch_lines(batch, wish.litres)
        if _is_told(share):
            text = _("  sizes so different lose {lost} of the volume on mixing; the litres allow for it")
            lines.append(text.format(lost=show.percent(1 - share)))
    lines += _ground_lines(workspace, wish)
    shopping = _shopping(made, own)
    lines += _shopping_lines(shopping)
    lines.append(_("Planning figures: settling 15 %, waste 5 %. Moisten and sieve dry granules before use."))
    return {
        "batches": [_batch_shape(b, share) for b, share in zip(made, kept, strict=True)],
        "scoop_l": scoop / 1000,
        "shopping": shopping,
        "lines": lines,
    }


def _is_told(kept: float | None) -> TypeGuard[float]:
    return kept is not None and kept < _TOLD_YIELD


def _yield(recipe: Recipe, own: Mapping[str, Component]) -> float | None:
    """Volume that mixing keeps; None where a part is not known."""
    from ringwise.rootzone.blend import blend

    try:
        return float(blend(recipe, own=own).yield_frac)
    except UnknownNameError:
        return None


def _batch_shape(batch: Batch, kept: float | None) -> Shape:
    counts = dict(batch.scoops)
    return {
        "recipe": batch.recipe.code,
        "yield": kept,
        "gross_l": batch.gross_cm3 / 1000,
        "parts": [
            {"component": key, "volume_l": volume / 1000, "scoops": counts[key]}
            for key, volume in batch.parts_cm3
        ],
        "made_l": batch.made_cm3 / 1000,
        "leftover_l": batch.leftover_cm3 / 1000,
        "for": [_need_shape(need) for need in batch.needs],
    }


def _shopping(made: Sequence[Batch], own: Mapping[str, Component]) -> list[Shape]:
    """Litres of each component over all batches, in whole scoops, and their dry mass where it is known."""
    from ringwise.rootzone.components import component, component_name

    litres: dict[str, float] = {}
    for batch in made:
        for key, count in batch.scoops:
            litres[key] = litres.get(key, 0.0) + count * batch.scoop_cm3 / 1000
    rows: list[Shape] = []
    for key, volume_l in litres.items():
        mass: Shape | None = None
        try:
            bulk = component(key, own).bulk_kg_l
            low, high = (max(bulk.value + step * bulk.sd, 0.0) * volume_l for step in (-1, 1))
            mass = {"low": low, "median": bulk.value * volume_l, "high": high}
        except UnknownNameError:  # a part of the grower's own that nobody weighed
            pass
        rows.append({"component": key, "label": component_name(key), "volume_l": volume_l, "mass_kg": mass})
    return rows


def _shopping_lines(rows: Sequence[Shape]) -> list[str]:
    lines = [_("To order, for all of it:")]
    for row in rows:
        volume = show.litres(row["volume_l"] * 1000)
        mass = row["mass_kg"]
        if mass is None:
            lines.append(_("  {part}: {volume}, not weighed").format(part=row["label"], volume=volume))
        else:
            low, high = (float(f"{1000 * mass[end]:.2g}") for end in ("low", "high"))  # no more is known
            weight = show.mass_span(low, high)
            lines.append(
                _("  {part}: {volume}, about {mass} dry").format(
                    part=row["label"], volume=volume, mass=weight
                )
            )
    lines.append(_("Weigh one litre of each before you order by mass: do not trust a table."))
    return lines


def _grain_lines(batch: Batch) -> list[str]:
    """The sieve cut, by tree where the depths of their pots ask for several."""
    cuts: dict[Grain, list[str]] = {}
    for need in batch.needs:
        if need.grain is not None:
            cuts.setdefault(need.grain, []).append(need.label)
    if not cuts:
        return []
    spans = [(show.length_span(grain.from_mm, grain.to_mm), names) for grain, names in cuts.items()]
    if len(spans) == 1:
        return [_("  grains {cut}").format(cut=spans[0][0])]
    told = (_("{cut} for {trees}").format(cut=cut, trees=", ".join(names)) for cut, names in spans)
    return [_("  grains {cut}").format(cut="; ".join(told))]


def _need_shape(need: MixNeed) -> Shape:
    return {
        "label": need.label,
        "gross_l": need.gross_cm3 / 1000,
        "grain_from_mm": None if need.grain is None else need.grain.from_mm,
        "grain_to_mm": None if need.grain is None else need.grain.to_mm,
    }


def _batch_lines(batch: Batch, litres: str | None) -> list[str]:
    from ringwise.rootzone.components import component_name

    ratio = " : ".join(f"{component_name(key)} {show.number(part, 2)}" for key, part in batch.recipe.parts)
    scoops = dict(batch.scoops)
    lines = [
        _("Mix {code} ({ratio}): make {gross}").format(
            code=batch.recipe.code, ratio=ratio, gross=show.litres(batch.gross_cm3)
        ),
        _("  for {trees}").format(
            trees=", ".join(f"{n.label} {show.litres(n.gross_cm3)}" for n in batch.needs)
        )
        if litres is None
        else _("  to fill {volume}").format(volume=show.litres(_volume(litres, "--litres"))),
        *_grain_lines(batch),
    ]
    for key, volume in batch.parts_cm3:
        lines.append(
            _("  {part}: {volume}, {n} × scoop of {scoop}").format(
                part=component_name(key),
                volume=show.litres(volume),
                n=scoops[key],
                scoop=show.litres(batch.scoop_cm3),
            )
        )
    lines.append(
        _("  whole scoops make {made}, left over {left}").format(
            made=show.litres(batch.made_cm3), left=show.litres(batch.leftover_cm3)
        )
    )
    return lines
