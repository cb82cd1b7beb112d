"""A component from three weights in a vessel of known volume and height: dry, soaked, drained."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.show import length, litres, mass, number
from ringwise.kit.words import _
from ringwise.rootzone.components import Component, rule
from ringwise.rootzone.moments import saturation_moments
from ringwise.rootzone.spread import Amount

WATER_G_CM3 = 1.0  # at room temperature, to a fifth of a percent


@dataclass(frozen=True)
class BedWeighings:
    """What was weighed, vessel included; the grain cut in mm and the mass of the empty vessel."""

    volume_cm3: float
    height_mm: float
    grain_from_mm: float
    grain_to_mm: float
    empty_g: float
    dry_g: float
    soaked_g: float
    drained_g: float


def measured_component(key: str, seen: BedWeighings) -> Component:
    """An own component from its weighings.

    Parameters
    ----------
    key : str
        Its key.
    seen : BedWeighings
        In a vessel with holes, filled to the brim: dry, soaked with the holes closed and water level with
        the brim, and after it stopped dripping.

    Returns
    -------
    Component
        Bulk density and open porosity as weighed; voids and grains split so that the vessel, drained, holds
        what it held. The scale of the grain pores is not in these weights and stays a prior.

    Raises
    ------
    RangeError
        If a measure lies outside its range.
    InputError
        If the weights contradict each other.

    Source
    ------
    own: weights of one bed; voids by grain size and grain pores held in the height of the vessel.

    Examples
    --------
    >>> seen = BedWeighings(1000, 100, 2, 5, 50, 530, 1350, 1060)
    >>> made = measured_component("my_clay", seen)
    >>> made.bulk_kg_l.value, made.open_porosity_v.value, round(made.packing_frac.value, 2)
    (0.48, 0.82, 0.57)
    """
    bulk, porosity, drained_v = _checked(seen)
    void = _voids(seen, porosity, drained_v)
    return Component(
        key=key,
        name=key.replace("_", " "),
        open_porosity_v=Amount(porosity, rule("own_porosity_sd_v").value),
        packing_frac=Amount(1.0 - void, rule("own_packing_sd_frac").value),
        bulk_kg_l=Amount(bulk, rule("own_bulk_sd_frac").value * bulk),
        cut_mm=(seen.grain_from_mm, seen.grain_to_mm),
        grain_alpha_per_cm=rule("own_grain_alpha_per_cm"),
        grain_n=rule("own_grain_n"),
        provenance=_("own weighing: dry, soaked, drained in {volume}, {height} high").format(
            volume=litres(seen.volume_cm3), height=length(seen.height_mm)
        ),
        own=True,
    )


def _checked(seen: BedWeighings) -> tuple[float, float, float]:
    """Bulk density in kg/L, open porosity and drained water content."""
    _check_given(seen)
    bulk = (seen.dry_g - seen.empty_g) / seen.volume_cm3
    porosity = (seen.soaked_g - seen.dry_g) / seen.volume_cm3 / WATER_G_CM3
    if porosity >= 1:
        raise out_of_range(
            _("open porosity from the weights"),
            number(porosity, 3),
            _("above 0 and below 1"),
            way_out=_("Check the volume of the vessel and its unit: {volume}.").format(
                volume=litres(seen.volume_cm3)
            ),
        )
    if bulk > rule("own_heaviest_kg_l").value:
        raise out_of_range(
            _("bulk density from the weights"), f"{number(bulk, 3)} kg/L", _("up to 5 kg/L; check the volume")
        )
    return bulk, porosity, (seen.drained_g - seen.dry_g) / seen.volume_cm3 / WATER_G_CM3


def _check_given(seen: BedWeighings) -> None:
    """Raise where a measure or the order of the weights cannot be."""
    for field, value, shown in (
        (_("volume of the vessel"), seen.volume_cm3, litres(seen.volume_cm3)),
        (_("height of the vessel"), seen.height_mm, length(seen.height_mm)),
        (_("smallest grain"), seen.grain_from_mm, length(seen.grain_from_mm)),
    ):
        if not 0 < value < math.inf:
            raise out_of_range(field, shown, _("more than 0"))
    if not seen.grain_from_mm <= seen.grain_to_mm < math.inf:
        raise out_of_range(
            _("largest grain"),
            length(seen.grain_to_mm),
            _("{low} or more").format(low=length(seen.grain_from_mm)),
        )
    if not 0 <= seen.empty_g < seen.dry_g < seen.drained_g <= seen.soaked_g < math.inf:
        raise InputError(
            _(
                "the weights are empty {empty}, dry {dry}, drained {drained}, soaked {soaked}; each must be"
                " heavier than the one before. Check which is which."
            ).format(
                empty=mass(seen.empty_g),
                dry=mass(seen.dry_g),
                drained=mass(seen.drained_g),
                soaked=mass(seen.soaked_g),
            )
        )


def _voids(seen: BedWeighings, porosity_v: float, drained_v: float) -> float:
    """Share of the bed between the grains, from what it held when drained."""
    height_cm = seen.height_mm / 10.0
    middle_mm = (seen.grain_from_mm + seen.grain_to_mm) / 2.0
    alphas = np.array([rule("void_alpha_per_cm_mm").value * middle_mm, rule("own_grain_alpha_per_cm").value])
    ns = np.array([rule("void_n").value, rule("own_grain_n").value])
    voids_full, grains_full = saturation_moments(np.full(2, height_cm), alphas, ns)[..., 0] / height_cm
    void = (porosity_v * grains_full - drained_v) / (grains_full - voids_full)
    if void < rule("own_least_void_frac").value:
        raise InputError(
            _(
                "drained it holds {share} of its volume, which leaves no room between grains of that size."
                " Let it drain until nothing drips, or give the grain size as it is."
            ).format(share=number(drained_v, 3))
        )
    return float(min(void, porosity_v))
