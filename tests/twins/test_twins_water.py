"""The balance of many pots at once against one pot, one weather and one short moment at a time.

The twin below shares no line with the package but the parameters: plain numbers, a day in thousands of steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest

from ringwise.kit.tables import load_table
from ringwise.rootzone.balance import (
    DailyForcing,
    PotDemand,
    PotStart,
    RootWork,
    Watering,
    pot_water,
    run,
)
from ringwise.rootzone.evaporation import Cover

STEPS = 1000
ROW = {name: row.number for name, row in load_table("ringwise.rootzone", "balance").of("any").items()}


@dataclass
class OnePot:
    """A pot and its tree as plain numbers, and its water now."""

    volume: float
    area: float
    depth: float
    capacity_v: float
    refill_v: float
    wilting_v: float
    leaf: float
    crown: float
    exposure: float
    kept: float
    rew: float
    fall: float
    hold: float
    mix: float
    lost: float
    dressing: float

    def day(self, et0: float, rain: float, now: float, rule: Watering) -> dict[str, float]:
        """One day; amounts in cm3."""
        per_mm = self.area * 1000.0
        capacity, refill, wilting = (
            share * self.volume for share in (self.capacity_v, self.refill_v, self.wilting_v)
        )
        reach = capacity if self.mix > wilting else capacity - (1 - ROW["wetting_frac"]) * refill
        reach = max(reach, self.mix)
        need = reach - self.mix + self.hold * per_mm - self.dressing
        watered = 0.0
        if rule.kind == "daily" or (
            rule.kind == "due" and self.mix - refill <= rule.due_frac * (capacity - refill)
        ):
            watered = need if rule.amount_mm is None else rule.amount_mm * per_mm
        kept_on_leaves = 0.0
        if self.crown > 0:
            most = ROW["leaf_hold_mm"] * self.leaf / self.crown
            kept_on_leaves = min(rain, most) * min(self.crown / self.area, 1.0)
        fallen = (rain - kept_on_leaves) * per_mm
        caught = min(fallen + watered, self.hold * per_mm - self.dressing)
        self.dressing += caught
        inward = fallen + watered - caught
        drained = max(self.mix + inward - reach, 0.0)
        self.mix += inward - drained
        if self.mix >= reach * (1 - 1e-6):
            self.lost = 0.0
        else:
            self.lost = max(self.lost - inward / per_mm, 0.0)
        evaporated = self._evaporate(et0, per_mm, wilting)
        transpired = self._transpire(et0, now, capacity, wilting)
        layer = min(self.depth, ROW["surface_layer_mm"])
        self.lost = min(self.lost + layer / self.depth * transpired / per_mm, self._tew())
        return {
            "rain": fallen,
            "watered": watered,
            "drained": drained,
            "transpired": transpired,
            "evaporated": evaporated,
        }

    def _tew(self) -> float:
        layer = min(self.depth, ROW["surface_layer_mm"])
        return (self.capacity_v - ROW["wilting_share_frac"] * self.wilting_v) * layer

    def _evaporate(self, et0: float, per_mm: float, wilting: float) -> float:
        covered = self.leaf / self.area / ROW["grass_leaf_ratio"]
        power = max(ROW["kc_max_ratio"] - covered, ROW["ke_least_ratio"]) * et0
        shed = min(self.dressing, power * per_mm)
        self.dressing -= shed
        power -= shed / per_mm
        tew, gone = self._tew(), 0.0
        free = min(self.rew, tew)
        for _step in range(STEPS):
            line = min(max((tew - self.lost) / (tew - free), 0.0), 1.0)
            out = min(power / STEPS * line**self.fall, tew - self.lost)
            out = min(out, max(self.mix - ROW["wilting_share_frac"] * wilting, 0.0) / per_mm)
            self.lost += out
            self.mix -= out * per_mm
            gone += out * per_mm
        return shed + gone

    def _transpire(self, et0: float, now: float, capacity: float, wilting: float) -> float:
        wanted = et0 * self.leaf / ROW["grass_leaf_ratio"] * self.exposure * 1000.0
        roots = 1 - (1 - self.kept) * 0.5 ** ((now - 10.0) / (7 * ROW["recovery_weeks"]))
        if roots < ROW["recovered_frac"]:
            wanted = min(wanted, 200.0 * roots)
        slow = (1 - ROW["stress_frac"]) * (capacity - wilting)
        gone = 0.0
        for _step in range(STEPS):
            share = min(max((self.mix - wilting) / slow, 0.0), 1.0)
            out = wanted / STEPS * share
            self.mix -= out
            gone += out
        return gone


def _pots(draw: np.random.Generator, n: int) -> list[OnePot]:
    pots = []
    for at in range(n):
        capacity = draw.uniform(0.4, 0.7)
        refill = capacity * draw.uniform(0.5, 0.8)
        area, depth = draw.uniform(0.02, 0.1), draw.uniform(40, 180)
        pots.append(
            OnePot(
                volume=area * depth * 1000,
                area=area,
                depth=depth,
                capacity_v=capacity,
                refill_v=refill,
                wilting_v=refill * draw.uniform(0.6, 0.9),
                leaf=draw.uniform(0.0, 0.3),
                crown=draw.uniform(0.0, 0.15),
                exposure=draw.uniform(1.0, 1.5),
                kept=[1.0, 0.4][at % 2],
                rew=draw.uniform(2, 8),
                fall=[1.0, 2.0, 3.0][at % 3],
                hold=[0.0, 2.5][at % 2],
                mix=0.0,
                lost=0.0,
                dressing=0.0,
            )
        )
    return pots


def _together(pots: list[OnePot]) -> PotDemand:
    def each(name: str) -> np.ndarray:
        return np.array([getattr(pot, name) for pot in pots])

    water = pot_water(
        each("volume"),
        each("area"),
        each("depth"),
        capacity_v=each("capacity_v"),
        refill_v=each("refill_v"),
        wilting_v=each("wilting_v"),
    )
    return PotDemand(
        water,
        leaf_m2=each("leaf"),
        crown_m2=each("crown"),
        exposure_factor=each("exposure"),
        top=Cover(each("rew"), each("fall"), each("hold")),
        roots=RootWork(kept_frac=each("kept"), normal_day_cm3=200.0, cut_days=10.0),
    )


@pytest.mark.parametrize(
    "rule",
    [Watering(), Watering("due", 0.25), Watering("daily"), Watering("due", 0.5, amount_mm=6.0)],
    ids=["never", "due", "daily", "a can when due"],
)
def test_many_pots_at_once_as_each_alone(rule: Watering) -> None:
    draw = np.random.default_rng(7)
    pots = _pots(draw, 4)
    et0 = draw.uniform(0.0, 7.0, (1, 9))
    rain = draw.exponential(6.0, (1, 9)) * (draw.random((1, 9)) < 0.3)
    start = np.array([pot.volume * pot.capacity_v * 0.9 for pot in pots])
    told = run(
        _together(pots),
        DailyForcing(et0, rain, first_days=12.0),
        rule,
        PotStart(water_cm3=start, lost_mm=1.0, dressing_mm=0.5),
    )
    for at, pot in enumerate(pots):
        pot.mix, pot.lost = start[at], 1.0
        pot.dressing = min(0.5, pot.hold) * pot.area * 1000
        for day in range(9):
            alone = pot.day(et0[0, day], rain[0, day], 12.0 + day, rule)
            scale = 1e-3 * pot.volume * pot.capacity_v
            for name, amount in alone.items():
                assert told.term(name)[at, 0, day] == pytest.approx(amount, abs=scale), (name, at, day)
            assert told.water_cm3[at, 0, day] == pytest.approx(pot.mix, abs=scale)
            assert math.isfinite(pot.lost)
