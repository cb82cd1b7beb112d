"""The wish for how long a full pot lasts, from typed values alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.calc_curve import CurveWish, read_curve
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.retention import RetentionCurve
    from ringwise.rootzone.time_to_dry import SteadyDry

_LOW, _HIGH = 10, 90  # percentiles of the band
_CM3_PER_L = 1000.0
_MM2_PER_M2 = 1e6


@dataclass(frozen=True)
class DryPot:
    """The pot as typed for `ringwise calc dry`; without sizes there is none."""

    shape: str = "rectangle"
    height: str | None = None
    bottom: str | None = None
    top: str | None = None
    length: str | None = None
    width: str | None = None


@dataclass(frozen=True)
class DryWish:
    """What draws on the pot, and the water: litres, or a pot with a curve; a bare number is in its unit."""

    et0: str
    leaf_area: str = "0"
    exposure: str | None = None
    ke: str | None = None
    available: str | None = None
    area: str | None = None
    pot: DryPot = field(default_factory=DryPot)
    curve: CurveWish = field(default_factory=CurveWish)


def calc_dry(wish: DryWish) -> Shape:
    """Days that the available water of a pot lasts at a steady pace.

    Parameters
    ----------
    wish : DryWish
        What was typed.

    Returns
    -------
    dict
        Keys days, transpired_l_day, evaporated_l_day, available_water_l and what they rest on, with lines;
        days is null where nothing leaves the pot.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_dry(DryWish("5mm", "0.1m2", "1.2", "0.5", available="0.725L", area="0.066m2"))
    >>> round(told["days"], 1), round(told["transpired_l_day"], 3)
    (1.9, 0.208)
    """
    from ringwise.rootzone.time_to_dry import Pace, steady_dry

    pot = _pot(wish.pot)
    held = _held_cm3(wish, pot)
    ke = None if wish.ke is None else _quantity(wish.ke, "fraction", "--ke", "")
    pace = Pace(
        et0_mm_day=_quantity(wish.et0, "rain", "--et0", "mm"),
        leaf_m2=_quantity(wish.leaf_area, "area", "--leaf-area", "m2"),
        area_m2=_area_m2(wish, pot, needed=ke != 0),
        exposure_factor=1.0
        if wish.exposure is None
        else _quantity(wish.exposure, "fraction", "--exposure", ""),
        ke_ratio=ke,
    )
    told, *ends = (steady_dry(water, pace) for water in held)
    answer: Shape = {
        "days": _finite(told.days),
        "days_low": _finite(ends[0].days) if ends else None,
        "days_high": _finite(ends[1].days) if ends else None,
        "transpired_l_day": told.transpired_cm3 / _CM3_PER_L,
        "evaporated_l_day": told.evaporated_cm3 / _CM3_PER_L,
        "available_water_l": told.available_cm3 / _CM3_PER_L,
        "et0_mm_day": pace.et0_mm_day,
        "leaf_m2": pace.leaf_m2,
        "surface_m2": pace.area_m2,
        "exposure_factor": pace.exposure_factor,
        "ke_ratio": told.ke_ratio,
    }
    return answer | {"lines": _lines(told, ends, assumed=ke is None)}


def _finite(days: float) -> float | None:
    return days if math.isfinite(days) else None


def _quantity(text: str, kind: str, option: str, unit: str) -> float:
    with at_field(option.removeprefix("--").replace("-", "_")):
        return parse_quantity(text, kind, field=option, default_unit=unit)


def _pot(wish: DryPot) -> PotShape | None:
    from ringwise.rootzone.pot_reading import PotWords, read_pot

    if not any((wish.height, wish.bottom, wish.top, wish.length, wish.width)):
        return None
    if not wish.height:
        raise MissingFieldError(_("--height is missing. Give the height of the substrate, such as 7cm."))
    if not (wish.top or wish.length):
        raise MissingFieldError(_("the pot's size is missing. Give --top, such as 30x22cm, or --length."))
    words = PotWords(
        wish.length or "", wish.width or "", wish.height, top=wish.top or "", bottom=wish.bottom or ""
    )
    return read_pot(wish.shape, words)


def _area_m2(wish: DryWish, pot: PotShape | None, *, needed: bool) -> float:
    """The surface that evaporates."""
    if wish.area is not None:
        return _quantity(wish.area, "area", "--area", "m2")
    if pot is not None:
        return pot.area_at_mm2(pot.fill_height_mm) / _MM2_PER_M2
    if needed:
        raise MissingFieldError(
            _("the surface of the pot is missing. Give --area, such as 660cm2, the pot's sizes, or --ke 0.")
        )
    return 0.0


def _held_cm3(wish: DryWish, pot: PotShape | None) -> tuple[float, ...]:
    """The available water; with its 10th and 90th percentile where a substrate or a mix is named."""
    from ringwise.rootzone.container import container_state

    typed = wish.curve != CurveWish()
    if wish.available is not None:
        if typed:
            raise InputError(_("give --available or a curve, not both."))
        return (_quantity(wish.available, "volume", "--available", "l"),)
    if pot is None or not typed:
        raise MissingFieldError(
            _("the water is missing. Give --available, such as 0.7L, or a pot's sizes with --mix D.")
        )
    named = read_curve(wish.curve)

    def available_cm3(curve: RetentionCurve) -> np.ndarray:
        return container_state(pot, curve).available_water_cm3

    middle = float(available_cm3(named.curve))
    if named.drawn is None:
        return (middle,)
    low, high = np.percentile(available_cm3(named.drawn), (_LOW, _HIGH))
    return (middle, float(low), float(high))


def _lines(told: SteadyDry, ends: list[SteadyDry], *, assumed: bool) -> list[str]:
    found = [
        _("available water {water}, down to 50 cm of suction").format(
            water=show.litres(told.available_cm3, 3)
        ),
        _("leaves take {leaves} and the surface {surface} a day").format(
            leaves=show.litres(told.transpired_cm3, 3), surface=show.litres(told.evaporated_cm3, 3)
        ),
    ]
    if assumed:
        found.append(_("surface coefficient Ke {ke}, assumed").format(ke=show.number(told.ke_ratio, 2)))
    if not math.isfinite(told.days):
        return [*found, _("nothing leaves the pot")]
    if ends:
        found.append(
            _("{days} days to the next check, {low} to {high} in eight pots of ten").format(
                days=show.number(told.days, 2),
                low=show.number(ends[0].days, 2),
                high=show.number(ends[1].days, 2),
            )
        )
    else:
        found.append(_("{days} days to the next check").format(days=show.number(told.days, 2)))
    return [*found, _("at a steady pace; leaves slow before that. Check, then water.")]
