"""Which works bear each other in one season: the conflict table, its cross-rules, and what vigour adds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, from_data
from ringwise.operations.base import Operation
from ringwise.operations.gaps import Gap, one_step_longer, parse_gap
from ringwise.operations.timing import ROOM

RESCUE = "RESCUE"  # the class of a root rescue as the later work: nothing blocks it
FAST = "G1"
LAYERS_AFTER_LIGHT_ROOTS = ("G1", "G2")


@dataclass(frozen=True)
class Setting:
    """What else the table asks: where the tree stands, how much was taken, and how the work came about."""

    species: str = ""
    in_ground: bool = False
    crown_removed_frac: float | None = None
    root_graft: bool = False
    found_at_bench: bool = False


@dataclass(frozen=True)
class ConflictRule:
    """The wait between two works; `hard` ones ask for a typed reason. `cell` is the table's own text.

    `tell` marks a pair that is worth a word even where its wait is kept.
    """

    earlier: str
    later: str
    gap: Gap
    hard: bool
    evidence: str
    text: str
    note: str
    cell: str
    source: str
    tell: bool = False

    @property
    def trace(self) -> Trace:
        """The row behind the rule, as a link of the "why" chain."""
        return Trace(
            label=_("gap between two works"),
            value=self.gap.words,
            room=f"row {self.earlier}.{self.later} of conflicts",
            formula=self.cell,
            source=self.source,
            basis=self.evidence,
        )


@lru_cache(maxsize=1)
def _matrix() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["earlier"], row["later"]): row for row in load_rows(ROOM, "conflicts")}


@lru_cache(maxsize=1)
def _classes() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["conflict_class"], row["amount"]): row for row in load_rows(ROOM, "conflict_classes")}


@lru_cache(maxsize=1)
def cross_rules() -> dict[str, dict[str, str]]:
    """The rules beside the table, by their key.

    Returns
    -------
    dict of str to dict
        Columns hard, text, way_out, basis, source.

    Source
    ------
    practice: cross-rules of the trade.

    Examples
    --------
    >>> cross_rules()["weak"]["hard"]
    'yes'
    """
    return {row["key"]: row for row in load_rows(ROOM, "cross_rules")}


def limit(key: str, parameter: str) -> float:
    """A limit of the conflict rules, such as the share of roots from which work is heavy.

    Parameters
    ----------
    key, parameter : str
        A row of the table of limits.

    Returns
    -------
    float
        In the unit of the row.

    Source
    ------
    practice: limits of the trade.

    Examples
    --------
    >>> limit("heavy", "root_removed_frac")
    0.3
    """
    return load_table(ROOM, "conflict_limits").get(key, parameter).number


def is_heavy(root_removed_frac: float) -> bool:
    """Whether root work that takes such a share is heavy.

    Parameters
    ----------
    root_removed_frac : float
        Share of roots removed by volume, 0 to 1.

    Returns
    -------
    bool
        True from the limit on.

    Source
    ------
    practice: conflict table, heavy from 30 percent.

    Examples
    --------
    >>> is_heavy(0.3), is_heavy(0.2)
    (True, False)
    """
    return root_removed_frac >= limit("heavy", "root_removed_frac")


def classes_of(
    operation: Operation, *, root_removed_frac: float | None = None, amount: str = ""
) -> tuple[str, str]:
    """The row and the column of the conflict table that a work stands in.

    Parameters
    ----------
    operation : Operation
        From the registry.
    root_removed_frac : float, optional
        Share of roots removed; unknown counts as heavy.
    amount : str
        "light" or "heavy" where it was written so.

    Returns
    -------
    (str, str)
        Class as the earlier and as the later work; empty where the table has none. A root rescue is
        RESCUE as the later work.

    Raises
    ------
    UnknownNameError
        If the operation names a class that the tables do not know.

    Source
    ------
    practice: conflict table; which work stands in which row is our own reading.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> classes_of(OPERATIONS["repot"], root_removed_frac=0.15)
    ('RP_LIGHT', 'RP_LIGHT')
    """
    if root_removed_frac is not None and not amount:
        amount = "heavy" if is_heavy(root_removed_frac) else "light"
    known = _classes()
    row = known.get((operation.conflict_class, amount)) or known.get((operation.conflict_class, "any"))
    if row is None:
        raise unknown_name(
            "conflict class", operation.conflict_class, sorted({name for name, _amount in known})
        )
    later = RESCUE if operation.conflict_class == "rescue" else row["later"]
    return row["earlier"], later


def _applies(condition: str, group: str, vigour: int | None, setting: Setting) -> bool:
    name, _colon, value = condition.partition(":")
    crown = setting.crown_removed_frac
    tests: dict[str, Callable[[], bool]] = {
        "": lambda: False,
        "root_graft": lambda: setting.root_graft,
        "crown_below_20pct": lambda: crown is not None and crown < limit("slight", "crown_removed_frac"),
        "g1_in_ground": lambda: group == FAST and setting.in_ground,
        "group": lambda: group == value,
        "species": lambda: setting.species == value,
        "light_root_layer": lambda: (
            group in LAYERS_AFTER_LIGHT_ROOTS
            and vigour is not None
            and vigour >= limit("full", "vigour_score")
        ),
    }
    if name not in tests:
        raise unknown_name("condition of the conflict table", name, tests)
    return tests[name]()


def _for_vigour(gap: Gap, later: str, vigour: int | None) -> tuple[Gap, str]:
    if vigour is None or vigour >= limit("full", "vigour_score") or not gap.meaningful:
        return gap, ""
    if vigour <= limit("weak", "vigour_score"):
        longest = max(gap, parse_gap("N"), key=lambda each: each.rank)
        return longest, _("at vigour 2 and below all elective work waits a growing season")
    if later == "FEED" and gap.free:
        return gap, ""  # feeding follows its own rule: hard leaves, not vigour 3
    return one_step_longer(gap, limit("first_step", "weeks")), _("one step longer at vigour 3")


def _free(earlier: str, later: str, key: str) -> ConflictRule:
    row = cross_rules()[key]
    return ConflictRule(
        earlier, later, parse_gap("0"), False, row["basis"], from_data(row["text"]), "", "", row["source"]
    )


def rule(
    earlier: str, later: str, *, group: str, vigour: int | None, setting: Setting | None = None
) -> ConflictRule:
    """The wait from an earlier work to a later one on one tree.

    Parameters
    ----------
    earlier, later : str
        Classes of the conflict table, as `classes_of` gives them.
    group : str
        The tree's group, G1 to G7.
    vigour : int or None
        0 to 5; None where it is unknown, which keeps the table's own value.
    setting : Setting, optional
        Species, ground or pot, amounts, and whether rot was found with the roots out.

    Returns
    -------
    ConflictRule
        With gap, hardness, evidence and plain words. A root rescue, and rot found at the bench, are
        never blocked.

    Raises
    ------
    UnknownNameError
        If the table has no such pair.

    Source
    ------
    practice: conflict table and its cross-rules.

    Examples
    --------
    >>> found = rule("CHOP", "RP_HEAVY", group="G1", vigour=5)
    >>> found.gap.code, found.hard
    ('N', True)
    >>> rule("CHOP", "RP_HEAVY", group="G1", vigour=5, setting=Setting(in_ground=True)).gap.free
    True
    """
    told = setting or Setting()
    if later == RESCUE:
        return _free(earlier, later, "rescue_free")
    if told.found_at_bench and "DEADWOOD" in (earlier.removesuffix("_LARGE"), later):
        return _free(earlier, later, "found_free")
    row = _matrix().get((earlier, later))
    if row is None:
        names = [f"{one}.{two}" for one, two in _matrix()]
        raise unknown_name("pair of the conflict table", f"{earlier}.{later}", names)
    special = _applies(row["unless"], group, vigour, told)
    gap, note = _for_vigour(parse_gap(row["unless_gap"] if special else row["gap"]), later, vigour)
    own = from_data(row["note"])
    if own and row["unless"] and not special:
        own = _("exception: {note}").format(note=own)
    notes = "; ".join(part for part in (own, note) if part)
    return ConflictRule(
        earlier=earlier,
        later=later,
        gap=gap,
        hard=row["hard"] == "yes" and not gap.free,
        evidence=row["basis"],
        text=gap.words,
        note=notes,
        cell=row["cell"],
        source=row["source"],
        tell=special and row["tell"] == "yes",
    )
