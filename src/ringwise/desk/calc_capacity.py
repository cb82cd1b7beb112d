"""The wish for what a pot holds at rest."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk.calc_curve import CurveWish, NamedCurve, read_curve
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.tables import load_table
from ringwise.kit.units import parse_dimensions_mm, parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.kit.types import FloatArray
    from ringwise.rootzone.container import CoarseLayer, ContainerState
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.retention import RetentionCurve
    from ringwise.rootzone.sections import Filling, Mound

_PROFILE = 8  # heights at which the water content is told
_MOST_SLICES = 50
_LOW, _HIGH = 10, 90  # percentiles of the band
_NO_SHARE = 1e-9  # a pore system with less is none: the last digits of a closed grain
_SHOWN = ("water_cm3", "theta_v", "air_filled_porosity_v", "air_bottom_v", "saturated_layer_cm")


@dataclass(frozen=True)
class VesselWish:
    """A pot as typed: its shape and sizes, or slices of a bowl; tilt, mound and layer."""

    shape: str = "prism"
    height: str | None = None
    bottom: str | None = None
    top: str | None = None
    length: str | None = None
    width: str | None = None
    tilt: str | None = None
    mound: str | None = None
    mound_base: str | None = None
    mound_form: str = "paraboloid"
    layer: str | None = None
    layer_grain: str | None = None
    slices: tuple[str, ...] = ()


@dataclass(frozen=True)
class CapacityWish:
    """A curve and a vessel, as typed for `ringwise calc capacity`."""

    curve: CurveWish
    vessel: VesselWish


@dataclass(frozen=True)
class _Held:
    """What a vessel holds, as one curve and in draws, with what was read."""

    state: ContainerState
    drawn: ContainerState | None
    height_mm: float
    tilt_deg: float = 0.0
    layer: CoarseLayer | None = None
    without: ContainerState | None = None
    profile: list[Shape] = field(default_factory=list)
    of_one_cm2: bool = False


def calc_capacity(wish: CapacityWish) -> Shape:
    """Water and air in a pot after it has stopped dripping.

    Parameters
    ----------
    wish : CapacityWish
        What was typed.

    Returns
    -------
    dict
        Keys volume_cm3, water_cm3, theta_v, air_filled_porosity_v, saturated_layer_cm, available_water_l and
        more, with lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> wish = CapacityWish(CurveWish("0.045", "0.43", "0.145", "2.68"), VesselWish(height="5cm"))
    >>> round(calc_capacity(wish)["theta_v"], 6)
    0.406695
    """
    named = read_curve(wish.curve)
    held = _bowl(wish.vessel, named) if wish.vessel.slices else _pot(wish.vessel, named)
    answer = _numbers(held.state) | {
        "height_cm": held.height_mm / 10,
        "tilt_deg": held.tilt_deg,
        "curve": _curve_shape(named.curve),
        "profile": held.profile,
        "band": None if held.drawn is None else _band(held.drawn),
        "layer": _layer_shape(held),
    }
    return answer | {"lines": _lines(named, held)}


def _length_mm(text: str, field_name: str, key: str) -> float:
    with at_field(key):
        return parse_quantity(text, "length", field=field_name, default_unit="cm")


def _pot(vessel: VesselWish, named: NamedCurve) -> _Held:
    from ringwise.rootzone.container import container_state

    pot, along_mm = _read_pot(vessel)
    tilt_deg = _tilt_deg(vessel)
    mound, layer = _mound(vessel), _layer(vessel)

    def state(curve: RetentionCurve, below: CoarseLayer | None) -> ContainerState:
        return container_state(
            pot, curve, mound=mound, tilt_deg=tilt_deg, along_mm=along_mm, coarse_layer=below
        )

    return _Held(
        state(named.curve, layer),
        None if named.drawn is None else state(named.drawn, layer),
        pot.fill_height_mm,
        tilt_deg,
        layer,
        None if layer is None else _on_mix(pot, mound, layer, named.curve),
        [] if layer or tilt_deg else _profile(named.curve, pot.fill_height_mm),
        of_one_cm2=pot.shape == "prism",
    )


def _on_mix(pot: PotShape, mound: Mound | None, layer: CoarseLayer, curve: RetentionCurve) -> ContainerState:
    """The mix above a layer, if mix lay in the layer's place."""
    from ringwise.rootzone.container import filling_state
    from ringwise.rootzone.sections import cut, pot_sections

    return filling_state(cut(pot_sections(pot, mound), layer.thickness_mm / 10, np.inf), curve)


def _read_pot(vessel: VesselWish) -> tuple[PotShape, float | None]:
    """The pot, and the length of the straight section that is tilted instead of its plan."""
    from ringwise.rootzone.pot import shape_word
    from ringwise.rootzone.pot_reading import PotWords, read_pot

    if not vessel.height:
        raise MissingFieldError(_("--height is missing. Give the height of the substrate, such as 7cm."))
    planned = bool(vessel.top) or shape_word(vessel.shape) == "prism"
    words = PotWords(depth=vessel.height, top=vessel.top or "", bottom=vessel.bottom or "")
    if not planned:
        words = PotWords(vessel.length or "", vessel.width or "", vessel.height, bottom=vessel.bottom or "")
    pot = read_pot(vessel.shape, words)
    along = _length_mm(vessel.length, "--length", "length") if planned and vessel.length else None
    return pot, along


def _tilt_deg(vessel: VesselWish) -> float:
    if not vessel.tilt:
        return 0.0
    from ringwise.rootzone.tilt import checked_tilt_deg

    with at_field("tilt"):
        return checked_tilt_deg(parse_quantity(vessel.tilt, "angle", field="--tilt", default_unit="deg"))


def _mound(vessel: VesselWish) -> Mound | None:
    from ringwise.rootzone.sections import Mound

    if not vessel.mound:
        return None
    if not vessel.mound_base:
        raise MissingFieldError(_("--mound-base is missing. Give the size of the mound's base: 20x15cm."))
    base = parse_dimensions_mm(vessel.mound_base, field="--mound-base")
    return Mound(_length_mm(vessel.mound, "--mound", "mound"), base[0], base[-1], vessel.mound_form)


def _layer(vessel: VesselWish) -> CoarseLayer | None:
    from ringwise.rootzone.components import rule
    from ringwise.rootzone.container import CoarseLayer

    if not vessel.layer:
        return None
    if not vessel.layer_grain:
        raise MissingFieldError(_("--layer-grain is missing. Give the grain size of the layer, such as 8mm."))
    grain_mm = parse_quantity(vessel.layer_grain, "length", field="--layer-grain", default_unit="mm")
    thick_mm = _length_mm(vessel.layer, "--layer", "layer")
    return CoarseLayer(thick_mm, rule("void_alpha_per_cm_mm").value * grain_mm)


def _bowl(vessel: VesselWish, named: NamedCurve) -> _Held:
    """A bowl with curved walls, from slices "0cm:12x12cm"."""
    from ringwise.rootzone.container import filling_state
    from ringwise.rootzone.pot import shape_word
    from ringwise.rootzone.sections import Level, bowl_sections

    if any((vessel.bottom, vessel.top, vessel.tilt, vessel.mound, vessel.layer)):
        raise InputError(_("--slice stands alone: without --bottom, --top, --tilt, --mound and --layer."))
    if len(vessel.slices) > _MOST_SLICES:
        raise InputError(_("give {n} slices at most.").format(n=_MOST_SLICES))
    levels = []
    for text in vessel.slices:
        z, mark, size = text.partition(":")
        if not mark:
            raise InputError(
                _('--slice is "{text}"; write height:size, such as 3cm:22x18cm.').format(text=text)
            )
        sizes = parse_dimensions_mm(size, field="--slice")
        levels.append(Level(_length_mm(z, "--slice", "slice"), sizes[0], sizes[-1]))
    filling: Filling = bowl_sections(shape_word(vessel.shape), levels)
    height_mm = levels[-1].z_mm - levels[0].z_mm
    return _Held(
        filling_state(filling, named.curve),
        None if named.drawn is None else filling_state(filling, named.drawn),
        height_mm,
        profile=_profile(named.curve, height_mm),
    )


def _profile(curve: RetentionCurve, height_mm: float) -> list[Shape]:
    heights = np.linspace(0.0, height_mm / 10, _PROFILE)
    return [
        {"height_cm": float(h), "theta_v": float(v)}
        for h, v in zip(heights, curve.theta_v(heights), strict=True)
    ]


def _numbers(state: ContainerState) -> Shape:
    found: dict[str, Any] = {
        name: float(getattr(state, name))
        for name in state.__dataclass_fields__
        if name not in {"available_water_cm3"}
    }
    found["available_water_l"] = float(state.available_water_cm3) / 1000
    found["standard_available_l"] = float(state.standard_available_v) * state.volume_cm3 / 1000
    return found


def _band(drawn: ContainerState) -> Shape:
    """The tenth and ninetieth percentile of the draws."""
    arrays = {name: getattr(drawn, name) for name in _SHOWN}
    arrays["available_water_l"] = drawn.available_water_cm3 / 1000
    return {
        name: dict(zip(("low", "high"), (float(v) for v in np.percentile(each, (_LOW, _HIGH))), strict=True))
        for name, each in arrays.items()
    }


def _curve_shape(curve: RetentionCurve) -> Shape:
    return {
        "residual_v": float(curve.residual_v),
        "saturated_v": float(curve.saturated_v),
        "modes": [
            {"pore_share_frac": float(w), "alpha_per_cm": float(a), "steepness": float(n)}
            for w, a, n in zip(curve.shares, curve.alphas_per_cm, curve.ns, strict=True)
            if w > _NO_SHARE
        ],
    }


def _layer_shape(held: _Held) -> Shape | None:
    if held.layer is None or held.without is None:
        return None
    return {
        "suction_cm": held.layer.suction_cm,
        "lost_cm": held.layer.thickness_mm / 10,
        "air_without_v": float(held.without.air_filled_porosity_v),
    }


def _lines(named: NamedCurve, held: _Held) -> list[str]:
    state = held.state
    found = [
        *([_("mix: {name}").format(name=named.name)] if named.name else []),
        _("holds {water} of water in {volume}: {theta} by volume, air {air}").format(
            water=show.litres(float(state.water_cm3), 3),
            volume=show.litres(state.volume_cm3, 3),
            theta=_percent(state.theta_v),
            air=_percent(state.air_filled_porosity_v),
        ),
        *([_("only a height was given: volumes are for each cm² of floor")] if held.of_one_cm2 else []),
        _("air in the lowest 2 cm: {air}").format(air=_percent(state.air_bottom_v)),
        _wet_line(named.curve, held),
        _available_line(held),
        _gauge_line(named.curve, held),
    ]
    if held.drawn is not None:
        band = _band(held.drawn)["air_filled_porosity_v"]
        found.append(
            _("not weighed: air between {low} and {high} in eight pots of ten").format(
                low=show.percent(band["low"]), high=show.percent(band["high"])
            )
        )
    return found + _layer_lines(held) + _tilt_lines(held)


def _percent(share_v: float | FloatArray) -> str:
    """A share of the volume in percent: to the tenth, for little air is what roots die of."""
    return _("{n}%").format(n=show.fixed(100 * float(share_v), 1))


def _gauge_of(name: str) -> float:
    return load_table("ringwise.rootzone", "container").get("gauge", name).number


def _wet_line(curve: RetentionCurve, held: _Held) -> str:
    """The wet layer, by the suction at which the pores begin to empty; the fill may be lower than that."""
    top_frac = float((held.state.theta_top_v - curve.residual_v) / curve.span_v)
    if top_frac >= _gauge_of("saturated_frac"):
        return _("wet to the top: no part of this fill is high enough to drain")
    height = show.length(float(held.state.saturated_layer_cm) * 10)
    if held.layer is not None:
        return _("wet layer on the coarse layer: {height}").format(height=height)
    return _("wet layer at the bottom: {height}, by the mix, whatever the pot").format(height=height)


def _available_line(held: _Held) -> str:
    return _("a tree can use {water} of it, down to 50 cm of suction").format(
        water=show.litres(float(held.state.available_water_cm3), 3)
    )


def _gauge_line(curve: RetentionCurve, held: _Held) -> str:
    """What the standard gauge says, and where the fill holds more because its top never drains to 10 cm."""
    state = held.state
    standard = show.litres(float(state.standard_available_v) * state.volume_cm3, 2)
    if float(state.theta_top_v) > float(curve.theta_v(_gauge_of("wet_cm"))):
        return _(
            "the usual gauge, 10 to 50 cm of suction, says {water}: it misleads here, no part drains to 10 cm"
        ).format(water=standard)
    return _("the usual gauge, 10 to 50 cm of suction, says {water}").format(water=standard)


def _layer_lines(held: _Held) -> list[str]:
    if held.layer is None or held.without is None:
        return []
    return [
        _(
            "the coarse layer takes {lost} of depth, and the mix on it begins at {suction} cm of suction:"
            " it holds {air} of air; on as much mix it would hold {without}"
        ).format(
            lost=show.length(held.layer.thickness_mm),
            suction=show.number(held.layer.suction_cm, 2),
            air=_percent(held.state.air_filled_porosity_v),
            without=_percent(held.without.air_filled_porosity_v),
        )
    ]


def _tilt_lines(held: _Held) -> list[str]:
    if not held.tilt_deg:
        return []
    return [_("drained level first, then tilted; water leaves at the lower edge")]
