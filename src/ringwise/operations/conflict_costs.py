"""What two works cost that do not bear each other in one season, as arrays for the compiled year."""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias

import numpy as np

from ringwise.kit.errors import ParameterError
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray, IntArray
from ringwise.operations.conflicts import ConflictRule, Setting, classes_of, limit, rule
from ringwise.operations.effect_codes import EFFECTS
from ringwise.operations.registry import OPERATIONS
from ringwise.operations.timing import ROOM

Rules: TypeAlias = tuple[IntArray, IntArray, FloatArray, FloatArray]

PARTS = ("survive", "odds", "slower", "reserves")
AMOUNTS = ("light", "heavy")
_VIGOURS = (4, 3, 2)  # the tables of pairs: strong, one step longer, weak
_OPEN = ("LAYER", "APPROACH_SET")  # classes whose outcome is still open; the compiled code knows them as 0, 1
_SAME_HALF, _SAME_YEAR, _YEAR_AFTER = 1, 2, 3
_RESERVE_EACH_GRADE = 0.2  # vigour 5 is full reserves


def work_of(effect: str) -> str | None:
    """The work of the catalogue as which an effect stands in the conflict table.

    Parameters
    ----------
    effect : str
        A key of `EFFECTS`.

    Returns
    -------
    str or None
        None where it sets nothing back: rest, checks, ties.

    Source
    ------
    practice: the reading is our own; rows works_as of effects.csv.

    Examples
    --------
    >>> work_of("prune"), work_of("repot"), work_of("rest")
    ('structural_prune', 'repot', None)
    """
    table = load_table(ROOM, "effects")
    key = table.get(effect, "works_as").value if table.has(effect, "works_as") else effect
    return key if key in OPERATIONS else None


def earlier_classes() -> tuple[str, ...]:
    """The rows of the conflict table in the order of their bits.

    Returns
    -------
    tuple of str
        Those whose outcome is still open come first.

    Source
    ------
    practice: conflict table.

    Examples
    --------
    >>> earlier_classes()[:2]
    ('LAYER', 'APPROACH_SET')
    """
    told: dict[str, None] = dict.fromkeys(_OPEN)
    for effect in EFFECTS:
        key = work_of(effect)
        for amount in AMOUNTS:
            if key is not None and (name := classes_of(OPERATIONS[key], amount=amount)[0]):
                told[name] = None
    return tuple(told)


def pair_cost(found: ConflictRule) -> tuple[int, str]:
    """How far back a pair still counts, and which row of the costs it pays.

    Parameters
    ----------
    found : ConflictRule
        The wait between both.

    Returns
    -------
    (int, str)
        0 never, 1 in the same half-year, 2 in one year, 3 also in the year after; the key of the costs.

    Source
    ------
    practice: conflict table; a half-year lies between bud swell and hard leaves.

    Examples
    --------
    >>> pair_cost(rule("RP_HEAVY", "LAYER", group="G1", vigour=4))
    (2, 'RP_HEAVY>LAYER')
    >>> pair_cost(rule("RP_LIGHT", "LAYER", group="G1", vigour=4))
    (2, 'told')
    """
    table, pair, gap = load_table(ROOM, "conflict_costs"), f"{found.earlier}>{found.later}", found.gap
    if not gap.meaningful or (gap.free and not found.tell):
        return 0, "told"
    if found.tell:
        return _SAME_YEAR, "told"
    reach = _YEAR_AFTER if gap.seasons > 1 else _SAME_YEAR if gap.seasons else _SAME_HALF
    if table.has(pair, PARTS[0]):
        return reach, pair
    return reach, "weeks" if not gap.seasons else "hard" if found.hard else "season"


@lru_cache(maxsize=32)
def conflict_arrays(group: str, *, in_ground: bool = False) -> Rules:
    """The conflict table with its costs as the compiled year reads it.

    Parameters
    ----------
    group : str
        The tree's group, G1 to G7, or "" where it is unknown.
    in_ground : bool
        Whether it stands in open ground at the start.

    Returns
    -------
    tuple
        Class of each effect (light, heavy; -1 for none), reach and cost by vigour, earlier class, later
        effect and amount, the costs, and limits (heavy root share, reserves of vigour 4 and of vigour 3,
        slight share of the crown).

    Raises
    ------
    ParameterError
        If the table has more classes than bits.

    Source
    ------
    practice: conflict table; conflict_costs.csv for what a wait that is not kept costs, all assumed.

    Examples
    --------
    >>> classes, pairs, costs, limits = conflict_arrays("G1")
    >>> float(limits[0])
    0.3
    """
    names = earlier_classes()
    if len(names) > 50:
        raise ParameterError(f"{len(names)} classes of work do not fit into the bits of a pool")
    costs = load_table(ROOM, "conflict_costs")
    keys = costs.keys()
    classes = np.full((len(EFFECTS), len(AMOUNTS)), -1, np.int64)
    pairs = np.zeros((len(_VIGOURS), len(names), len(EFFECTS), len(AMOUNTS), 2), np.int64)
    for effect, code in EFFECTS.items():
        key = work_of(effect)
        if key is None:
            continue
        setting = Setting(in_ground=in_ground, root_graft=effect == "root_graft")
        for column, amount in enumerate(AMOUNTS):
            own, later = classes_of(OPERATIONS[key], amount=amount)
            classes[code, column] = names.index(own) if own else -1
            for row, vigour in enumerate(_VIGOURS):
                for bit, earlier in enumerate(names) if later else ():
                    found = rule(earlier, later, group=group, vigour=vigour, setting=setting)
                    reach, cost = pair_cost(found)
                    pairs[row, bit, code, column] = reach, keys.index(cost)
    told = np.array([[costs.get(key, part).number for part in PARTS] for key in keys])
    return classes, pairs, told, _limits()


def _limits() -> FloatArray:
    """Limits of the compiled rules; a reserve belongs to the nearest vigour."""
    full, weak = limit("full", "vigour_score"), limit("weak", "vigour_score")
    return np.array(
        [
            limit("heavy", "root_removed_frac"),
            (full - 0.5) * _RESERVE_EACH_GRADE,
            (weak + 0.5) * _RESERVE_EACH_GRADE,
            limit("slight", "crown_removed_frac"),
        ]
    )
