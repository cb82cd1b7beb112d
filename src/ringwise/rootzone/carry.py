"""What one person may lift by the revised lifting equation, and how many people a pot needs.

Guidance for healthy adults, not medical advice; what a doctor or local rules say comes first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.bounds import within
from ringwise.kit.show import mass, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _

ROOM = "rootzone.carry"
G_PER_KG = 1000.0  # exact
MM_PER_CM = 10.0  # exact
MOST_BY_HAND = 2  # two can hold a pot by its rim; what is heavier goes by trolley or hoist
EQUATION = "23 kg x 25/H x (1 - 0.003 |V - 75|) x (0.82 + 4.5/D) x AM x FM x CM"


@dataclass(frozen=True)
class Posture:
    """How it is lifted: hands out from the ankles, their height, the way up, turn, grip, how often."""

    reach_cm: float
    height_cm: float
    travel_cm: float
    turn_deg: float = 0.0
    grip_factor: float = 1.0
    often_factor: float = 1.0


@dataclass(frozen=True)
class Carry:
    """What one person may lift so, what two together manage, and how many shares of that limit a mass is."""

    mass_kg: float
    limit_kg: float
    people: int
    team_kg: float
    trace: Trace

    @property
    def crew(self) -> int:
        """How many take hold: one or two."""
        return min(self.people, MOST_BY_HAND)

    @property
    def trolley(self) -> bool:
        """Whether it is more than two manage together, which is less than twice what one can."""
        return self.mass_kg > self.team_kg

    @property
    def load_ratio(self) -> float:
        """The mass as a multiple of what one person may lift so."""
        return self.mass_kg / self.limit_kg


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "carry").get(key, parameter)


def _checked(parameter: str, value: float, *, field: str, unit: str) -> float:
    return within(_row("accepted", parameter), value, field=field, unit=unit)


def usual_posture(width_mm: float | None = None) -> Posture:
    """Lifting a pot from a low bench: the wider the pot, the further out the hands.

    Parameters
    ----------
    width_mm : float, optional
        Width of the pot towards the body, in mm; without it the reach of a middling pot.

    Returns
    -------
    Posture
        From the rows of `data/carry.csv`; a reach beyond the equation's limit counts as that limit.

    Source
    ------
    waters1993_handbook: reach to a wide load, recalled; rows of `data/carry.csv`.

    Examples
    --------
    >>> usual_posture(400.0).reach_cm, usual_posture().reach_cm
    (40.0, 40.0)
    """
    rows = load_table("ringwise.rootzone", "carry").of("usual")
    reach = _row("accepted", "reach_cm")
    reach_cm = reach.number if width_mm is None else rows["body_cm"].number + width_mm / MM_PER_CM / 2
    return Posture(
        min(reach_cm, reach.high or reach_cm),
        rows["height_cm"].number,
        rows["travel_cm"].number,
        0.0,
        rows["grip_factor"].number,
        rows["few_lifts_factor"].number,
    )


def limit_kg(posture: Posture) -> float:
    """What most healthy adults may lift so, with two hands.

    Parameters
    ----------
    posture : Posture
        How it is lifted.

    Returns
    -------
    float
        Mass, in kg.

    Raises
    ------
    RangeError
        Where the equation does not reach.

    Source
    ------
    waters1993_handbook: revised NIOSH lifting equation; rows of `data/carry.csv`.

    Examples
    --------
    >>> round(limit_kg(Posture(40.0, 70.0, 60.0, grip_factor=0.95)), 1)
    12.0
    """
    rows = load_table("ringwise.rootzone", "carry").of("lift")
    reach_cm = _checked("reach_cm", posture.reach_cm, field=_("reach of the hands"), unit=" cm")
    height_cm = _checked("height_cm", posture.height_cm, field=_("height of the hands"), unit=" cm")
    travel_cm = _checked("travel_cm", posture.travel_cm, field=_("way up or down"), unit=" cm")
    turn_deg = _checked("turn_deg", posture.turn_deg, field=_("turn of the body"), unit="°")
    grip = _checked("factor", posture.grip_factor, field=_("factor for the grip"), unit="")
    often = _checked("factor", posture.often_factor, field=_("factor for how often"), unit="")
    near_cm = rows["near_cm"].number
    level = 1 - rows["height_per_cm"].number * abs(height_cm - rows["knuckle_cm"].number)
    # less than the nearest distance is no easier than that distance
    way = rows["travel_base_factor"].number + rows["travel_cm"].number / max(travel_cm, near_cm)
    turn = 1 - rows["turn_per_deg"].number * turn_deg
    near = near_cm / max(reach_cm, near_cm)
    return rows["load_kg"].number * near * level * min(way, 1.0) * turn * grip * often


def carry(mass_g: float, posture: Posture) -> Carry:
    """Who lifts a mass so.

    Parameters
    ----------
    mass_g : float
        Mass, in g.
    posture : Posture
        How it is lifted.

    Returns
    -------
    Carry
        `people` is the mass in shares of what one may lift, rounded up; above two of them a trolley is due.

    Raises
    ------
    RangeError
        If the mass or the posture is out of bounds.

    Source
    ------
    waters1993_handbook: revised NIOSH lifting equation, for one person; more people share the mass (own).

    Examples
    --------
    >>> who = carry(18_000.0, Posture(40.0, 70.0, 60.0, grip_factor=0.95))
    >>> who.people, who.trolley
    (2, True)
    """
    kg = _checked("mass_kg", mass_g / G_PER_KG, field=_("mass"), unit=" kg")
    limit = limit_kg(posture)
    people = max(1, math.ceil(kg / limit - 1e-9))
    team = _row("lift", "team_frac")
    team_kg = limit if people == 1 else MOST_BY_HAND * team.number * limit
    rows = load_table("ringwise.rootzone", "carry").of("lift")
    given = (
        (_("reach of the hands"), f"{number(posture.reach_cm, 3)} cm"),
        (_("height of the hands"), f"{number(posture.height_cm, 3)} cm"),
        (_("way up or down"), f"{number(posture.travel_cm, 3)} cm"),
        (_("factor for the grip"), number(posture.grip_factor, 3)),
        (_("mass"), mass(mass_g, 3)),
    )
    below = (
        *(Trace(label, shown, "given", basis="assumed") for label, shown in given),
        trace_parameter(rows["load_kg"]),
    )
    shown = mass(limit * G_PER_KG, 3)
    trace = Trace(
        _("limit for one person"), shown, ROOM, EQUATION, "waters1993_handbook", "transferred", below
    )
    return Carry(kg, limit, people, team_kg, trace)
