"""The wish for tying a tree down: drag of a gust, moment, pull on each windward leg, the wire that holds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ringwise.desk.calc_tie_words import tie_lines
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.rootzone.tie_down import StandLimits, TieDown
    from ringwise.rootzone.tie_plan import TreeLoad
    from ringwise.rootzone.wire import WireChoice

MM_PER_M = 1000.0  # exact
_TIE_KEYS = (
    "ball_holds_n_m",
    "net_n_m",
    "legs",
    "tension_without_factor_n",
    "safety_factor",
    "tension_n",
    "material",
    "wire_mm",
    "working_n",
    "margin",
    "aluminium_mm",
    "copper_mm",
    "ladder",
)  # null where no ball was given


@dataclass(frozen=True)
class WindWish:
    """The gust at the bench, or a mean wind at a gauge and the ground between; a bare number is m/s."""

    gust: str | None = None
    wind: str | None = None
    gauge: str | None = None
    ground: str = "open"
    bench: str | None = None
    gust_factor: str | None = None
    windy: bool = False


@dataclass(frozen=True)
class TreeWish:
    """The outline as an area, or from height and spread; where the wind grips; leaves; drag."""

    area: str | None = None
    height: str | None = None
    spread: str | None = None
    grip: str | None = None
    bare: bool = False
    drag: str | None = None


@dataclass(frozen=True)
class LegsWish:
    """Ball, windward legs with their lever arms, safety factor, and a wire to judge."""

    ball_mass: str | None = None
    ball_width: str | None = None
    legs: int = 2
    arms: str | None = None
    safety: str | None = None
    wire: str = "aluminium"
    diameter: str | None = None


@dataclass(frozen=True)
class PotStandWish:
    """The whole pot on its bench: mass, width of the foot, height of the wind's grip above the bench."""

    mass: str | None = None
    foot: str | None = None
    grip: str | None = None


@dataclass(frozen=True)
class TieWish:
    """What was typed for `ringwise calc tie`."""

    tree: TreeWish = field(default_factory=TreeWish)
    wind: WindWish = field(default_factory=WindWish)
    legs: LegsWish = field(default_factory=LegsWish)
    stand: PotStandWish = field(default_factory=PotStandWish)


@dataclass(frozen=True)
class _Wind:
    gust_m_s: float
    words: str


def _length_mm(text: str | None, key: str) -> float | None:
    if text is None:
        return None
    with at_field(key):
        return parse_quantity(text, "length", field=f"--{key}", default_unit="cm")


def _number(text: str | None, key: str) -> float | None:
    return None if text is None else parse_quantity(text, "fraction", field=f"--{key}", default_unit="")


def calc_tie(wish: TieWish) -> Shape:
    """The pull of a gust on the ties of a tree, and at which gust its pot tips.

    Parameters
    ----------
    wish : TieWish
        What was typed.

    Returns
    -------
    dict
        Keys force_n, moment_n_m, net_n_m, tension_n, wire_mm, margin, tip_wind_m_s and more, with lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> legs = LegsWish(ball_mass="14kg", ball_width="28cm", legs=2, arms="30cm")
    >>> told = calc_tie(TieWish(TreeWish(area="0.35m2", grip="55cm"), WindWish(gust="18"), legs))
    >>> round(told["force_n"], 1), round(told["tension_n"]), told["wire_mm"]
    (68.0, 91, 4.0)
    """
    from ringwise.rootzone.tie_down import drag_n, drag_row
    from ringwise.rootzone.wind import bounded

    load = _load(wish.tree)
    wind = _wind(wish.wind)
    drag = _number(wish.tree.drag, "drag")
    factor = drag_row(bare=wish.tree.bare).number if drag is None else drag
    bounded("drag_factor", factor, field=_("drag coefficient"))
    area = bounded("area_m2", load.area_m2, field=_("outline"), unit="m²")
    gust = bounded("gust_m_s", wind.gust_m_s, field=_("gust"), unit="m/s")
    force_n = drag_n(area, gust, factor)
    tied = None if wish.legs.ball_mass is None else _tied(wish, load, wind, drag)
    limits = None if wish.stand.mass is None else _limits(wish, load, factor)
    if tied is None and limits is None:
        raise MissingFieldError(
            _("give --ball-mass and --ball-width for the ties, or --pot-mass and --foot for the whole pot")
        )
    answer: Shape = {
        "area_m2": area,
        "gust_m_s": gust,
        "drag_factor": factor,
        "force_n": force_n,
        "moment_n_m": force_n * load.grip_mm / MM_PER_M,
        **_tie_shape(tied, wish.legs),
        "tip_wind_m_s": None if limits is None else limits.tip_m_s,
        "slide_wind_m_s": None if limits is None else limits.slide_m_s,
    }
    return answer | {"lines": tie_lines(answer, tied, limits, f"{wind.words}; {load.words}")}


def _load(tree: TreeWish) -> TreeLoad:
    from dataclasses import replace

    from ringwise.desk.tree_load import load_of_sizes
    from ringwise.kit.trace import Trace
    from ringwise.rootzone.tie_plan import TreeLoad

    grip_mm = _length_mm(tree.grip, "grip")
    height_mm, spread_mm = _length_mm(tree.height, "height"), _length_mm(tree.spread, "spread")
    if tree.area is not None:
        area = parse_quantity(tree.area, "area", field="--area", default_unit="m2")
        if grip_mm is None and height_mm is None:
            raise MissingFieldError(
                _("--grip is missing: height of the middle of the outline above the underside of the ball")
            )
        reach_mm = grip_mm if grip_mm is not None else load_of_sizes(height_mm or 0.0, None).grip_mm
        words = _("an outline of {area} m²").format(area=show.number(area, 3))
        return TreeLoad(area, area, area, reach_mm, 0.0, tree.bare, words, Trace(words, ""))
    if height_mm is None:
        raise MissingFieldError(
            _("the outline is missing. Give --area 0.1m2, or --height 60cm and --spread 45cm.")
        )
    load = load_of_sizes(height_mm, spread_mm)
    return load if grip_mm is None else replace(load, grip_mm=grip_mm)


def _wind(wish: WindWish) -> _Wind:
    from ringwise.rootzone.wind import bench_wind, design_gust

    if wish.gust is not None and wish.wind is not None:
        raise InputError(_("give either --gust at the bench or --wind at a gauge, not both"))
    if wish.gust is not None:
        gust = parse_quantity(wish.gust, "speed", field="--gust", default_unit="m/s")
        return _Wind(gust, _("gust of {gust} m/s").format(gust=show.number(gust, 3)))
    if wish.wind is None:
        gust = design_gust(windy=wish.windy)[0]
        return _Wind(gust, _("gust of {gust} m/s, assumed; give --gust").format(gust=show.number(gust, 3)))
    wind = parse_quantity(wish.wind, "speed", field="--wind", default_unit="m/s")
    there = bench_wind(
        wind,
        ground=wish.ground,
        gauge_m=_metres(wish.gauge, "wind-height"),
        height_m=_metres(wish.bench, "bench-height"),
        gust_factor=_number(wish.gust_factor, "gust-factor"),
    )
    words = _("wind {wind} m/s at the gauge, {mean} m/s at the bench, gust {gust} m/s (times {factor})")
    return _Wind(
        there.gust_m_s,
        words.format(
            wind=show.number(wind, 3),
            mean=show.number(there.mean_m_s, 3),
            gust=show.number(there.gust_m_s, 3),
            factor=show.number(there.gust_factor, 3),
        ),
    )


def _metres(text: str | None, key: str) -> float | None:
    if text is None:
        return None
    return parse_quantity(text, "length", field=f"--{key}", default_unit="m") / MM_PER_M


def _tied(wish: TieWish, load: TreeLoad, wind: _Wind, drag: float | None) -> TieDown:
    from ringwise.rootzone.tie_down import TieCase, tie_down

    legs = wish.legs
    width_mm = _length_mm(legs.ball_width, "ball-width")
    if width_mm is None:
        raise MissingFieldError(_("--ball-width is missing: the ball along the wind, such as 28cm"))
    return tie_down(
        TieCase(
            load.area_m2,
            wind.gust_m_s,
            load.grip_mm,
            parse_quantity(legs.ball_mass or "", "mass", field="--ball-mass", default_unit="kg"),
            width_mm,
            _arms(legs, width_mm),
            wish.tree.bare,
            drag,
            _number(legs.safety, "safety"),
        )
    )


def _arms(legs: LegsWish, width_mm: float) -> tuple[float, ...]:
    """One lever arm for each leg; the ball's width where none was given."""
    if legs.legs < 1:
        raise InputError(
            _("--legs is {n}; accepted: 1 or more legs on the windward side").format(n=legs.legs)
        )
    if legs.arms is None:
        return (width_mm,) * legs.legs
    arms = [_length_mm(part.strip(), "arm") or 0.0 for part in legs.arms.split(",")]
    if len(arms) == 1:
        return tuple(arms) * legs.legs
    if len(arms) != legs.legs:
        raise InputError(
            _("--arm has {n} lengths for {legs} legs; give one, or one for each leg").format(
                n=len(arms), legs=legs.legs
            )
        )
    return tuple(arms)


def _limits(wish: TieWish, load: TreeLoad, factor: float) -> StandLimits:
    from ringwise.rootzone.tie_down import Stand, stand_limits

    foot_mm = _length_mm(wish.stand.foot, "foot")
    if foot_mm is None:
        raise MissingFieldError(_("--foot is missing: width of the pot's foot along the wind, such as 18cm"))
    grip_mm = _length_mm(wish.stand.grip, "pot-grip")
    mass_g = parse_quantity(wish.stand.mass or "", "mass", field="--pot-mass", default_unit="kg")
    stand = Stand(mass_g, foot_mm, load.grip_mm if grip_mm is None else grip_mm)
    return stand_limits(stand, load.area_m2, factor)


def _chosen(tied: TieDown, legs: LegsWish) -> WireChoice | None:
    """The wire to report: the gauge that was typed, else the thinnest of the material that holds."""
    from ringwise.rootzone.tie_ladder import recommended
    from ringwise.rootzone.wire import checked_material, wire_of

    material = checked_material(legs.wire)
    diameter_mm = None
    if legs.diameter is not None:
        with at_field("diameter"):
            diameter_mm = parse_quantity(legs.diameter, "length", field="--diameter", default_unit="mm")
        if not 0.1 <= diameter_mm <= 10:
            raise InputError(
                _("--diameter is {size}; accepted: 0.1 to 10 mm").format(size=show.fine(diameter_mm))
            )
    if diameter_mm is not None:
        return wire_of(material, diameter_mm, tied.tension_n)
    return tied.copper if material == "copper" else recommended(tied)


def _tie_shape(tied: TieDown | None, legs: LegsWish) -> Shape:
    from ringwise.rootzone.tie_ladder import ladder
    from ringwise.rootzone.wire import MATERIALS

    if tied is None:
        return dict.fromkeys(_TIE_KEYS)
    wire = _chosen(tied, legs)
    rungs = [
        {
            "key": rung.key,
            "words": rung.words,
            "tension_n": rung.tension_n,
            "material": None if rung.wire is None else rung.wire.material,
            "wire_mm": None if rung.wire is None else rung.wire.diameter_mm,
            "enough": rung.enough,
        }
        for rung in ladder(tied)
    ]
    held = dict(zip(MATERIALS, (tied.aluminium, tied.copper), strict=True))
    return {
        "ball_holds_n_m": tied.held_nm,
        "net_n_m": tied.net_nm,
        "legs": tied.legs,
        "tension_without_factor_n": tied.bare_tension_n,
        "safety_factor": tied.safety_factor,
        "tension_n": tied.tension_n,
        "material": None if wire is None else wire.material,
        "wire_mm": None if wire is None else wire.diameter_mm,
        "working_n": None if wire is None else wire.working_n,
        "margin": None if wire is None else wire.margin_factor,
        **{f"{name}_mm": None if each is None else each.diameter_mm for name, each in held.items()},
        "ladder": rungs,
    }
