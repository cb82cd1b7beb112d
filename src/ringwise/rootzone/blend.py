"""A mix in the pot: its parts packed together, its curve with spread, what it weighs and exchanges.

Voids between the grains drain by one pore system, whose scale follows the grain size that counts for all
parts; pores inside the grains of each part stay as they are. The first pore system of a blend is the voids.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.show import length, number
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.components import RULES, Component, component, component_keys, rule
from ringwise.rootzone.mix import Grain, Recipe
from ringwise.rootzone.packing import packing_frac, yield_frac
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.spread import drawn

ROOM = "rootzone.blend"
_LEAST, _MOST = 0.02, 0.98  # no share drawn is quite none or quite all
_NO_CUT = (1.0, 1.0)  # never reached: a component has a cut or the scale of its voids
_TRACED = ("open_porosity_v", "packing_frac", "bulk_kg_l")


@dataclass(frozen=True)
class Blend:
    """A mix packed in a pot; arrays have the shape of the draws, () for the central values alone."""

    recipe: Recipe
    curve: RetentionCurve
    packing_frac: FloatArray
    yield_frac: FloatArray
    bulk_kg_l: FloatArray
    cec_cmol_l: FloatArray
    effective_mm: FloatArray
    trace: Trace

    @property
    def void_v(self) -> FloatArray:
        """Share of the mix between the grains."""
        return np.asarray(1.0 - self.packing_frac)


@dataclass(frozen=True)
class _Bed:
    """One part as drawn: all of the shape of the draws."""

    volume_ratio: float
    fills: FloatArray
    grain_pores: FloatArray
    void_mm: FloatArray
    packing_mm: FloatArray
    void_n: FloatArray
    grain_alpha_per_cm: FloatArray
    grain_n: FloatArray
    residual_v: FloatArray
    bulk_kg_l: FloatArray
    cec_cmol_l: FloatArray
    breaks: bool


def blend(
    recipe: Recipe,
    *,
    grain: Grain | None = None,
    draws: int = 0,
    seed: int = 0,
    broken_frac: float = 0.0,
    own: Mapping[str, Component] | None = None,
) -> Blend:
    """A recipe as it lies in the pot.

    Parameters
    ----------
    recipe : Recipe
        Parts by loose volume.
    grain : Grain, optional
        The cut that granules are sieved to; by default that of each component.
    draws : int
        How many draws of what is not known well; 0 for the central values alone.
    seed : int
        Draws with the same seed share their luck, component by component.
    broken_frac : float
        Share of the grains that crumble which has turned to fines.
    own : mapping of str to Component, optional
        The grower's own components.

    Returns
    -------
    Blend
        Its curve has the voids as first pore system, then the grains of each part.

    Raises
    ------
    UnknownNameError
        If a component is not known.
    RangeError
        If the broken share lies outside 0 to 1.

    Source
    ------
    own: voids of a packed mix by its grain size, grain pores part by part; durner1994: their sum.

    Examples
    --------
    >>> from ringwise.rootzone.mix import recipe
    >>> mixed = blend(recipe("D"))
    >>> round(float(mixed.curve.saturated_v), 3), round(float(mixed.yield_frac), 2)
    (0.742, 0.98)
    >>> blend(recipe("D"), draws=200).curve.draws
    200
    """
    if not 0 <= broken_frac < 1:
        raise out_of_range(_("broken share of the grains"), number(broken_frac, 3), _("0 to less than 1"))
    parts = _parts(recipe, own)
    beds = [_bed(each, volume, grain, draws, seed) for each, volume in parts]
    packed, yields = _packed(beds, broken_frac)
    volumes = np.array([bed.volume_ratio for bed in beds])
    per_mix = volumes / volumes.sum() / yields[..., None]  # loose volume of each part per volume of mix
    mean_mm, void_n = _voids(beds, broken_frac)
    held = _stack([bed.fills * bed.grain_pores for bed in beds]) * per_mix
    curve = _curve(beds, _Voids(1.0 - packed, mean_mm, void_n), held, per_mix, (draws, seed))
    return Blend(
        recipe=recipe,
        curve=curve,
        packing_frac=packed,
        yield_frac=yields,
        bulk_kg_l=_sum([bed.bulk_kg_l for bed in beds], per_mix),
        cec_cmol_l=_sum([bed.cec_cmol_l for bed in beds], per_mix),
        effective_mm=mean_mm,
        trace=_trace(recipe, parts, packed, yields, mean_mm),
    )


def _parts(recipe: Recipe, own: Mapping[str, Component] | None) -> list[tuple[Component, float]]:
    volumes: dict[Component, float] = {}
    for key, share in recipe.parts:
        each = component(key, own)
        volumes[each] = volumes.get(each, 0.0) + share
    return list(volumes.items())


def _bed(each: Component, volume_ratio: float, grain: Grain | None, draws: int, seed: int) -> _Bed:
    def draw(parameter: str) -> FloatArray:
        amount = getattr(each, parameter) or rule(parameter)
        return drawn(amount, f"{each.key}.{parameter}", draws, seed)

    densest = rule("packing_index").value
    fills = np.clip(draw("packing_frac"), _LEAST, 0.99 * densest / (1.0 + densest))
    pores = np.clip((draw("open_porosity_v") - (1.0 - fills)) / fills, 0.0, _MOST)
    per_mm = drawn(rule("void_alpha_per_cm_mm"), "void_alpha_per_cm_mm", draws, seed)
    void_n = np.maximum(draw("void_n"), rule("least_n").value)
    if each.void_alpha_per_cm is not None:
        void_mm = packing_mm = draw("void_alpha_per_cm") / per_mm
    else:
        low, high = (each.cut_mm or _NO_CUT) if grain is None else (grain.from_mm, grain.to_mm)
        void_mm = np.full(per_mm.shape, (low + high) / 2.0)
        along = drawn(rule("size_along_cut_frac"), "size_along_cut_frac", draws, seed)
        packing_mm = low + np.maximum(along, 0.0) * (high - low)
    one_system = each.grain_alpha_per_cm is None
    bulk = np.maximum(draw("bulk_kg_l"), _LEAST * each.bulk_kg_l.value)
    cec = np.zeros(bulk.shape) if each.cec_cmol_kg is None else np.maximum(draw("cec_cmol_kg"), 0.0)
    return _Bed(
        volume_ratio=volume_ratio,
        fills=fills,
        grain_pores=pores,
        void_mm=void_mm,
        packing_mm=packing_mm,
        void_n=void_n,
        grain_alpha_per_cm=void_mm * per_mm if one_system else draw("grain_alpha_per_cm"),
        grain_n=void_n if one_system else np.maximum(draw("grain_n"), rule("least_n").value),
        residual_v=np.clip(draw("residual_v"), 0.0, _MOST),
        bulk_kg_l=bulk,
        cec_cmol_l=cec * bulk,
        breaks=each.breaks,
    )


def _stack(arrays: list[FloatArray]) -> FloatArray:
    return np.stack(arrays, axis=-1)


def _sum(arrays: list[FloatArray], per_mix: FloatArray) -> FloatArray:
    return np.asarray(np.sum(_stack(arrays) * per_mix, axis=-1))


def _classes(beds: list[_Bed], broken_frac: float, size: str) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Share of all grains, size and share filled alone, of each part and of the fines of what broke."""
    fines_mm = rule("fines_mm").value
    shares, sizes, alone = [], [], []
    for bed in beds:
        broken = broken_frac if bed.breaks else 0.0
        shares.append(bed.volume_ratio * bed.fills * (1.0 - broken))
        sizes.append(getattr(bed, size))
        alone.append(bed.fills)
        if broken > 0:
            shares.append(bed.volume_ratio * bed.fills * broken)
            sizes.append(np.full(bed.fills.shape, fines_mm))
            alone.append(bed.fills)
    return _stack(shares), _stack(sizes), _stack(alone)


def _packed(beds: list[_Bed], broken_frac: float) -> tuple[FloatArray, FloatArray]:
    packed = packing_frac(*_classes(beds, broken_frac, "packing_mm"))
    volumes = np.array([bed.volume_ratio for bed in beds])
    return packed, yield_frac(volumes, _stack([bed.fills for bed in beds]), packed)


def _voids(beds: list[_Bed], broken_frac: float) -> tuple[FloatArray, FloatArray]:
    """The grain size that counts for the voids (harmonic by volume of grains), and their n."""
    shares, sizes, _alone = _classes(beds, broken_frac, "void_mm")
    shares = shares / shares.sum(axis=-1, keepdims=True)
    mean_mm = 1.0 / np.sum(shares / sizes, axis=-1)
    grains = _stack([bed.volume_ratio * bed.fills for bed in beds])
    grains = grains / grains.sum(axis=-1, keepdims=True)
    return mean_mm, np.asarray(np.sum(grains * _stack([bed.void_n for bed in beds]), axis=-1))


@dataclass(frozen=True)
class _Voids:
    share_v: FloatArray
    mean_mm: FloatArray
    n: FloatArray


def _curve(
    beds: list[_Bed], voids: _Voids, held: FloatArray, per_mix: FloatArray, luck: tuple[int, int]
) -> RetentionCurve:
    per_mm = drawn(rule("void_alpha_per_cm_mm"), "void_alpha_per_cm_mm", *luck)
    pores = np.concatenate([voids.share_v[..., None], held], axis=-1)
    full = pores.sum(axis=-1)
    most = rule("residual_most_frac").value * full
    residual = np.minimum(_sum([bed.residual_v for bed in beds], per_mix), most)
    return RetentionCurve(
        residual_v=residual,
        saturated_v=full,
        shares=pores / full[..., None],
        alphas_per_cm=_stack([per_mm * voids.mean_mm, *(bed.grain_alpha_per_cm for bed in beds)]),
        ns=_stack([voids.n, *(bed.grain_n for bed in beds)]),
    )


def _trace(
    recipe: Recipe,
    parts: list[tuple[Component, float]],
    packed: FloatArray,
    yields: FloatArray,
    mean_mm: FloatArray,
) -> Trace:
    table = load_table("ringwise.rootzone", "components")
    below: list[Trace] = [
        trace_parameter(table.get(RULES, name))
        for name in ("void_alpha_per_cm_mm", "packing_index", "size_along_cut_frac")
    ]
    for each, _volume in parts:
        if each.own or each.key not in component_keys():
            below.append(Trace(each.name, each.provenance, "record", basis="measured"))
            continue
        below += [trace_parameter(table.get(each.key, name), f"{each.name} {name}") for name in _TRACED]
    words = _("grains fill {fill}, mixing keeps {kept} of the volume, grain size that counts {size}").format(
        fill=number(float(np.median(packed)), 3),
        kept=number(float(np.median(yields)), 3),
        size=length(float(np.median(mean_mm))),
    )
    label = _("mix {code} in the pot").format(code=recipe.code)
    return Trace(
        label,
        words,
        ROOM,
        _("packing, voids by grain size, grains part by part"),
        "own",
        "assumed",
        tuple(below),
    )
