"""Many pots, few mixes: one batch for each recipe, in whole scoops, with what is left over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringwise.kit.show import litres, spanned
from ringwise.kit.tables import load_table
from ringwise.kit.units import in_range
from ringwise.kit.words import _
from ringwise.rootzone.mix import Grain, Recipe, split


@dataclass(frozen=True)
class MixNeed:
    """What one pot needs: whose it is, the recipe, the litres to make, and the cut where one is known."""

    label: str
    recipe: Recipe
    gross_cm3: float
    grain: Grain | None = None


@dataclass(frozen=True)
class Batch:
    """One mix for many pots: whole scoops of each part, what that makes and what is left over."""

    recipe: Recipe
    needs: tuple[MixNeed, ...]
    gross_cm3: float
    parts_cm3: tuple[tuple[str, float], ...]
    scoop_cm3: float
    scoops: tuple[tuple[str, int], ...]
    made_cm3: float
    leftover_cm3: float


def batches(needs: Sequence[MixNeed], *, scoop_cm3: float | None = None) -> tuple[Batch, ...]:
    """One batch for each recipe over many pots, in whole scoops.

    Parameters
    ----------
    needs : sequence of MixNeed
        What each pot needs.
    scoop_cm3 : float, optional
        Volume of the grower's scoop, in cm3; by default the row of `data/potting.csv`.

    Returns
    -------
    tuple of Batch
        In the order in which the recipes are first needed; each part is rounded up to whole scoops.

    Raises
    ------
    RangeError
        If the scoop is out of bounds.

    Source
    ------
    practice: batch by recipe, round up to whole scoops, show what is left.

    Examples
    --------
    >>> from ringwise.rootzone.mix import recipe
    >>> batch, = batches([MixNeed("a", recipe("D"), 3000.0), MixNeed("b", recipe("D"), 900.0)])
    >>> batch.scoops, batch.leftover_cm3
    ((('akadama', 4), ('pumice', 2), ('lava', 2)), 100.0)
    """
    scoop = checked_scoop_cm3(scoop_cm3)
    by_recipe: dict[Recipe, list[MixNeed]] = {}
    for need in needs:
        by_recipe.setdefault(need.recipe, []).append(need)
    return tuple(_batch(mix, tuple(group), scoop) for mix, group in by_recipe.items())


def _batch(mix: Recipe, needs: tuple[MixNeed, ...], scoop_cm3: float) -> Batch:
    gross = math.fsum(need.gross_cm3 for need in needs)
    parts = tuple(split(gross, mix).items())
    counts = tuple((component, whole_scoops(volume, scoop_cm3)) for component, volume in parts)
    made = scoop_cm3 * sum(count for _component, count in counts)
    return Batch(mix, needs, gross, parts, scoop_cm3, counts, made, made - gross)


def whole_scoops(volume_cm3: float, scoop_cm3: float) -> int:
    """Scoops that hold a volume, rounded up.

    Parameters
    ----------
    volume_cm3, scoop_cm3 : float
        The volume and that of one scoop, in cm3.

    Returns
    -------
    int
        Whole scoops.

    Source
    ------
    own: rounding up.

    Examples
    --------
    >>> whole_scoops(1200.0, 500.0), whole_scoops(1000.0000001, 500.0)
    (3, 2)
    """
    # a millionth of a scoop is the rounding of floats, not a reason for one more scoop
    return math.ceil(volume_cm3 / scoop_cm3 - 1e-6)


def checked_scoop_cm3(scoop_cm3: float | None) -> float:
    """The grower's scoop, or the default one.

    Parameters
    ----------
    scoop_cm3 : float or None
        Volume of a scoop, in cm3.

    Returns
    -------
    float
        The volume in use, in cm3.

    Raises
    ------
    RangeError
        If it is out of bounds.

    Source
    ------
    own: bounds of `data/potting.csv`.

    Examples
    --------
    >>> checked_scoop_cm3(None)
    500.0
    """
    table = load_table("ringwise.rootzone", "potting")
    if scoop_cm3 is None:
        return table.get("gross", "scoop_cm3").number
    row = table.get("accepted", "scoop_cm3")
    low, high = row.low or 0.0, row.high or math.inf
    shown = litres(scoop_cm3)
    accepted = spanned(litres(low), litres(high))
    return in_range(scoop_cm3, low, high, field=_("scoop"), shown=shown, accepted=accepted)
