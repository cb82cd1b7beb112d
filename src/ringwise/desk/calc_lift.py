"""The wish for lifting: what it costs a tree of the ground, against the same tree left there."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_CM3_PER_L = 1000.0  # exact


@dataclass(frozen=True)
class LiftWish:
    """What was typed for `ringwise calc lift`; a bare diameter is mm, bare litres are L."""

    species: str
    diameter: str
    litres: str | None = None
    futures: int = 200
    seed: int = 1


def calc_lift(wish: LiftWish) -> Shape:
    """Growth and shoots of a lifted tree against the same tree left in the ground, and who lives.

    Parameters
    ----------
    wish : LiftWish
        What was typed.

    Returns
    -------
    dict
        Keys growth_ratio_3_seasons, shoot_ratio_second_season, survival and more, with lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> LiftWish("zelkova_serrata", "40mm").futures
    200
    """
    from ringwise.futures.lifting import lifted
    from ringwise.growth.biology import biology
    from ringwise.records.taxa import find_taxon, lookup_keys

    if wish.seed < 0:
        raise out_of_range("--seed", str(wish.seed), _("0 or more"))
    taxon = find_taxon(wish.species)
    keys = lookup_keys(taxon.key)
    diameter_mm = parse_quantity(wish.diameter, "length", field="--diameter-mm", default_unit="mm")
    volume_l = math.inf
    if wish.litres is not None:
        volume_l = parse_quantity(wish.litres, "volume", field="--litres", default_unit="L") / _CM3_PER_L
    told = lifted(keys, biology(keys), diameter_mm, volume_l=volume_l, futures=wish.futures, seed=wish.seed)
    answer: Shape = {
        "species": taxon.key,
        "diameter_mm": diameter_mm,
        "litres": None if math.isinf(volume_l) else volume_l,
        "growth_ratio_3_seasons": _known(told.growth_ratio),
        "shoot_ratio_second_season": _known(told.shoot_ratio),
        "survival": told.survival_prob,
        "futures": told.futures,
        "seed": wish.seed,
    }
    return answer | {"lines": _lines(answer)}


def _known(ratio: float) -> float | None:
    """A ratio over the pairs whose lifted tree lives; None where none does."""
    return None if math.isnan(ratio) else ratio


def _lines(told: Shape) -> list[str]:
    if told["growth_ratio_3_seasons"] is None:
        return [_("no lifted tree lives on: there is no growth to compare; ask for more futures")]
    where = (
        _("back in open ground")
        if told["litres"] is None
        else _("in a box of {litres} L").format(litres=show.number(told["litres"], 3))
    )
    return [
        _("{where}: {share} % of the growth in thickness over three seasons").format(
            where=where, share=show.number(100 * told["growth_ratio_3_seasons"], 2)
        ),
        _("shoots of the second season at {share} % of those of a tree left standing").format(
            share=show.number(100 * told["shoot_ratio_second_season"], 2)
        ),
        _("it lives: {chance}").format(chance=show.chance(told["survival"])),
        _(
            "From the roots lost, their regrowth and what the leaf needs, in paired futures; the share lost "
            "is assumed. In open ground roots come back in about a year for each 2.5 cm of trunk, from "
            "memory (Watson 1985)."
        ),
    ]
