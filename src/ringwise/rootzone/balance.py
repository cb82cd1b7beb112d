"""The water of pots day by day: rain and watering in, drainage, surface and leaves out; each day closes.

Many pots (or many draws of one pot's curve) meet many weather members at once. Axes are always pots p,
members m, days d. A day goes: watering in the morning, then rain; what passes capacity drains; then the
surface and the leaves take their part until evening.
"""

from __future__ import annotations

import numpy as np

from ringwise.kit.balance import TOLERANCE, close
from ringwise.kit.errors import BalanceError
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.kit.words import _
from ringwise.rootzone.evaporation import (
    Cover,
    evaporated_mm,
    surface_layer_mm,
    total_evaporable_mm,
    wet_surface_ratio,
)
from ringwise.rootzone.held_water import held_by, pot_water
from ringwise.rootzone.pot_water import (
    CM3_PER_L,
    TERMS,
    BalanceDays,
    DailyForcing,
    PotDemand,
    PotStart,
    PotWater,
    RootWork,
    Watering,
)
from ringwise.rootzone.rain_share import through_mm
from ringwise.rootzone.transpiration import demand_cm3, root_frac, taken_cm3, uptake_cm3
from ringwise.rootzone.water_checks import (
    check_demand,
    check_forcing,
    check_start,
    check_watering,
)

__all__ = (
    "TERMS",
    "BalanceDays",
    "DailyForcing",
    "PotDemand",
    "PotStart",
    "PotWater",
    "RootWork",
    "Watering",
    "held_by",
    "pot_water",
    "run",
)


def run(
    pots: PotDemand, weather: DailyForcing, watering: Watering | None = None, start: PotStart | None = None
) -> BalanceDays:
    """The water of every pot in every weather on every day.

    Parameters
    ----------
    pots : PotDemand
        The pots with their leaves, places and roots.
    weather : DailyForcing
        Reference evapotranspiration and rain, without gaps.
    watering : Watering, optional
        None is never.
    start : PotStart, optional
        The evening before the first day; drained by default.

    Returns
    -------
    BalanceDays
        Every term of every day.

    Raises
    ------
    BalanceError
        If a day does not close; the message holds its terms.
    RangeError
        If the weather has a gap or an impossible value, or a pot's values do.

    Source
    ------
    own: daily balance of water; its terms name theirs (coffee_kc2011, allen1998, practice).

    Examples
    --------
    >>> tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    >>> dry = DailyForcing(np.full((1, 3), 5.0), np.zeros((1, 3)))
    >>> bare, leafy = (run(PotDemand(tray, leaf), dry).water_cm3[0, 0, -1] for leaf in (0.0, 0.1))
    >>> bool(leafy < bare < 1989.5)
    True
    """
    rule = watering or Watering()
    check_demand(pots)
    check_forcing(weather)
    check_watering(rule, weather)
    kept = _Keeper(pots, weather, start or PotStart())
    for day in range(weather.days):
        kept.live(day, rule)
    return kept.days()


class _Keeper:
    """The books of all pots: the state this evening, and every day so far."""

    def __init__(self, pots: PotDemand, weather: DailyForcing, start: PotStart) -> None:
        water = self.water = pots.water
        self.pots, self.weather = pots, weather
        shape = self.shape = (water.pots, weather.members)
        check_start(start, water, shape)
        rows = load_table("ringwise.rootzone", "balance").of("any")
        self.area, self.capacity, self.wilting = (
            each[:, None] for each in (water.area_m2, water.capacity_cm3, water.wilting_cm3)
        )
        self.grain_loss = (1.0 - rows["wetting_frac"].number) * water.refill_cm3[:, None]
        self.slowing = (1.0 - rows["stress_frac"].number) * (self.capacity - self.wilting)
        self.floor = rows["wilting_share_frac"].number * self.wilting
        layer = surface_layer_mm(water.depth_mm)
        self.share = (layer / water.depth_mm)[:, None]
        self.tew = total_evaporable_mm(water.capacity_v, water.wilting_v, layer)[:, None]
        self.top = Cover(
            *(_column(each) for each in (pots.top.rew_mm, pots.top.fall_factor, pots.top.hold_mm))
        )
        self.hold = np.broadcast_to(self.top.hold_mm, shape) * self.area * CM3_PER_L
        self.leaf = _leaf(pots.leaf_m2, (*shape, weather.days))
        self._begin(start)
        self.told = {name: np.empty((weather.days, *shape)) for name in ("water", "dressing", "lost", *TERMS)}

    def _begin(self, start: PotStart) -> None:
        given = start.water_cm3
        mix = self.capacity if given is None else _column(given)
        self.mix = np.array(np.broadcast_to(mix, self.shape), dtype=np.float64)
        gone = (self.capacity - self.mix) / (self.area * CM3_PER_L) * self.share
        lost = gone if start.lost_mm is None else _column(start.lost_mm)
        self.lost = np.clip(np.broadcast_to(lost, self.shape), 0.0, self.tew)
        full = given is None
        held = self.hold if full else np.zeros(self.shape)
        if start.dressing_mm is not None:
            held = np.minimum(_column(start.dressing_mm) * self.area * CM3_PER_L, self.hold)
        self.dressing = np.array(np.broadcast_to(held, self.shape))
        self.start = np.array(self.mix)

    def live(self, day: int, rule: Watering) -> None:
        """One day of all pots."""
        before = self.mix + self.dressing
        leaf = self.leaf[:, :, day]
        moved = self._wetted(day, leaf, rule)
        moved["evaporated"], from_mix = self._evaporated(day, leaf)
        self.mix = self.mix - from_mix
        moved["transpired"] = self._transpired(day, leaf)
        self.mix = self.mix - moved["transpired"]
        drawn = (from_mix + self.share * moved["transpired"]) / (self.area * CM3_PER_L)
        self.lost = np.minimum(self.lost + drawn, self.tew)
        self._closes(day, self.mix + self.dressing - before, moved)
        for name, amount in (*moved.items(), ("water", self.mix), ("dressing", self.dressing)):
            self.told[name][day] = amount
        self.told["lost"][day] = self.lost

    def _wetted(self, day: int, leaf: FloatArray, rule: Watering) -> dict[str, FloatArray]:
        """Water in, the dressing first; what passes capacity drains. A dry mix does not soak at once."""
        reach = np.where(self.mix <= self.wilting, self.capacity - self.grain_loss, self.capacity)
        reach = np.maximum(reach, self.mix)
        room = self.hold - self.dressing
        watered = self._given(day, rule, reach - self.mix + room)
        fallen = through_mm(
            self.weather.rain_mm[None, :, day],
            leaf,
            _column(self.pots.crown_m2),
            self.area,
            _column(self.pots.rain_frac),
        )
        rain = np.broadcast_to(fallen * self.area * CM3_PER_L, self.shape)
        caught = np.minimum(rain + watered, room)
        inward = rain + watered - caught
        wet = self.mix + inward
        self.dressing = self.dressing + caught
        self.mix = np.minimum(wet, reach)
        soaked = wet >= reach * (1.0 - TOLERANCE)
        self.lost = np.where(soaked, 0.0, np.maximum(self.lost - inward / (self.area * CM3_PER_L), 0.0))
        return {"rain": rain, "watered": watered, "drained": wet - self.mix}

    def _given(self, day: int, rule: Watering, need: FloatArray) -> FloatArray:
        """Water given this morning."""
        amount = (
            need
            if rule.amount_mm is None
            else np.broadcast_to(rule.amount_mm * self.area * CM3_PER_L, self.shape)
        )
        if rule.kind == "daily":
            return amount
        if rule.kind == "due":
            refill = self.water.refill_cm3[:, None]
            due = self.mix - refill <= rule.due_frac * (self.capacity - refill)
            return np.where(due, amount, 0.0)
        marked = rule.kind == "marked" and rule.marked is not None and bool(rule.marked[day])
        return amount if marked else np.zeros(self.shape)

    def _evaporated(self, day: int, leaf: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Lost by dressing and mix together, and by the mix alone."""
        air = self.weather.et0_mm_day[None, :, day] * _column(self.pots.et0_factor)
        power = wet_surface_ratio(leaf, self.area) * air
        per_mm = self.area * CM3_PER_L
        shed = np.minimum(self.dressing, power * per_mm)
        self.dressing = self.dressing - shed
        mix_mm = evaporated_mm(power - shed / per_mm, self.lost, self.tew, self.top)
        from_mix = np.minimum(mix_mm * per_mm, np.maximum(self.mix - self.floor, 0.0))
        return shed + from_mix, from_mix

    def _transpired(self, day: int, leaf: FloatArray) -> FloatArray:
        """Taken by the leaves, as far as roots and water let them."""
        air = self.weather.et0_mm_day[None, :, day] * _column(self.pots.et0_factor)
        wanted = demand_cm3(air, leaf, _column(self.pots.exposure_factor))
        roots = self.pots.roots
        if roots is not None:
            now = self.weather.first_days + day
            since = roots.cut_days if roots.growing_days is None else roots.growing_days
            after = np.where(now < _column(roots.cut_days), -1.0, np.maximum(now - _column(since), 0.0))
            half = None if roots.half_days is None else _column(roots.half_days)
            share = root_frac(_column(roots.kept_frac), after, half)
            wanted = np.minimum(wanted, uptake_cm3(_column(roots.normal_day_cm3), share))
        return taken_cm3(wanted, self.mix - self.wilting, self.slowing)

    def _closes(self, day: int, change: FloatArray, moved: dict[str, FloatArray]) -> None:
        gains, losses = ("rain", "watered"), ("drained", "transpired", "evaporated")
        open_cm3 = change - sum(moved[name] for name in gains) + sum(moved[name] for name in losses)
        largest = np.maximum(np.maximum.reduce([np.abs(each) for each in moved.values()]), self.capacity)
        held = (self.mix >= 0.0) & (self.mix <= self.capacity * (1.0 + TOLERANCE))
        sound = (np.abs(open_cm3) <= TOLERANCE * largest) & held
        if bool(sound.all()):
            return
        pot, member = (int(each) for each in np.argwhere(~sound)[0])
        where = _("pot {pot}, weather {member}, day {day}").format(
            pot=pot + 1, member=member + 1, day=day + 1
        )
        terms = {
            name: float(np.broadcast_to(amount, self.shape)[pot, member]) for name, amount in moved.items()
        }
        close(
            "water_cm3",
            change=float(change[pot, member]),
            gains={name: terms[name] for name in gains},
            losses={name: terms[name] for name in losses},
            where=where,
        )
        raise BalanceError(
            f"water_cm3 ends at {self.mix[pot, member]:.6g} of {float(self.capacity[pot, 0]):.6g}; {terms}",
            where=where,
        )

    def days(self) -> BalanceDays:
        """All days, with the axes pots, members, days."""
        told = {name: np.moveaxis(each, 0, -1) for name, each in self.told.items()}
        return BalanceDays(
            water=self.water,
            first_days=self.weather.first_days,
            start_cm3=self.start,
            water_cm3=told["water"],
            dressing_cm3=told["dressing"],
            lost_mm=told["lost"],
            **{f"{name}_cm3": told[name] for name in TERMS},
        )


def _column(value: FloatLike) -> FloatArray:
    """One value a pot as a column against the members; a table (p, m) as it is."""
    given = np.asarray(value, dtype=np.float64)
    return given[:, None] if given.ndim == 1 else given


def _leaf(leaf_m2: FloatLike, shape: tuple[int, int, int]) -> FloatArray:
    given = np.asarray(leaf_m2, dtype=np.float64)
    return np.broadcast_to(given[:, None, None] if given.ndim == 1 else given, shape)
