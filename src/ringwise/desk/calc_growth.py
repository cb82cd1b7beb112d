"""Wishes for single formulas of growth: a wound closing, the pipe model, thickening by species and age."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import at_field, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.growth.wounds import Closure

_LONGEST_MM = 10_000.0
_MOST_LEVELS, _MOST_UNITS = 16, 1000
_MOST_AGE_YEARS = 150.0  # far beyond the trees behind the equations


def _length_mm(text: str, option: str, *, least_mm: float = 0.0) -> float:
    with at_field(option.removeprefix("--").replace("-", "_")):
        value = parse_quantity(text, "length", field=option, default_unit="mm")
        if not least_mm <= value <= _LONGEST_MM:
            accepted = _("{low} to {high}").format(low=f"{least_mm:g}", high=f"{_LONGEST_MM:g} mm")
            raise out_of_range(option, text.strip(), accepted)
        return value


def _span(value: float, option: str, low: float, high: float) -> float:
    with at_field(option.removeprefix("--").replace("-", "_")):
        if not low <= value <= high:
            accepted = _("{low} to {high}").format(low=f"{low:g}", high=f"{high:g}")
            raise out_of_range(option, f"{value:g}", accepted)
        return value


@dataclass(frozen=True)
class ClosureWish:
    """A wound as typed for `ringwise calc closure`; bare numbers are mm."""

    width: str
    diameter_growth: str
    season: str = "spring"
    stub: str = "0mm"


def _years(width_mm: float, growth_mm: float, season: str, stub_mm: float, rows: Closure) -> float | None:
    from ringwise.growth.wounds import years_to_close

    share = max(0.0, 1.0 - rows.stub_loss_frac * stub_mm)
    slowed = replace(rows, closure_ratio=rows.closure_ratio * share)
    years = years_to_close(width_mm, growth_mm, season=season, rows=slowed) if share > 0 else math.inf
    return None if math.isinf(years) else years


def calc_closure(wish: ClosureWish) -> Shape:
    """Years until a wound closes, by the growth in thickness of the wood around it.

    Parameters
    ----------
    wish : ClosureWish
        What was typed.

    Returns
    -------
    dict
        Keys years (by the printed slope), futures_years (as futures reckon), needs_mm and lines; null years
        where it never closes.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> round(calc_closure(ClosureWish("20mm", "8mm"))["years"], 3)
    1.923
    """
    from ringwise.growth.wounds import closure_rows, season_factor

    width_mm = _length_mm(wish.width, "--width")
    growth_mm = _length_mm(wish.diameter_growth, "--diameter-growth")
    stub_mm = _length_mm(wish.stub, "--stub")
    with at_field("season"):
        factor = season_factor(wish.season.strip().lower())
    season = wish.season.strip().lower()
    rows = closure_rows()
    plain = replace(rows, width_exponent_ratio=0.0, growth_exponent_ratio=0.0)
    years = _years(width_mm, growth_mm, season, stub_mm, plain)
    futures = _years(width_mm, growth_mm, season, stub_mm, rows)
    slope = rows.closure_ratio * factor * max(0.0, 1.0 - rows.stub_loss_frac * stub_mm)
    return {
        "years": years,
        "futures_years": futures,
        "needs_mm": width_mm / slope if slope > 0 else None,
        "closure_ratio": slope,
        "season": season,
        "width_mm": width_mm,
        "diameter_growth_mm_year": growth_mm,
        "stub_mm": stub_mm,
        "lines": _closure_lines(years, futures, width_mm / slope if slope > 0 else None),
    }


def _closure_lines(years: float | None, futures: float | None, needs_mm: float | None) -> list[str]:
    if years is None:
        return [_("it never closes at that growth")]
    told = [
        _("closed in about {years} years, after {growth} more of thickness").format(
            years=show.number(years, 2), growth=show.length(needs_mm or 0.0)
        )
    ]
    if futures is not None:
        told.append(
            _("futures reckon {years} years: there a narrow rest closes more slowly").format(
                years=show.number(futures, 2)
            )
        )
    return told


@dataclass(frozen=True)
class PipeWish:
    """A tree of pipes as typed for `ringwise calc pipe`; lengths without a unit are mm."""

    levels: int = 8
    tip: str = "1mm"
    exponent: float = 2.0
    units: int = 10
    leaf: str = "3000cm2"
    pipe: float | None = None
    sapwood: float | None = None
    diameter: str = "30mm"
    years: float = 25.0


def _forked_base_mm(levels: int, tip_mm: float, exponent: float) -> float:
    from ringwise.growth.pipe import pipe_diameters

    count = 2 ** (levels + 1) - 1
    parent = (np.arange(count) - 1) // 2
    parent[0] = -1
    tips = np.where(np.arange(count) >= 2**levels - 1, 1.0, 0.0)
    return float(pipe_diameters(parent, tips, tip_mm=tip_mm, exponent_ratio=exponent)[0])


def _unit_shares(units: int, exponent: float) -> list[float]:
    from ringwise.growth.pipe import pipe_diameters

    chain = pipe_diameters(np.arange(units) - 1, np.ones(units), tip_mm=1.0, exponent_ratio=exponent)
    return [float(each) for each in chain / chain[0]]


def calc_pipe(wish: PipeWish) -> Shape:
    """The pipe model: a forked tree from its tips down, and rings under a crown that stays the same.

    Parameters
    ----------
    wish : PipeWish
        What was typed.

    Returns
    -------
    dict
        Keys base_diameter_mm, shares, ring_mm2_year, first_year_growth_mm, end_diameter_mm and lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_pipe(PipeWish())
    >>> round(told["base_diameter_mm"], 3), round(told["end_diameter_mm"], 3)
    (16.0, 35.805)
    """
    from ringwise.growth.biology import biology, growth_parameter
    from ringwise.growth.pipe import diameter_under_constant_crown, ring_area_mm2

    levels = int(_span(wish.levels, "--levels", 0, _MOST_LEVELS))
    units = int(_span(wish.units, "--units", 1, _MOST_UNITS))
    exponent = _span(wish.exponent, "--exponent", 1.0, 4.0)
    tip_mm = _length_mm(wish.tip, "--tip", least_mm=0.01)
    start_mm = _length_mm(wish.diameter, "--diameter")
    with at_field("leaf"):
        leaf_cm2 = parse_quantity(wish.leaf, "area", field="--leaf", default_unit="cm2") * 1e4
    _span(leaf_cm2, "--leaf", 0.0, 1e8)
    pipe = growth_parameter("pipe") if wish.pipe is None else _span(wish.pipe, "--pipe", 0.0, 10.0)
    life = biology(()).sapwood.middle if wish.sapwood is None else wish.sapwood
    life_years = _span(life, "--sapwood", 0.1, 200.0)
    years = _span(wish.years, "--years", 0.0, 500.0)
    ring_mm2 = ring_area_mm2(leaf_cm2, pipe_ratio=pipe, sapwood_years=life_years)
    first_mm = diameter_under_constant_crown(start_mm, ring_mm2=ring_mm2, years=1.0) - start_mm
    end_mm = diameter_under_constant_crown(start_mm, ring_mm2=ring_mm2, years=years)
    base_mm = _forked_base_mm(levels, tip_mm, exponent)
    told = [
        _("a tree that forks {levels} times from tips of {tip} is {base} thick at its base").format(
            levels=levels, tip=show.fine(tip_mm), base=show.fine(base_mm)
        ),
        *_ring_lines(ring_mm2, first_mm, (start_mm, end_mm), years),
    ]
    return {
        "base_diameter_mm": base_mm,
        "tips": 2**levels,
        "exponent": exponent,
        "shares": _unit_shares(units, exponent),
        "ring_mm2_year": ring_mm2,
        "first_year_growth_mm": first_mm,
        "end_diameter_mm": end_mm,
        "years": years,
        "pipe_ratio": pipe,
        "sapwood_years": life_years,
        "lines": told,
    }


def _ring_lines(ring_mm2: float, first_mm: float, widths_mm: tuple[float, float], years: float) -> list[str]:
    return [
        _(
            "under a crown that stays the same: {ring} mm² of wood each year, {first} thicker in the first"
        ).format(ring=show.number(ring_mm2, 3), first=show.fine(first_mm)),
        _("{start} thick now, {end} in {years} years").format(
            start=show.fine(widths_mm[0]), end=show.fine(widths_mm[1]), years=show.number(years, 3)
        ),
    ]


@dataclass(frozen=True)
class GirthRateWish:
    """A species (or one equation, such as zelkova_serrata:NoEast), an age and a pot as typed."""

    species: str
    age: float
    volume: str | None = None


def _sets_of(species: str) -> tuple[str, tuple[str, ...], bool]:
    """The taxon, its equations, and whether they are those of relatives."""
    from ringwise.growth.field import field_keys
    from ringwise.kit.errors import unknown_name
    from ringwise.records.taxa import find_taxon

    if ":" in species:
        if species not in field_keys():
            raise unknown_name("--species", species, field_keys())
        return species.split(":")[0], (species,), False
    found = find_taxon(species)
    own = tuple(key for key in field_keys() if key.split(":")[0] == found.key)
    if own:
        return found.key, own, False
    kin = tuple(key for key in field_keys() if key.split(":")[0].split("_")[0] == found.genus)
    return found.key, kin, True


def calc_girth_rate(wish: GirthRateWish) -> Shape:
    """Thickening in open ground by species and age, from published equations, or in a pot.

    Parameters
    ----------
    wish : GirthRateWish
        What was typed.

    Returns
    -------
    dict
        Keys species, age_years, diameter_mm, growth, girth and their range, sets and lines.

    Raises
    ------
    InputError
        If the species has no equation and no relative with one, or the age does not fit.

    Examples
    --------
    >>> round(calc_girth_rate(GirthRateWish("Zelkova serrata", 60.0))["diameter_mm"], 1)
    816.3
    """
    from ringwise.growth.field import equation_words
    from ringwise.kit.errors import NotFoundError

    with at_field("species"):
        species, keys, kin = _sets_of(wish.species.strip())
        if not keys:
            raise NotFoundError(
                _(
                    "no published equation for {species} or its genus; name a relative, as zelkova_serrata."
                ).format(species=species)
            )
    age = _span(wish.age, "--age", 0.0, _MOST_AGE_YEARS)
    factor, volume_l = _pot_factor(wish.volume)
    sets = [each for each in (_set(key, age, factor) for key in keys) if each["diameter_mm"] > 0]
    if not sets:
        raise out_of_range(
            "--age",
            f"{age:g}",
            _("ages at which {trees} has a stem").format(trees="; ".join(map(equation_words, keys))),
        )
    growth = [each["diameter_growth_mm_year"] for each in sets]
    diameter = [each["diameter_mm"] for each in sets]
    girth_growth = [each["girth_growth_mm_year"] for each in sets]
    return {
        "species": species,
        "age_years": age,
        "diameter_mm": sum(diameter) / len(sets),
        "girth_mm": math.pi * sum(diameter) / len(sets),
        "diameter_growth_mm_year": sum(growth) / len(sets),
        "girth_growth_mm_year": sum(girth_growth) / len(sets),
        "girth_growth_low_mm_year": min(girth_growth),
        "girth_growth_high_mm_year": max(girth_growth),
        "from_relatives": kin,
        "volume_l": volume_l,
        "pot_factor": factor,
        "sets": sets,
        "lines": _rate_lines(sets, kin, factor, volume_l),
    }


def _pot_factor(volume: str | None) -> tuple[float, float | None]:
    from ringwise.growth.vigour import pot_factor

    if volume is None:
        return 1.0, None
    with at_field("volume"):
        volume_l = parse_quantity(volume, "volume", field="--volume", default_unit="L") / 1000.0
        if not 0.01 <= volume_l <= 10_000:
            raise out_of_range("--volume", volume, "0.01 L to 10000 L")
    return pot_factor(volume_l), volume_l


def _set(key: str, age_years: float, factor: float) -> Shape:
    from ringwise.growth.field import field_diameter_mm

    here = field_diameter_mm(key, age_years)
    growth = (field_diameter_mm(key, age_years + 1.0) - here) * factor
    return {
        "key": key,
        "diameter_mm": here,
        "girth_mm": math.pi * here,
        "diameter_growth_mm_year": growth,
        "girth_growth_mm_year": math.pi * growth,
    }


def _rate_lines(sets: list[Shape], kin: bool, factor: float, volume_l: float | None) -> list[str]:
    from ringwise.growth.field import equation_words

    low = min(float(each["girth_growth_mm_year"]) for each in sets)
    high = max(float(each["girth_growth_mm_year"]) for each in sets)
    where = (
        _("in open ground")
        if volume_l is None
        else _("in a pot of {volume}").format(volume=show.litres(volume_l * 1000.0, 2))
    )
    amount = show.length_span(low, high)
    told = [_("girth grows about {amount} a year {where}").format(amount=amount, where=where)]
    told += [
        _("  {trees}: {diameter} thick at that age").format(
            trees=equation_words(str(each["key"])), diameter=show.length(float(each["diameter_mm"]))
        )
        for each in sets
    ]
    if kin:
        told.append(_("no equation of its own: these are relatives of its genus"))
    if low < 0:
        told.append(_("an equation that falls is beyond the ages it was made from; take none of it"))
    told.append(_("street trees at breast height, years from planting at about 2.5 cm; trees differ twofold"))
    if volume_l is not None:
        told.append(
            _(
                "times {factor} for the pot, from short trials on young plants; a girth record says more"
            ).format(factor=show.number(factor, 2))
        )
    return told
