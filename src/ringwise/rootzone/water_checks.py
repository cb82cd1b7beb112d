"""What a balance of water accepts: one clear line for each value that cannot be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, RangeError, out_of_range, unknown_name
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.rootzone.pot_water import DailyForcing, PotDemand, PotStart, PotWater, Watering

KINDS = ("none", "due", "daily", "marked")


def most(parameter: str) -> float:
    """The largest value that the daily water takes.

    Parameters
    ----------
    parameter : str
        Row of `accepted` in `data/balance.csv`.

    Returns
    -------
    float
        In the row's unit.

    Source
    ------
    own: bounds that catch a slip of the unit.

    Examples
    --------
    >>> most("et0_mm_day")
    25.0
    """
    row = load_table("ringwise.rootzone", "balance").get("accepted", parameter)
    return math.inf if row.high is None else row.high


def _first(bad: object) -> int:
    return int(np.flatnonzero(np.asarray(bad))[0])


def check_water(water: PotWater) -> None:
    """Refuse pots that cannot be.

    Parameters
    ----------
    water : PotWater
        The pots.

    Raises
    ------
    RangeError
        For the first bad value.

    Source
    ------
    own: bounds of what a pot is.

    Examples
    --------
    >>> from ringwise.rootzone.balance import pot_water
    >>> pot_water(1000.0, 0.02, 50.0, capacity_v=0.2, refill_v=0.3, wilting_v=0.1)
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: water at 50 cm is 30%; accepted: 0% to 20% (no more than when drained).
    """
    for name, values in (
        (_("volume of the fill"), water.volume_cm3),
        (_("surface of the pot"), water.area_m2),
        (_("depth of the fill"), water.depth_mm),
    ):
        bad = ~(np.isfinite(values) & (values > 0))
        if bad.any():
            raise out_of_range(name, f"{values[_first(bad)]:g}", _("more than 0"))
    _check_steps(water)


def _check_steps(water: PotWater) -> None:
    """From drained over time to check to the stop of supply there is ever less water."""
    drained, refill, wilting = water.capacity_v, water.refill_v, water.wilting_v
    why_drained, why_refill = _("no more than when drained"), _("no more than at 50 cm")
    for name, values, most, why in (
        (_("water when drained"), drained, np.ones_like(drained), ""),
        (_("water at 50 cm"), refill, drained, why_drained),
        (_("water at the stop of supply"), wilting, refill, why_refill),
    ):
        bad = ~((values >= 0) & (values <= most))
        if bad.any():
            at = _first(bad)
            accepted = _("{low} to {high}").format(low=show.percent(0.0), high=show.percent(most[at]))
            given = values[at]
            way_out = _("Did you enter percent? Give a share, such as 0.45.") if 1 < given <= 100 else ""
            raise out_of_range(name, _shown(given), accepted, reason=why, way_out=way_out)
    same = ~(wilting < drained)
    if same.any():
        raise out_of_range(
            _("water when drained"),
            show.percent(drained[_first(same)]),
            _("more than at the stop of supply"),
        )


def _shown(share_v: float) -> str:
    return show.percent(share_v) if abs(share_v) <= 1 or np.isnan(share_v) else f"{share_v:g}"


def check_forcing(weather: DailyForcing) -> None:
    """Refuse weather with gaps, below zero or beyond what happens.

    Parameters
    ----------
    weather : DailyForcing
        Members by days.

    Raises
    ------
    InputError
        If the two tables differ in shape.
    RangeError
        For the first bad day.

    Source
    ------
    own: bounds of what weather is.

    Examples
    --------
    >>> from ringwise.rootzone.balance import DailyForcing
    >>> check_forcing(DailyForcing(np.array([[3.0, np.nan]]), np.zeros((1, 2))))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: weather 1, day 2: evapotranspiration is missing; accepted: 0 to 25 mm.
    """
    power, rain = weather.et0_mm_day, weather.rain_mm
    if power.ndim != 2 or power.shape != rain.shape or power.size == 0:
        raise InputError(
            _("evapotranspiration has shape {a} and rain {b}. Give both as members by days.").format(
                a=power.shape, b=rain.shape
            )
        )
    for name, values, limit in (
        (_("evapotranspiration"), power, most("et0_mm_day")),
        (_("rain"), rain, most("rain_mm")),
    ):
        bad = ~((values >= 0) & (values <= limit))
        if bad.any():
            member, day = (int(each) for each in np.argwhere(bad)[0])
            where = _("weather {member}, day {day}").format(member=member + 1, day=day + 1)
            given = values[member, day]
            shown = _("missing") if np.isnan(given) else f"{given:g} mm"
            text = out_of_range(name, shown, _("0 to {most} mm").format(most=f"{limit:g}"))
            raise RangeError(text.message, where=where)


def check_watering(rule: Watering, weather: DailyForcing) -> None:
    """Refuse a rule of watering that cannot be followed.

    Parameters
    ----------
    rule : Watering
        The rule.
    weather : DailyForcing
        For the number of its days.

    Raises
    ------
    UnknownNameError
        If the kind is unknown.
    RangeError
        If an amount or a share is none.
    MissingFieldError
        If days were to be marked and are not, each of them.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.rootzone.balance import DailyForcing, Watering
    >>> day = DailyForcing(np.ones((1, 1)), np.zeros((1, 1)))
    >>> check_watering(Watering("due", amount_mm=-2.0), day)
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: watering is -2 mm; accepted: 0 to 2000 mm.
    """
    if rule.kind not in KINDS:
        raise unknown_name(_("watering"), rule.kind, KINDS)
    amount = rule.amount_mm
    if amount is not None and not 0 <= amount <= most("rain_mm"):
        raise out_of_range(
            _("watering"), f"{amount:g} mm", _("0 to {most} mm").format(most=f"{most('rain_mm'):g}")
        )
    if not 0 <= rule.due_frac <= 1:
        raise out_of_range(_("share of the water left"), f"{rule.due_frac:g}", _("0 to 1"))
    if rule.kind == "marked" and (rule.marked is None or rule.marked.shape != (weather.days,)):
        raise MissingFieldError(_("mark each of the {n} days as watered or not").format(n=weather.days))


def check_start(start: PotStart, water: PotWater, shape: tuple[int, int]) -> None:
    """Refuse a beginning with less than nothing, or more than the pot holds.

    Parameters
    ----------
    start : PotStart
        The evening before.
    water : PotWater
        The pots.
    shape : tuple of int
        Pots and members.

    Raises
    ------
    RangeError
        For the first bad value.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.rootzone.balance import PotStart, pot_water
    >>> pot = pot_water(1000.0, 0.02, 50.0, capacity_v=0.4, refill_v=0.3, wilting_v=0.1)
    >>> check_start(PotStart(water_cm3=500.0), pot, (1, 1))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: water at the start is 500 cm3; accepted: 0 to 400 cm3.
    """
    if start.water_cm3 is not None:
        given = _table(start.water_cm3, shape)
        most = np.broadcast_to(water.capacity_cm3[:, None] * (1.0 + 1e-9), shape)
        bad = ~((given >= 0) & (given <= most))
        if bad.any():
            pot, member = (int(each) for each in np.argwhere(bad)[0])
            raise out_of_range(
                _("water at the start"),
                f"{given[pot, member]:.6g} cm3",
                _("0 to {most} cm3").format(most=f"{most[pot, member]:.6g}"),
            )
    for name, value in (
        (_("water lost by the surface"), start.lost_mm),
        (_("water in the dressing"), start.dressing_mm),
    ):
        if value is not None and not bool(np.all(np.asarray(value, dtype=np.float64) >= 0)):
            raise out_of_range(name, f"{np.min(value):g} mm", _("0 mm or more"))


def _table(value: FloatLike, shape: tuple[int, int]) -> FloatArray:
    given = np.asarray(value, dtype=np.float64)
    return np.broadcast_to(given[:, None] if given.ndim == 1 else given, shape)


def check_demand(pots: PotDemand) -> None:
    """Refuse leaves, crowns, factors and roots that cannot be.

    Parameters
    ----------
    pots : PotDemand
        The pots.

    Raises
    ------
    RangeError
        For the first bad value.

    Source
    ------
    own: bounds of what is taken; a factor above 5 is a typing error.

    Examples
    --------
    >>> from ringwise.rootzone.balance import PotDemand, pot_water
    >>> pot = pot_water(1000.0, 0.02, 50.0, capacity_v=0.4, refill_v=0.3, wilting_v=0.1)
    >>> check_demand(PotDemand(pot, leaf_m2=-0.1))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: leaf area is -0.1; accepted: 0 to 1000 m2.
    """
    _within(_("leaf area"), pots.leaf_m2, 0.0, 1000.0, _("0 to 1000 m2"))
    _within(_("ground below the crown"), pots.crown_m2, 0.0, 1000.0, _("0 to 1000 m2"))
    factor = most("power_factor")
    told = _("{low} to {high}").format(low=0, high=f"{factor:g}")
    _within(_("exposure"), pots.exposure_factor, 0.0, factor, told)
    _within(_("evaporating power of the place"), pots.et0_factor, 0.0, factor, told)
    _within(_("rain let down by the place"), pots.rain_frac, 0.0, 1.0, _("0 to 1"))
    roots = pots.roots
    if roots is None:
        return
    _within(_("roots kept"), roots.kept_frac, 0.0, 1.0, _("0 to 1"))
    _within(_("use on a normal day"), roots.normal_day_cm3, 0.0, np.inf, _("0 cm3 or more"))
    if roots.half_days is not None:
        _within(_("half-time of the roots"), roots.half_days, 1e-6, np.inf, _("more than 0 days"))


def _within(name: str, value: FloatLike, low: float, high: float, accepted: str) -> None:
    given = np.asarray(value, dtype=np.float64)
    bad = ~((given >= low) & (given <= high))
    if bad.any():
        raise out_of_range(name, f"{np.atleast_1d(given)[np.atleast_1d(bad)][0]:g}", accepted)
