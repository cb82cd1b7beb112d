"""The wish for the potting arithmetic of one pot from typed values alone."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ringwise.desk.calc_potting_words import potting_lines
from ringwise.desk.mix_parts import typed_parts
from ringwise.desk.shapes import Shape
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.units import parse_dimensions_mm, parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.records.model import Hole
    from ringwise.rootzone.ball import KeptBall
    from ringwise.rootzone.dome import RootBase
    from ringwise.rootzone.litres import MixOrder
    from ringwise.rootzone.mix import Recipe
    from ringwise.rootzone.pot import Fill, PotShape
    from ringwise.rootzone.potting import PotJob, Potting
    from ringwise.rootzone.tie_plan import TreeLoad

CM3_PER_L = 1000.0  # exact
G_PER_KG = 1000.0  # exact


@dataclass(frozen=True)
class FillWish:
    """The pot as typed, its rim, floor and taper, and how far its lowest rim point lies below the rest."""

    shape: str
    height: str | None = None
    top: str | None = None
    bottom: str | None = None
    length: str | None = None
    width: str | None = None
    rim: str | None = None
    base_drop: str | None = None
    taper: str | None = None
    rim_fall: str | None = None


@dataclass(frozen=True)
class BallWish:
    """The kept ball: three sizes, a displaced volume, a share of the pot, or a share of the roots cut."""

    ball: str | None = None
    volume: str | None = None
    kept: str | None = None
    removed: str | None = None
    worked: str | None = None
    mound: str | None = None
    hollow: str | None = None


@dataclass(frozen=True)
class SetWish:
    """What else the figures stand on: tree, holes, reach, dressing, place."""

    trunk: str | None = None
    height: str | None = None
    spread: str | None = None
    holes: tuple[str, ...] = ()
    reach: str | None = None
    dressed: bool = True
    windy: bool = False
    material: str = ""
    scoop: str | None = None


@dataclass(frozen=True)
class PottingAsk:
    """What was typed for `ringwise calc potting`."""

    pot: FillWish
    mix: str = "D"
    ball: BallWish = field(default_factory=BallWish)
    more: SetWish = field(default_factory=SetWish)


def calc_potting(ask: PottingAsk) -> Shape:
    """All that must lie ready for one pot.

    Parameters
    ----------
    ask : PottingAsk
        What was typed.

    Returns
    -------
    dict
        Keys volume_cm3, refill_cm3, gross_cm3, parts, dome_cm3, top_dressing_cm3, mesh_mm, tie_lengths_mm,
        mass_kg, people and more, with lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_potting(PottingAsk(FillWish("oval", "8cm", top="50x37cm")))
    >>> round(told["volume_cm3"]), round(told["top_dressing_cm3"]), round(told["gross_cm3"])
    (9357, 726, 6214)
    """
    from ringwise.rootzone.potting import potting

    ready = potting(_job(ask))
    answer = _numbers(ready)
    return answer | {"lines": potting_lines(ready)}


def _mm(text: str | None, key: str, unit: str = "cm") -> float | None:
    if text is None:
        return None
    with at_field(key):
        return parse_quantity(text, "length", field=f"--{key}", default_unit=unit)


def _share(text: str | None, key: str) -> float | None:
    if text is None:
        return None
    share = parse_quantity(text, "fraction", field=f"--{key}", default_unit="")
    if not 0 <= share <= 1:
        hint = _("Did you enter percent? Write {text} %.").format(text=text) if "%" not in text else ""
        line = _("--{key} is {text}; accepted: 0 to 100 %.").format(key=key, text=text)
        raise InputError(f"{line} {hint}".strip())
    return share


def _job(ask: PottingAsk) -> PotJob:
    from ringwise.desk.tree_load import load_of_sizes
    from ringwise.rootzone.potting import PotJob

    more = ask.more
    pot = _pot(ask.pot)
    height_mm, spread_mm = _mm(more.height, "tree-height"), _mm(more.spread, "spread")
    load: TreeLoad | None = None
    if height_mm is not None:
        load = load_of_sizes(height_mm, spread_mm, windy=more.windy)
    return PotJob(
        pot=pot,
        mix=_order(ask, pot),
        fill=_fill(ask.pot, pot),
        holes=tuple(_hole(text) for text in more.holes),
        base=_base(ask),
        tree_height_mm=height_mm,
        reach_mm=_mm(more.reach, "reach"),
        exposed=more.windy,
        dressed=more.dressed,
        pot_material=more.material,
        ball=_ball(ask.ball),
        load=load,
    )


def _pot(wish: FillWish) -> PotShape:
    from ringwise.rootzone.pot_reading import PotWords, read_pot

    if wish.height is None:
        raise MissingFieldError(_("--height is missing: the inside depth of the pot, such as 8cm"))
    if wish.shape == "prism" and not (wish.length or wish.top):
        raise MissingFieldError(_("a prism needs its size for litres: --length 30cm --width 22cm"))
    words = PotWords(wish.length or "", wish.width or "", wish.height, wish.top or "", wish.bottom or "")
    return read_pot(wish.shape, words)


def _fill(wish: FillWish, pot: PotShape) -> Fill:
    """The trade's allowances, each replaced by what was typed; a rim that falls takes its lowest point."""
    from dataclasses import replace

    from ringwise.rootzone.pot import practice_fill

    fill = practice_fill(pot)
    rim_mm, base_mm = _mm(wish.rim, "rim", "mm"), _mm(wish.base_drop, "base-drop", "mm")
    taper = _share(wish.taper, "taper")
    fall_mm = _mm(wish.rim_fall, "rim-fall", "mm") or 0.0
    if fall_mm < 0:
        raise InputError(_("--rim-fall is below 0; give how far the lowest point lies below the rest"))
    fill = replace(fill, rim_drop_mm=(fill.rim_drop_mm if rim_mm is None else rim_mm) + fall_mm)
    if base_mm is not None:
        fill = replace(fill, base_drop_mm=base_mm)
    return fill if taper is None else replace(fill, taper_frac=taper)


def _order(ask: PottingAsk, pot: PotShape) -> MixOrder:
    from ringwise.rootzone.litres import MixOrder

    given = (ask.ball.ball or ask.ball.volume, ask.ball.kept, ask.ball.removed)
    if sum(each is not None for each in given) > 1:
        raise InputError(_("give one of --ball or --ball-volume, --kept, --root-removed; they exclude"))
    worked = _share(ask.ball.worked, "worked")
    scoop = ask.more.scoop
    return MixOrder(
        _recipe(ask.mix),
        kept_frac=_share(ask.ball.kept, "kept"),
        worked_frac=1.0 if worked is None else worked,
        scoop_cm3=None
        if scoop is None
        else parse_quantity(scoop, "volume", field="--scoop", default_unit="L"),
        root_removed_frac=_share(ask.ball.removed, "root-removed"),
        mound_cm3=_mound_cm3(ask, pot),
    )


def _recipe(text: str) -> Recipe:
    from ringwise.rootzone.mix import own_recipe, recipe

    return own_recipe(_("own mix"), typed_parts(text)) if "=" in text else recipe(text)


def _mound_cm3(ask: PottingAsk, pot: PotShape) -> float:
    """What is heaped over the whole surface; the pot's rim is its base."""
    from ringwise.rootzone.sections import Mound, pot_sections, volume_cm3

    height_mm = _mm(ask.ball.mound, "mound")
    if height_mm is None:
        return 0.0
    mound = Mound(height_mm, pot.length_mm, pot.width_mm)
    return volume_cm3(pot_sections(pot, mound)) - volume_cm3(pot_sections(pot))


def _ball(wish: BallWish) -> KeptBall | None:
    from ringwise.rootzone.ball import KeptBall
    from ringwise.rootzone.cut import RootBall

    if wish.ball is None and wish.volume is None:
        return None
    sizes = None
    if wish.ball is not None:
        with at_field("ball"):
            typed = parse_dimensions_mm(wish.ball, field="--ball")
        if len(typed) != 3:
            raise InputError(
                _('--ball is "{text}"; write length x width x thickness, such as 26x18x5cm').format(
                    text=wish.ball
                )
            )
        sizes = RootBall(*typed)
    volume = (
        None
        if wish.volume is None
        else parse_quantity(wish.volume, "volume", field="--ball-volume", default_unit="L")
    )
    return KeptBall(sizes, volume)


def _base(ask: PottingAsk) -> RootBase:
    from ringwise.rootzone.dome import RootBase

    trunk_mm = _mm(ask.more.trunk, "trunk")
    if ask.ball.hollow is None:
        return RootBase(trunk_mm=trunk_mm)
    with at_field("hollow"):
        sizes = parse_dimensions_mm(ask.ball.hollow, field="--hollow")
    if len(sizes) != 2:
        raise InputError(
            _('--hollow is "{text}"; write width x depth, such as 18x2.5cm').format(text=ask.ball.hollow)
        )
    return RootBase(trunk_mm=trunk_mm, hollow_radius_mm=sizes[0] / 2, hollow_depth_mm=sizes[1])


def _hole(text: str) -> Hole:
    """A hole as "22mm@-7cm:0", from the middle of the floor to the right and to the back."""
    from ringwise.records.model import Hole

    size, _at, place = text.partition("@")
    right, mark, back = place.partition(":")
    if not mark:
        raise InputError(
            _('--hole is "{text}"; write size@right:back from the middle, such as 22mm@-7cm:0cm').format(
                text=text
            )
        )
    diameter_mm = _mm(size, "hole", "mm") or 0.0
    if not 0 < diameter_mm <= 200:
        raise InputError(_("--hole is {size} wide; accepted: above 0 to 200 mm").format(size=size))
    return Hole(diameter_mm, _mm(right, "hole") or 0.0, _mm(back, "hole") or 0.0)


def _numbers(ready: Potting) -> Shape:
    return {
        "shape": ready.pot.shape,
        "size_class": ready.size_class,
        "volume_cm3": ready.volume_cm3,
        "refill_frac": ready.litres.refill_frac,
        "refill_cm3": ready.refill_cm3,
        "gross_cm3": ready.gross_cm3,
        "gross_l": ready.gross_cm3 / CM3_PER_L,
        "recipe": ready.recipe.code,
        "parts": [
            {"component": key, "volume_l": volume / CM3_PER_L, "scoops": ready.litres.scoops[key]}
            for key, volume in ready.parts_cm3.items()
        ],
        "ball_cm3": (1 - ready.litres.refill_frac) * ready.volume_cm3,
        "hollow_cm3": ready.hollow_cm3,
        "dome_cm3": ready.dome_cm3,
        "top_dressing_cm3": ready.top_dressing_cm3,
        "finished_low_mm": ready.surface.finished_low_mm,
        "finished_high_mm": ready.surface.finished_high_mm,
        "mesh_mm": list(ready.mesh_mm),
        "holes_assumed": ready.holes_assumed,
        **_held(ready),
        "left_mm": ready.place.left_mm,
        "front_mm": ready.place.front_mm,
        "hints": [hint.words for hint in ready.hints],
    }


def _held(ready: Potting) -> Shape:
    wire = None if ready.tied is None else ready.tied.wire
    return {
        "tie_lengths_mm": [tie.length_mm for tie in ready.ties],
        "tie_total_mm": ready.wire_mm,
        "wire": ready.anchor.gauge,
        "tension_n": None if ready.tied is None else ready.tied.held.tension_n,
        "wire_mm": None if wire is None else wire.diameter_mm,
        "material": None if wire is None else wire.material,
        "margin": None if wire is None else wire.margin_factor,
        "mass_kg": ready.mass_g / G_PER_KG,
        "limit_kg": ready.lift.limit_g / G_PER_KG,
        "people": ready.people,
    }
