"""The collection as a living yard hands it to one wish: values shared with others, at one step."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

from ringwise.desk.living_values import YardValues
from ringwise.desk.workspace import Made, Workspace, find_tree
from ringwise.kit.reading import Reading, current_reading
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Mix, Place, Pot, Tree

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView
    from ringwise.desk.shapes import Shape


class HeavyWork(Protocol):
    """What a wish may ask of the processes that do heavy work."""

    def ahead_job(self, tree: str, how: Reading) -> Shape:
        """Have the years ahead of a tree made."""

    def begun_job(self, kind: str, tree: str, how: Reading) -> Shape:
        """Have long work done that a page needs, unless it failed or was taken off."""

    def jobs(self) -> list[Shape]:
        """All long work that was asked for, newest first."""


class OpenYard(Protocol):
    """What a wish may ask of the yard that it was handed by."""

    @property
    def worker(self) -> HeavyWork:
        """Who does heavy work."""

    def almanac_for(self, workspace: LivingWorkspace, how: Reading, *, wait: bool = False) -> AlmanacView:
        """The newest almanac for a reading."""


class SharedValues:
    """The values of one step on one day, shared by all wishes of that time; facts are made when asked for.

    Parameters
    ----------
    values : YardValues
        At the step.
    today : date
        The day that counts as today.
    known : dict of str to TreeFacts
        Facts from before that still hold.

    Examples
    --------
    >>> SharedValues(YardValues(), date(2027, 3, 7), {}).facts()
    {}
    """

    def __init__(self, values: YardValues, today: date, known: dict[str, TreeFacts]) -> None:
        self.values = values
        self.today = today
        self._known = known
        self._facts: dict[str, TreeFacts] | None = None
        self._made: dict[str, dict[str, tuple[TreeFacts, Any]]] = {}  # with the facts that it is made of
        self._whole: dict[str, dict[str, Any]] = {}  # the same for wishes, once all trees have theirs
        self.keys: dict[object, str] = {}  # of almanacs, by what else they depend on
        self._once: dict[object, Any] = {}  # made of the whole collection, by what else it depends on
        self._lock = threading.RLock()  # what is made of facts may ask for something made once

    def facts(self) -> dict[str, TreeFacts]:
        """What is known of each tree that is not retired, by id."""
        with self._lock:
            if self._facts is None:
                trees = self.values.trees.values()
                self._facts = {t.id: self._of(t) for t in trees if t.retired is None}
                self._known = self._facts
            return self._facts

    def still_known(self, touched: frozenset[str]) -> dict[str, TreeFacts]:
        """The facts made so far of trees that were not touched."""
        with self._lock:
            return {tree: facts for tree, facts in self._known.items() if tree not in touched}

    def made_of(self, name: str, make: Callable[[TreeFacts], Made]) -> dict[str, Made]:
        """Something made of each tree's facts, and kept as long as they are."""
        facts = self.facts()
        with self._lock:
            if name not in self._whole:
                held, made = self._made.get(name, {}), {}
                for tree, each in facts.items():
                    old = held.get(tree)
                    made[tree] = old if old is not None and old[0] is each else (each, make(each))
                self._made[name] = made
                self._whole[name] = {tree: each[1] for tree, each in made.items()}
            return self._whole[name]

    def once(self, name: object, make: Callable[[], Made]) -> Made:
        """Something made of the whole collection at this step, and kept with it."""
        with self._lock:
            if name in self._once:
                held: Made = self._once[name]
                return held
        made = make()  # not under the lock: it reads facts, and two at once make the same
        with self._lock:
            self._once[name] = made
        return made

    def followed_by(self, later: SharedValues) -> SharedValues:
        """The values of a later step, with what was made of facts that still hold."""
        with self._lock:
            later._made = dict(self._made)
        return later

    def _of(self, tree: Tree) -> TreeFacts:
        held = self._known.get(tree.id)
        if held is not None:
            return held
        values = self.values
        return tree_facts(
            tree,
            entries=values.entries_of.get(tree.id, ()),
            pots=values.pots_of.get(tree.id, ()),
            places=values.places_of.get(tree.id, ()),
            on=self.today,
        )


@dataclass(frozen=True)
class LivingWorkspace(Workspace):
    """A workspace whose values are shared with other wishes; it stays at its step until the wish is done."""

    shared: SharedValues = field(repr=False, compare=False)
    yard: OpenYard = field(repr=False, compare=False)

    @property
    def step(self) -> int:
        """The number of the latest action that it knows."""
        return self.shared.values.step

    @cached_property
    def every_tree(self) -> tuple[Tree, ...]:
        """All trees, retired ones too, by id."""
        return tuple(self.shared.values.trees.values())

    @cached_property
    def pots(self) -> tuple[Pot, ...]:
        """All pots."""
        return tuple(self.shared.values.pots.values())

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Where trees stand and stood."""
        return tuple(self.shared.values.places.values())

    @cached_property
    def mixes(self) -> tuple[Mix, ...]:
        """The mixes."""
        return tuple(self.shared.values.mixes.values())

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """All entries."""
        return self.shared.values.entries

    @cached_property
    def facts(self) -> dict[str, TreeFacts]:
        """What is known of each tree today; shared, so not to be changed."""
        return self.shared.facts()

    def entries_of(self, tree: str) -> tuple[Entry, ...]:
        """All entries of one tree, those of days ahead too."""
        return self.shared.values.entries_of.get(tree, ())

    def pots_of(self, tree: str) -> tuple[Pot, ...]:
        """The pots that one tree stands in."""
        return self.shared.values.pots_of.get(tree, ())

    def places_of(self, tree: str) -> tuple[Place, ...]:
        """Where one tree stands and stood."""
        return self.shared.values.places_of.get(tree, ())

    def made_of(self, name: str, make: Callable[[TreeFacts], Made]) -> dict[str, Made]:
        """Something made of each tree's facts, kept under the name while they hold."""
        return self.shared.made_of(name, make)

    def once(self, name: object, make: Callable[[], Made]) -> Made:
        """Something made of the whole collection, kept until something changes or another day begins."""
        return self.shared.once((name, self.settings, self.seed, current_reading()), make)

    def almanac(self, *, wait: bool = False) -> AlmanacView:
        """The newest almanac in the current reading, and whether it is that of now."""
        return self.yard.almanac_for(self, current_reading(), wait=wait)

    def tree(self, name: str) -> Tree:
        """The tree with an id or a name, whatever the case."""
        found = self.shared.values.trees.get(name)
        return found if found is not None else find_tree(self.every_tree, name)
