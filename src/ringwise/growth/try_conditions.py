"""A try that ended, what it was tried under, and how that shifts its odds."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.growth.odds import odds_table
from ringwise.kit.errors import unknown_name

# What a technique's own tries speak of; a thread graft is an approach graft with a shift of its own.
CELLS = {
    "air_layer": "layer",
    "ground_layer": "layer",
    "approach_graft": "graft",
    "thread_graft": "graft",
    "root_graft": "graft",
    "scion_graft": "scion",
    "separate_layer": "severed",
}


@dataclass(frozen=True)
class Covariates:
    """What shifts the odds of one try, on the logit; the plain case shifts nothing."""

    hormone: bool = False
    off_season: bool = False
    pot_bound: bool = False
    thick_stem: bool = False
    vigour: int | None = None
    thread: bool = False


@dataclass(frozen=True)
class OwnTry:
    """A try that ended: whether it came off, what it was tried under, how long it took (None: not noted)."""

    technique: str
    came_off: bool
    covariates: Covariates = Covariates()
    weeks: float | None = None


def shift_logit(of: Covariates) -> float:
    """What a try's conditions add to its odds, on the logit.

    Parameters
    ----------
    of : Covariates
        The conditions.

    Returns
    -------
    float
        Negative lowers the chance.

    Source
    ------
    odds.csv: hormone alam2015, pot-bound stock maple_budding; the others assumed.

    Examples
    --------
    >>> shift_logit(Covariates(hormone=True)), round(shift_logit(Covariates(pot_bound=True, vigour=2)), 2)
    (1.06, -3.1)
    """
    table = odds_table()
    shift = 0.0
    for holds, name in (
        (of.hormone, "hormone"),
        (of.off_season, "off_season"),
        (of.pot_bound, "pot_bound"),
        (of.thick_stem, "thick_stem"),
        (of.thread, "thread"),
    ):
        shift += table.get("shift", name).number if holds else 0.0
    if of.vigour is not None:
        # As in a run: vigour 4 adds nothing, 5 one grade, and no more than three grades are lost.
        shift += table.get("shift", "vigour_grade").number * min(1.0, max(-3.0, of.vigour - 4.0))
    return shift


def cell_of(technique: str) -> str:
    """The group of techniques that a technique's tries speak of.

    Parameters
    ----------
    technique : str
        A key of the catalogue of operations, such as "air_layer".

    Returns
    -------
    str
        layer, graft, scion or severed.

    Raises
    ------
    UnknownNameError
        For work whose success has no odds.

    Source
    ------
    practice.

    Examples
    --------
    >>> cell_of("thread_graft")
    'graft'
    """
    if technique not in CELLS:
        raise unknown_name("technique", technique, CELLS)
    return CELLS[technique]
