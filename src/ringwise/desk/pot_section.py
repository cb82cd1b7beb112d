"""A pot cut along its length, as values that a screen or a terminal draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ringwise.desk.shapes import Shape
from ringwise.desk.told import told
from ringwise.kit import show
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import ArrayLike

    from ringwise.records.model import Hole
    from ringwise.rootzone.anchoring import Anchoring
    from ringwise.rootzone.container import ContainerState
    from ringwise.rootzone.cut import RootBall, WaterByHeight
    from ringwise.rootzone.dome import Dome
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.retention import RetentionCurve
    from ringwise.rootzone.surface import Surface

MM_PER_CM = 10.0


@dataclass(frozen=True)
class Fittings:
    """What lies in a pot besides its soil: holes with their mesh, ties, dome, dressing, and the root ball."""

    holes: tuple[Hole, ...]
    holes_assumed: bool
    mesh_mm: tuple[float, ...]
    anchor: Anchoring
    dome: Dome
    surface: Surface
    ball: RootBall
    ball_assumed: bool


@dataclass(frozen=True)
class Cut:
    """What a cut is drawn from. `why` heads the names of the whys; blank for what was only tried."""

    words: str
    pot: PotShape
    material: str
    ready: Fittings
    curve: RetentionCurve
    tilt_deg: float = 0.0
    trunk_mm: float | None = None
    why: str = ""
    assumed: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()


@dataclass(frozen=True)
class Spread:
    """One in ten, the median and nine in ten of a quantity that was drawn many times."""

    low: float
    median: float
    high: float


def spread_of(drawn: ArrayLike) -> Spread:
    """The spread of draws.

    Parameters
    ----------
    drawn : array_like
        The draws, or one value.

    Returns
    -------
    Spread
        Three times the same for one value.

    Examples
    --------
    >>> spread_of([1.0, 2.0, 3.0]).median, spread_of(4.0).low
    (2.0, 4.0)
    """
    return _spreads_of([drawn])[0]


def _spreads_of(drawn: Sequence[ArrayLike]) -> list[Spread]:
    """The spread of each of several quantities, sorted out together: a slider waits for it."""
    each = np.stack(np.broadcast_arrays(*(np.atleast_1d(np.asarray(one, float)) for one in drawn)))
    return [Spread(*map(float, three)) for three in np.percentile(each, (10, 50, 90), axis=1).T]


def state_of(cut: Cut) -> ContainerState:
    """The water of a cut when no more drips out.

    Parameters
    ----------
    cut : Cut
        The pot, its curve and its tilt.

    Returns
    -------
    ContainerState
        One value or as many as the curve has draws.
    """
    from ringwise.rootzone.container import container_state

    return container_state(cut.pot, cut.curve, tilt_deg=cut.tilt_deg)


def section_shape(cut: Cut) -> Shape:
    """A cut as the contract of the app has it.

    Parameters
    ----------
    cut : Cut
        The pot with its arithmetic and its curve.

    Returns
    -------
    dict
        Lengths in mm, shares of water with their spread, and all of it in words.
    """
    from ringwise.rootzone.cut import gravity_height_mm, water_by_height

    state = state_of(cut)
    top_mm = gravity_height_mm(cut.pot, cut.tilt_deg)
    water = water_by_height(cut.curve, top_mm)
    # a mix that stays wet for more than the pot is high wets it to the surface
    saturated = spread_of(np.minimum(np.asarray(state.saturated_layer_cm) * MM_PER_CM, top_mm))
    figures = figures_of(state, cut.why)
    return {
        "words": cut.words,
        **_lengths(cut),
        **_fitted(cut.ready),
        "surface_shown": _("surface {drop} below the rim").format(drop=show.length(cut.pot.rim_drop_mm)),
        "layers": _layers(water),
        "saturated": {
            "low_mm": saturated.low,
            "median_mm": saturated.median,
            "high_mm": saturated.high,
            "shown": show.length(saturated.median),
            "span": show.length_span(saturated.low, saturated.high),
        },
        "figures": figures,
        "sentence": _sentence(cut, figures, saturated),
        "assumed": [*cut.assumed, *_assumed_of(cut)],
        "measured": list(cut.measured),
    }


def _lengths(cut: Cut) -> Shape:
    """The pot as geometry."""
    from ringwise.rootzone.lifting import wall_mm

    pot = cut.pot
    return {
        "length_mm": pot.length_mm,
        "bottom_length_mm": pot.bottom_length_mm,
        "depth_mm": pot.depth_mm,
        "length_shown": show.length(pot.length_mm),
        "depth_shown": show.length(pot.depth_mm),
        "wall_mm": wall_mm(cut.material),
        "fill_floor_mm": pot.base_drop_mm,
        "fill_height_mm": pot.fill_height_mm,
        "tilt_deg": cut.tilt_deg,
        "trunk_mm": cut.trunk_mm,
    }


def _fitted(ready: Fittings) -> Shape:
    """What lies in the pot besides its soil."""
    dome, ball = ready.dome, ready.ball
    hollow = {"radius_mm": dome.radius_mm, "depth_mm": dome.depth_mm, "measured": not dome.assumed}
    return {
        "dressing_mm": ready.surface.dressing_mm,
        "ball": {
            "length_mm": ball.length_mm,
            "depth_mm": ball.depth_mm,
            "measured": not ready.ball_assumed,
        },
        "hollow": hollow if dome.is_due else None,
        "holes": [
            {"x_mm": hole.x_mm, "diameter_mm": hole.diameter_mm, "mesh_mm": mesh}
            for hole, mesh in zip(ready.holes, ready.mesh_mm, strict=True)
        ],
        "ties": [
            {"first_mm": ready.holes[tie.first].x_mm, "second_mm": ready.holes[tie.second].x_mm}
            for tie in ready.anchor.ties
        ],
        "bar": ready.anchor.bar,
        "mesh_shown": _mesh_words(ready),
        "ties_shown": _tie_words(ready),
        "dome_shown": _("dome {volume}").format(volume=show.litres(dome.dome_cm3)) if dome.is_due else "",
    }


def _layers(water: WaterByHeight) -> list[Shape]:
    """The water from the lowest point up."""
    each = zip(water.heights_mm, water.low_v, water.median_v, water.high_v, strict=True)
    return [
        {
            "height_mm": height,
            "low_v": low,
            "median_v": median,
            "high_v": high,
            "shown": show.percent(median),
            "span": share_span(low, high),
        }
        for height, low, median, high in each
    ]


def share_span(low: float, high: float) -> str:
    """Two shares as a span; blank where they are shown alike.

    Parameters
    ----------
    low, high : float
        Shares, 0 to 1.

    Returns
    -------
    str
        Such as "41 to 52%".

    Examples
    --------
    >>> share_span(0.41, 0.52), share_span(0.5, 0.501)
    ('41 to 52%', '')
    """
    ends = show.percent(low), show.percent(high)
    return "" if ends[0] == ends[1] else show.spanned(*ends)


def litre_span(low_cm3: float, high_cm3: float) -> str:
    """Two volumes as a span; blank where they are shown alike.

    Parameters
    ----------
    low_cm3, high_cm3 : float
        In cm3.

    Returns
    -------
    str
        Such as "0.6 to 0.9 L".

    Examples
    --------
    >>> litre_span(600.0, 900.0), litre_span(340.0, 800.0)
    ('0.6 to 0.9 L', '0.3 to 0.8 L')
    """
    ends = show.litres(low_cm3, beside_cm3=high_cm3), show.litres(high_cm3)
    return "" if ends[0] == ends[1] else show.spanned(*ends)


def figures_of(state: ContainerState, why: str) -> list[Shape]:
    """The numbers of a pot that holds as much water as it can.

    Parameters
    ----------
    state : ContainerState
        The water of the pot.
    why : str
        What the names of the whys begin with; blank for none.

    Returns
    -------
    list of dict
        Keys key, label, told and span.
    """
    rows: list[tuple[str, str, ArrayLike, Callable[[float], str], Callable[[float, float], str]]] = [
        ("volume", _("soil in the pot, as filled"), state.volume_cm3, show.litres, litre_span),
        ("water", _("water when it has drained"), state.water_cm3, show.litres, litre_span),
        (
            "available",
            _("of it for the tree in this pot"),
            state.available_water_cm3,
            show.litres,
            litre_span,
        ),
        ("air", _("air in the whole pot"), state.air_filled_porosity_v, show.percent, share_span),
        ("air_bottom", _("air in the lowest 2 cm"), state.air_bottom_v, show.percent, share_span),
        (
            "standard",
            _("water for a tree by the usual gauge, 10 to 50 cm of suction"),
            state.standard_available_v,
            show.percent,
            share_span,
        ),
    ]
    spreads = _spreads_of([drawn for _key, _label, drawn, _shown, _span in rows])
    return [
        {
            "key": key,
            "label": label,
            "told": told(band.median, shown(band.median), f"{why}:{key}" if why else None),
            "span": span(band.low, band.high),
        }
        for (key, label, _drawn, shown, span), band in zip(rows, spreads, strict=True)
    ]


def _mesh_words(ready: Fittings) -> str:
    sides = dict.fromkeys(show.length(side) for side in ready.mesh_mm)
    return _("mesh {sides}").format(sides=", ".join(sides)) if sides else _("no holes known")


def _tie_words(ready: Fittings) -> str:
    ties = ready.anchor.ties
    if not ties:
        return _("no ties reckoned")
    lengths = dict.fromkeys(show.length(tie.length_mm) for tie in ties)
    words = _("{n} ties of {lengths}, wire {gauge}").format(
        n=len(ties), lengths=", ".join(lengths), gauge=ready.anchor.gauge
    )
    return words + (_(", and a bar under the ball") if ready.anchor.bar else "")


def _sentence(cut: Cut, figures: Sequence[Shape], saturated: Spread) -> str:
    pot = cut.pot
    said = [
        _("{pot}: {shape}, {length} long and {depth} deep inside, {tilt}.").format(
            pot=cut.words,
            shape=from_data(pot.shape),
            length=show.length(pot.length_mm),
            depth=show.length(pot.depth_mm),
            tilt=_("level") if cut.tilt_deg == 0 else _("tilted {n} degrees").format(n=round(cut.tilt_deg)),
        ),
        _("When no more drips out it is wet through up to {height} above the lowest point.").format(
            height=show.length(saturated.median)
        ),
    ]
    said += [f"{each['label']}: {each['told']['shown']}." for each in figures]
    return " ".join(said)


def _assumed_of(cut: Cut) -> list[str]:
    said = []
    if not cut.pot.slopes:
        said.append(
            _(
                "The walls' slope is not measured: they are drawn upright, and {share} of that is filled."
            ).format(share=show.percent(cut.pot.taper_frac))
        )
    if cut.ready.holes_assumed:
        said.append(_("The holes are not measured; a usual layout is drawn."))
    if cut.ready.ball_assumed:
        said.append(_("The root ball is not measured: drawn is what a repotting keeps."))
    said.append(_("The root ball is taken to hold water as the mix around it."))
    if cut.ready.dome.is_due and cut.ready.dome.assumed:
        said.append(_("Hollow and dome follow from the trunk."))
    return said
