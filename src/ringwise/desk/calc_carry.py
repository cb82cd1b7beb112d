"""The wish for who carries a pot: the revised lifting equation for a mass, or for a tree in its pot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.rootzone.carry import Carry, Posture
    from ringwise.rootzone.lifting import LiftMass

MM_PER_CM = 10.0  # exact
G_PER_KG = 1000.0  # exact
GRIPS = {"good": 1.0, "fair": 0.95, "poor": 0.9}  # recalled classes of the equation's coupling


@dataclass(frozen=True)
class CarryWish:
    """What was typed for `ringwise calc carry`; a bare length is cm, a bare mass kg."""

    mass: str | None = None
    tree: str | None = None
    pot: str | None = None
    reach: str | None = None
    hands: str | None = None
    travel: str | None = None
    turn: str | None = None
    grip: str | None = None
    often: str | None = None


def calc_carry(wish: CarryWish, workspace: Workspace | None = None) -> Shape:
    """Who lifts a mass, or a tree in its pot.

    Parameters
    ----------
    wish : CarryWish
        What was typed.
    workspace : Workspace, optional
        The collection, where a tree is named.

    Returns
    -------
    dict
        Keys mass_kg, limit_kg, people, trolley and more, with lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_carry(CarryWish(mass="20kg", reach="40cm", hands="70cm", travel="60cm", grip="0.95"))
    >>> round(told["limit_kg"], 1), told["people"]
    (12.0, 2)
    """
    from ringwise.rootzone.carry import carry

    if wish.mass is not None and wish.tree is not None:
        raise InputError(_("give either --mass or --tree, not both"))
    lift, width_mm = _of_tree(wish, workspace)
    if lift is None and wish.mass is None:
        raise MissingFieldError(_("--mass is missing, such as 18kg; or name a tree with --tree"))
    mass_g = (
        lift.mass_g
        if lift is not None
        else parse_quantity(wish.mass or "", "mass", field="--mass", default_unit="kg")
    )
    posture = _posture(wish, width_mm)
    told = carry(mass_g, posture)
    answer: Shape = {
        "mass_kg": told.mass_kg,
        "low_kg": None if lift is None else lift.low_g / G_PER_KG,
        "high_kg": None if lift is None else lift.high_g / G_PER_KG,
        "weighed": None if lift is None else lift.weighed,
        "limit_kg": told.limit_kg,
        "load_ratio": told.load_ratio,
        "people": told.people,
        "trolley": told.trolley,
        "reach_cm": posture.reach_cm,
        "hands_cm": posture.height_cm,
        "travel_cm": posture.travel_cm,
        "turn_deg": posture.turn_deg,
        "grip_factor": posture.grip_factor,
        "often_factor": posture.often_factor,
    }
    return answer | {"lines": _lines(told, posture, lift)}


def _of_tree(wish: CarryWish, workspace: Workspace | None) -> tuple[LiftMass | None, float | None]:
    if wish.tree is None:
        if wish.pot is not None:
            raise InputError(_("--pot goes with --tree; for a mass alone give --mass"))
        return None, None
    if workspace is None:
        raise MissingFieldError(_("--tree needs a collection; name it with --collection"))
    from ringwise.desk.potting import PottingWish, pot_job
    from ringwise.rootzone.potting import potting

    facts = workspace.facts_of(wish.tree)
    ready = potting(pot_job(workspace, facts, PottingWish(wish.pot), None))
    return ready.lift, ready.pot.shorter_side_mm


def _posture(wish: CarryWish, width_mm: float | None) -> Posture:
    from dataclasses import replace

    from ringwise.rootzone.carry import usual_posture

    posture = usual_posture(width_mm)
    for key, text in (("reach_cm", wish.reach), ("height_cm", wish.hands), ("travel_cm", wish.travel)):
        if text is not None:
            option = {"reach_cm": "--reach", "height_cm": "--hands", "travel_cm": "--travel"}[key]
            length_mm = parse_quantity(text, "length", field=option, default_unit="cm")
            posture = replace(posture, **{key: length_mm / MM_PER_CM})
    if wish.turn is not None:
        turn = parse_quantity(wish.turn, "angle", field="--turn", default_unit="deg")
        posture = replace(posture, turn_deg=turn)
    if wish.grip is not None:
        posture = replace(posture, grip_factor=_grip(wish.grip))
    if wish.often is not None:
        often = parse_quantity(wish.often, "fraction", field="--often", default_unit="")
        posture = replace(posture, often_factor=often)
    return posture


def _grip(text: str) -> float:
    known = GRIPS.get(text.strip().casefold())
    if known is not None:
        return known
    return parse_quantity(text, "fraction", field="--grip", default_unit="")


def _lines(told: Carry, posture: Posture, lift: LiftMass | None) -> list[str]:
    shown = show.mass(told.mass_kg * G_PER_KG) if lift is None else lift.words
    lines = [
        _("to lift {mass}; limit for one person {limit}").format(
            mass=shown, limit=show.mass(told.limit_kg * G_PER_KG)
        ),
        _("hands {reach} cm out and {hands} cm up, {travel} cm of way, grip {grip}").format(
            reach=show.number(posture.reach_cm, 3),
            hands=show.number(posture.height_cm, 3),
            travel=show.number(posture.travel_cm, 3),
            grip=show.number(posture.grip_factor, 3),
        ),
    ]
    if told.trolley:
        team = show.mass(told.team_kg * G_PER_KG)
        lines.append(
            _("two together manage about {team}: take a trolley or a hoist, and two to steady it").format(
                team=team
            )
        )
    else:
        people = counted("{n} person", "{n} people", told.crew)
        lines.append(_("who lifts: {people}").format(people=people))
        if lift is not None and lift.high_g > told.team_kg * G_PER_KG:
            lines.append(_("at the upper end of its mass it is too much for them: weigh it first"))
    lines.append(
        _(
            "A guide for healthy adults from the revised lifting equation. What a doctor or local rules say "
            "comes first; a bad back lifts less."
        )
    )
    return lines
