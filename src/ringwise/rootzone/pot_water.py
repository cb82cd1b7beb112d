"""What a balance of water is given and gives back: pots, what draws on them, weather, watering, days.

Axes are always pots p (or draws of one pot's curve), weather members m, days d.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, FloatLike
from ringwise.rootzone.evaporation import Cover, cover

CM3_PER_L = 1000.0  # exact; a millimetre on a square metre is a litre
TERMS = ("rain", "watered", "drained", "transpired", "evaporated")


@dataclass(frozen=True)
class PotWater:
    """What pots hold, (p,): fill, surface, and water by volume drained, at 50 cm and at 300 cm of suction."""

    volume_cm3: FloatArray
    area_m2: FloatArray
    depth_mm: FloatArray
    capacity_v: FloatArray
    refill_v: FloatArray
    wilting_v: FloatArray

    @property
    def pots(self) -> int:
        """How many pots, or draws of one pot."""
        return int(self.volume_cm3.size)

    @property
    def capacity_cm3(self) -> FloatArray:
        """Water when drained."""
        return self.capacity_v * self.volume_cm3

    @property
    def refill_cm3(self) -> FloatArray:
        """Water at which it is time to check."""
        return self.refill_v * self.volume_cm3

    @property
    def wilting_cm3(self) -> FloatArray:
        """Water at which supply stops."""
        return self.wilting_v * self.volume_cm3

    @property
    def available_cm3(self) -> FloatArray:
        """Water between drained and time to check."""
        return self.capacity_cm3 - self.refill_cm3


@dataclass(frozen=True)
class RootWork:
    """Roots cut on a day index: share of fine roots kept, use on a normal day before, growth since when."""

    kept_frac: FloatLike
    normal_day_cm3: FloatLike
    cut_days: FloatLike
    growing_days: FloatLike | None = None
    half_days: FloatLike | None = None


@dataclass(frozen=True)
class PotDemand:
    """Pots with what draws on them: leaf as one value, (p,) or up to (p, m, d); the rest as one or (p,)."""

    water: PotWater
    leaf_m2: FloatLike = 0.0
    crown_m2: FloatLike = 0.0
    exposure_factor: FloatLike = 1.0
    et0_factor: FloatLike = 1.0
    rain_frac: FloatLike = 1.0
    top: Cover = field(default_factory=lambda: cover("granule"))
    roots: RootWork | None = None


@dataclass(frozen=True)
class DailyForcing:
    """Weather of members m on days d, the first at the day index `first_days`."""

    et0_mm_day: FloatArray
    rain_mm: FloatArray
    first_days: float = 1.0

    @property
    def members(self) -> int:
        """How many weathers."""
        return int(self.et0_mm_day.shape[0])

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.et0_mm_day.shape[1])


@dataclass(frozen=True)
class Watering:
    """When water is given: never, when due, daily or on marked days; filled up unless an amount is told."""

    kind: str = "none"
    due_frac: float = 0.0
    amount_mm: float | None = None
    marked: BoolArray | None = None


@dataclass(frozen=True)
class PotStart:
    """The evening before: water of the mix (None: drained), what the surface lacks, what dressing holds."""

    water_cm3: FloatLike | None = None
    lost_mm: FloatLike | None = None
    dressing_mm: FloatLike | None = None


@dataclass(frozen=True)
class BalanceDays:
    """Each day of each pot and member, (p, m, d): water of mix and dressing at its end, and what moved."""

    water: PotWater
    first_days: float
    start_cm3: FloatArray
    water_cm3: FloatArray
    dressing_cm3: FloatArray
    lost_mm: FloatArray
    rain_cm3: FloatArray
    watered_cm3: FloatArray
    drained_cm3: FloatArray
    transpired_cm3: FloatArray
    evaporated_cm3: FloatArray

    @property
    def theta_v(self) -> FloatArray:
        """Water by volume at the end of each day."""
        return np.asarray(self.water_cm3 / self.water.volume_cm3[:, None, None])

    def term(self, name: str) -> FloatArray:
        """One of `TERMS` by its name."""
        return np.asarray(getattr(self, f"{name}_cm3"))
