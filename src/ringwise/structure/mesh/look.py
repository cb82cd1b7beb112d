"""How a species is drawn in space: colours of bark and leaf, and the blade's form; an own, sober look."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ringwise.kit.errors import ParameterError, unknown_name
from ringwise.kit.tables import load_rows

STAGES = ("none", "bud", "swelling", "opening", "spring", "hardened", "autumn")
BLADES = ("ovate", "lance", "palmate", "lobed", "fan", "pinnate", "comb", "tuft", "spray")


@dataclass(frozen=True)
class TreeLook:
    """Colours as #rrggbb; autumn has one or more, that stand side by side on a tree."""

    blade: str
    leaf_mm: float
    bud_mm: float
    bark: str
    bud: str
    opening: str
    spring: str
    hardened: str
    autumn: tuple[str, ...]

    def tones(self, stage: str) -> tuple[str, ...]:
        """The colours of what stands on the twigs in a stage."""
        if stage in {"bud", "swelling"}:
            return (self.bud,)
        if stage == "autumn":
            return self.autumn
        return {"opening": (self.opening,), "spring": (self.spring,), "hardened": (self.hardened,)}[stage]


@cache
def _looks() -> dict[str, TreeLook]:
    return {
        row["key"]: TreeLook(
            blade=row["blade"],
            leaf_mm=float(row["leaf_mm"]),
            bud_mm=float(row["bud_mm"]),
            bark=row["bark"],
            bud=row["bud"],
            opening=row["opening"],
            spring=row["spring"],
            hardened=row["hardened"],
            autumn=tuple(row["autumn"].split("|")),
        )
        for row in load_rows("ringwise.structure", "tree_look")
    }


def look_for(keys: tuple[str, ...] = ()) -> TreeLook:
    """The look of a species: its own row, else that of its genus, else any tree's.

    Parameters
    ----------
    keys : tuple of str
        Where to look, the nearest first, such as ("acer_palmatum", "acer", "G2", "any").

    Returns
    -------
    TreeLook
        Colours and form for drawing; no measure stands on them.

    Raises
    ------
    ParameterError
        If the table has no row for any tree.

    Source
    ------
    own: table `tree_look`, every row drawing only.

    Examples
    --------
    >>> look_for(("acer_palmatum", "acer")).blade, look_for(("no_such_tree",)).blade
    ('palmate', 'ovate')
    """
    looks = _looks()
    for key in (*keys, "any"):
        if key in looks:
            return looks[key]
    raise ParameterError("tree_look has no row for any tree")


_BY_CODE = ((0, "none"), (1, "swelling"), (7, "opening"), (11, "spring"), (19, "hardened"), (92, "autumn"))
BARE_CODE = 97  # leaf fall


def leaf_stage(code: int | None, *, evergreen: bool = False) -> str:
    """What stands on the twigs at a stage of the year.

    Parameters
    ----------
    code : int or None
        BBCH code of the latest stage; None where nobody knows.
    evergreen : bool
        Whether it keeps its leaves.

    Returns
    -------
    str
        One of `STAGES`; "none" for a bare tree, also where nobody knows.

    Source
    ------
    own: the principal stages of the general BBCH scale (recalled), sorted into what can be drawn.

    Examples
    --------
    >>> leaf_stage(0), leaf_stage(8), leaf_stage(95), leaf_stage(97), leaf_stage(97, evergreen=True)
    ('none', 'opening', 'autumn', 'none', 'hardened')
    """
    found = "none"
    for first, stage in _BY_CODE:
        if code is not None and first <= code < BARE_CODE:
            found = stage
    if evergreen and found in {"none", "swelling", "autumn"}:
        return "hardened"
    return found


def known_stage(stage: str) -> str:
    """The stage itself, or an error that lists the known ones.

    Parameters
    ----------
    stage : str
        One of `STAGES`.

    Returns
    -------
    str
        The same.

    Raises
    ------
    UnknownNameError
        For any other word.

    Source
    ------
    own.

    Examples
    --------
    >>> known_stage("autumn")
    'autumn'
    """
    if stage not in STAGES:
        raise unknown_name("stage", stage, STAGES)
    return stage
