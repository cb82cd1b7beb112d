"""How a species carries its branches: arrangement, posture, twig size; common practice, as data."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from ringwise.kit.tables import load_table

ARRANGEMENTS = ("alternate", "opposite")
POSTURES = ("rising", "level", "broom")


@dataclass(frozen=True)
class TreeForm:
    """The habit of a species as far as a tape does not tell it.

    `arrangement` is "alternate" or "opposite"; `posture` is "rising", "level" or "broom". `clear_frac`
    is the bare share of a branch before it forks, `lift_factor` how strongly shoots turn upwards,
    `movement_frac` the largest offset of the trunk line against the height.
    """

    arrangement: str = "alternate"
    posture: str = "rising"
    clear_frac: float = 0.28
    side_angle_rad: float = 0.77
    lift_factor: float = 0.16
    movement_frac: float = 0.075
    tip_mm: float = 1.3
    leaf_cm2: float = 14.0


def form_for(keys: tuple[str, ...]) -> TreeForm:
    """The form of a species: its own row, else its genus, its group, or any tree.

    Parameters
    ----------
    keys : tuple of str
        Where to look, the nearest first, such as ("acer_palmatum", "acer", "G2", "any").

    Returns
    -------
    TreeForm
        Values from the table of forms.

    Raises
    ------
    ParameterError
        If no key has a row; "any" always has.

    Source
    ------
    practice: table `forms`, each row with its own basis.

    Examples
    --------
    >>> form_for(("acer_palmatum", "acer", "G2", "any")).arrangement
    'opposite'
    """
    table = load_table("ringwise.structure", "forms")
    keys = keys if "any" in keys else (*keys, "any")

    def number(parameter: str) -> float:
        return table.first(keys, parameter).number

    return TreeForm(
        arrangement=table.first(keys, "arrangement").value,
        posture=table.first(keys, "posture").value,
        clear_frac=number("clear_frac"),
        side_angle_rad=radians(number("side_angle_deg")),
        lift_factor=number("lift_factor"),
        movement_frac=number("movement_frac"),
        tip_mm=number("tip_mm"),
        leaf_cm2=number("leaf_cm2"),
    )
