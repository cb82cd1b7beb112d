"""Which models stand side by side in a clock, and how the parameter draws are shared out among them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.errors import ParameterError
from ringwise.phenology.choice import (
    EVENTS,
    SPRING_EVENTS,
    Choice,
    is_deciduous,
    named_choice,
    rows_for,
)
from ringwise.phenology.seen import spread_of
from ringwise.phenology.skill import MEAN
from ringwise.phenology.stages import SPRING

FLOWERING = "flowering"
# In the order of trust: the first leads where none is better known.
SPRING_FORMS = (
    "menzel",
    "uniforc",
    "thermal_time",
    "chill_exponential",
    "unichill",
    "unichill_threshold",
    "photoperiod_chill",
)
GUESTS = ("phenoflex",)  # their rows are defaults that were fitted to no kind of tree
_PLAIN_BASES = ("measured", "fitted")


@dataclass(frozen=True)
class Member:
    """One way of timing a clock: a model with its rows, or the own mean day of a stage.

    `weight_frac` is its share of the parameter draws, `draws` how many it got. `shift_days` is added to its
    days, `spread_days` is the standard deviation of what else is not known of them. `error_days` is its
    error on own seasons left out, where it was scored.
    """

    choice: Choice | None
    code: str
    weight_frac: float
    draws: int = 0
    mean_index: float = math.nan
    shift_days: float = 0.0
    spread_days: float = 0.0
    error_days: float | None = None

    @property
    def name(self) -> str:
        """The model's name, or "mean"."""
        return MEAN if self.choice is None else self.choice.model

    @property
    def label(self) -> str:
        """Model and event, unlike those of any other member."""
        return MEAN if self.choice is None else f"{self.choice.model}.{self.choice.event}"

    @property
    def basis(self) -> str:
        """How well known the rows are that decide its day."""
        return "fitted" if self.choice is None else self.choice.basis

    @property
    def signature(self) -> tuple[object, ...]:
        """What its days depend on besides weather and seed."""
        rows = () if self.choice is None else tuple(row.value for row in self.choice.rows.values())
        key = "" if self.choice is None else self.choice.key
        return (self.label, key, rows, self.draws, self.mean_index, self.shift_days, self.spread_days)

    @property
    def is_guest(self) -> bool:
        """Whether its rows were fitted to no kind of tree."""
        return self.name in GUESTS


@dataclass(frozen=True)
class LeftOut:
    """A member that cannot time this clock under this weather, and why."""

    label: str
    why: str


def spring_sets(
    keys: Sequence[str], *, leaf_habit: str = "", guests: bool = False
) -> Iterator[tuple[Member, ...]]:
    """The models that may time the leaves of a taxon in spring, key by key.

    Parameters
    ----------
    keys : sequence of str
        Lookup keys, the closest first: species, genus, group, "any".
    leaf_habit : str
        D, DC, E, EC or SE; an evergreen does not borrow from its deciduous kin.
    guests : bool
        Whether models whose rows were fitted to no kind of tree stand beside: where own seasons judge them.

    Yields
    ------
    tuple of Member
        All complete sets of rows of one key, guests of the closest key that has them beside them. Equal
        weights, less for rows that are borrowed or assumed beside fitted ones.

    Source
    ------
    own reasoning; weights: rows of variation.csv.

    Examples
    --------
    >>> first = next(spring_sets(("fagus_sylvatica", "fagus", "G3", "any")))
    >>> [each.name for each in first]
    ['menzel', 'uniforc', 'unichill_threshold', 'photoperiod_chill']
    >>> mume = next(spring_sets(("prunus_mume", "prunus", "G4"), guests=True))
    >>> [(each.name, round(each.weight_frac, 2)) for each in mume]
    [('thermal_time', 0.9), ('phenoflex', 0.1)]
    """
    beside = _guests(keys) if guests else []
    for key in keys:
        found = [
            Choice(name, event, key, rows)
            for event in (*SPRING_EVENTS, FLOWERING)
            for name in SPRING_FORMS
            if (rows := rows_for(key, name, event)) is not None
            and not (leaf_habit == "E" and is_deciduous(rows))
        ]
        if found:
            yield weighed([_member(each) for each in found] + beside)


def spring_choice(keys: Sequence[str], *, leaf_habit: str = "") -> Choice:
    """The model that leads where none is better known than another.

    Parameters
    ----------
    keys : sequence of str
        Lookup keys, the closest first: species, genus, group, "any".
    leaf_habit : str
        D, DC, E, EC or SE; an evergreen does not borrow from its deciduous kin.

    Returns
    -------
    Choice
        From the first key that has a complete set of rows.

    Raises
    ------
    ParameterError
        If no key has one.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> spring_choice(("fagus_crenata", "fagus", "G3", "any")).key
    'fagus'
    """
    for members in spring_sets(keys, leaf_habit=leaf_habit):
        if members[0].choice is not None:
            return members[0].choice
    raise ParameterError(f"forcing has no complete model for any of {', '.join(keys)}")


def _guests(keys: Sequence[str]) -> list[Member]:
    found = []
    for name in GUESTS:
        key = next((key for key in keys if rows_for(key, name, FLOWERING) is not None), None)
        if key is not None:
            found.append(_member(named_choice(name, key, FLOWERING)))
    return found


def _member(choice: Choice) -> Member:
    lent = choice.basis == "transferred" and (choice.code in SPRING or choice.event == FLOWERING)
    weight = 1.0 if choice.basis in _PLAIN_BASES else spread_of("weak_rows_weight")
    return Member(choice, choice.code, weight, spread_days=spread_of("transfer_sd") if lent else 0.0)


def weighed(members: Sequence[Member]) -> tuple[Member, ...]:
    """Members with weights that sum to 1, guests held to what a guest may have.

    Parameters
    ----------
    members : sequence of Member
        With weights of any sum, at least one of them no guest.

    Returns
    -------
    tuple of Member
        In the same order.

    Source
    ------
    own reasoning; row any.guest_weight.

    Examples
    --------
    >>> [round(each.weight_frac, 2) for each in weighed(autumn_members())]
    [0.9, 0.1]
    """
    hosts = sum(each.weight_frac for each in members if not each.is_guest)
    guests = sum(each.is_guest for each in members)
    left = 1.0 - (spread_of("guest_weight") if guests else 0.0)
    shares = [(1.0 - left) / guests if each.is_guest else left * each.weight_frac / hosts for each in members]
    return tuple(replace(each, weight_frac=share) for each, share in zip(members, shares, strict=True))


def autumn_members() -> tuple[Member, ...]:
    """The rules that time leaf fall where no own autumn was seen.

    Returns
    -------
    tuple of Member
        The rule of cool days first; the model of short and cool days with the weight of one that has not
        shown that it beats the own mean.

    Source
    ------
    own reasoning; row any.beaten_weight.

    Examples
    --------
    >>> [each.name for each in autumn_members()]
    ['cool_run', 'delpierre']
    """
    least = spread_of("beaten_weight")
    return tuple(
        Member(named_choice(name, "any", "half_fall"), EVENTS["half_fall"], weight)
        for name, weight in (("cool_run", 1.0 - least), ("delpierre", least))
    )


def shared_out(members: Sequence[Member], draws: int) -> tuple[Member, ...]:
    """The draws shared out among members by weight, at least one each.

    Parameters
    ----------
    members : sequence of Member
        With weights that sum to 1.
    draws : int
        How many draws there are; with fewer draws than members the lightest members get none.

    Returns
    -------
    tuple of Member
        Those with a draw, in the same order.

    Source
    ------
    own reasoning (largest remainder).

    Examples
    --------
    >>> [each.draws for each in shared_out(autumn_members(), 20)]
    [18, 2]
    >>> [each.draws for each in shared_out(autumn_members(), 3)]
    [2, 1]
    """
    kept = sorted(range(len(members)), key=lambda k: -members[k].weight_frac)[:draws]
    weight = np.array([members[k].weight_frac for k in sorted(kept)])
    wanted = weight / weight.sum() * draws
    got = np.maximum(np.floor(wanted), 1.0)
    while got.sum() != draws:
        short = wanted - got
        if got.sum() < draws:
            got[int(np.argmax(short))] += 1
        else:
            got[int(np.argmin(np.where(got > 1, short, np.inf)))] -= 1
    return tuple(replace(members[k], draws=int(n)) for k, n in zip(sorted(kept), got, strict=True))
