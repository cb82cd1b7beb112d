"""A desk that stays open: one store, values shared between wishes until somebody changes something."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk import clock
from ringwise.desk.almanac_shelf import AlmanacShelf
from ringwise.desk.lanes import IDLE_S
from ringwise.desk.living_values import YardValues, values_after
from ringwise.desk.settings import FILE_NAME, Settings, load_settings
from ringwise.desk.worker import Worker
from ringwise.desk.workspace import Made, Workspace, find_tree, open_workspace
from ringwise.kit.reading import Reading, current_reading
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Mix, Place, Pot, Tree

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView
    from ringwise.records.store import Store

FileMark = tuple[int, int, int, int]  # device, node, size and time of a file: another mark is another content
NO_FILE: FileMark = (0, 0, 0, 0)


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
        self._lock = threading.Lock()

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
    yard: LivingYard = field(repr=False, compare=False)

    @property
    def step(self) -> int:
        """The number of the latest action that it knows."""
        return self.shared.values.step

    @cached_property
    def every_tree(self) -> tuple[Tree, ...]:
        """All trees, retired ones too, by id."""
        return tuple(self.shared.values.trees.values())

    @cached_property
    def trees(self) -> tuple[Tree, ...]:
        """All trees that are not retired, by id."""
        return tuple(t for t in self.every_tree if t.retired is None)

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

    def almanac(self, *, wait: bool = False) -> AlmanacView:
        """The newest almanac in the current reading, and whether it is that of now."""
        return self.yard.almanac_for(self, current_reading(), wait=wait)

    def tree(self, name: str) -> Tree:
        """The tree with an id or a name, whatever the case."""
        found = self.shared.values.trees.get(name)
        return found if found is not None else find_tree(self.every_tree, name)


def file_mark(file: Path) -> FileMark:
    """What tells whether a file is still the one that was read.

    Parameters
    ----------
    file : Path
        It may be missing.

    Returns
    -------
    tuple of int
        Zeros for a missing file.

    Examples
    --------
    >>> file_mark(Path("/nowhere/at/all"))
    (0, 0, 0, 0)
    """
    with suppress(OSError):
        found = file.stat()
        return (found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns)
    return NO_FILE


class LivingYard:
    """A collection that stays open. Every wish asks it for a workspace; threads may ask at the same time.

    Parameters
    ----------
    folder : Path or None
        Of the collection; None for the usual one.
    on : str, optional
        The day that counts as today, YYYY-MM-DD; else the collection's own, else each day the machine's.
    seed : int, optional
        Seed of random draws; else the collection's own.
    create : bool
        Whether a missing collection is made.
    idle_s : float
        How long a process of the worker is kept without work.

    Examples
    --------
    >>> import tempfile
    >>> with LivingYard(Path(tempfile.mkdtemp()) / "yard", on="2027-03-07") as yard:
    ...     yard.workspace().trees, yard.stamp()
    ((), 0)
    """

    def __init__(
        self,
        folder: Path | None,
        *,
        on: str | None = None,
        seed: int | None = None,
        create: bool = True,
        idle_s: float = IDLE_S,
    ) -> None:
        first = open_workspace(folder, on=on, seed=seed, create=create)
        self.folder = first.folder
        self._asked_today = None if on is None else first.today
        self._asked_seed = seed
        self._store = first.store
        self._store_mark = self._mark_of_store()
        self._settings = first.settings
        self._settings_mark: FileMark | None = None  # read again at the first wish: it may change meanwhile
        self._shared = SharedValues(YardValues(), first.today, {})
        self._lock = threading.RLock()
        self.worker = Worker(self.folder, self.workspace, on=on, seed=seed, idle_s=idle_s)
        self._shelf = AlmanacShelf(self.worker.almanac, self.workspace)

    def __enter__(self) -> LivingYard:
        return self

    def __exit__(self, *_error: object) -> None:
        self.close()

    def close(self) -> None:
        """End the worker's processes and let go of the file."""
        self.worker.close()
        self._store.close()

    @property
    def store(self) -> Store:
        """The open store; every thread may write through it."""
        return self._store

    def stamp(self) -> int:
        """The number of the latest step now."""
        return self._store.latest_step()

    def workspace(self) -> LivingWorkspace:
        """The collection as it is now, for one wish.

        Raises
        ------
        FileFormatError
            If the settings file was changed to what does not read.
        WorkspaceError
            If the file is damaged or locked.
        """
        with self._lock:
            self._follow_file()
            settings = self._settings_now()
            today = self._asked_today or settings.today or clock.system_date()
            self._follow_steps(today)
            seed = settings.seed if self._asked_seed is None else self._asked_seed
            return LivingWorkspace(self.folder, settings, self._store, today, seed, self._shared, self)

    def almanac(self, reading: Reading, *, wait: bool = False) -> AlmanacView:
        """The newest almanac for a reading and whether it is that of now; a stale one is made anew.

        Parameters
        ----------
        reading : Reading
            Language and units.
        wait : bool
            Whether to wait until it is that of now.
        """
        return self._shelf.view(self.workspace(), reading, wait=wait)

    def almanac_for(self, workspace: LivingWorkspace, reading: Reading, *, wait: bool = False) -> AlmanacView:
        """Like `almanac`, for a wish that has its workspace already."""
        return self._shelf.view(workspace, reading, wait=wait)

    def _settings_now(self) -> Settings:
        mark = file_mark(self.folder / FILE_NAME)
        if mark != self._settings_mark:
            self._settings = load_settings(self.folder)
            self._settings_mark = mark
        return self._settings

    def _follow_steps(self, today: date) -> None:
        shared = self._shared
        step = self._store.latest_step()
        if step < shared.values.step:  # an older copy of the file was laid over it
            shared = SharedValues(YardValues(), today, {})
        if step != shared.values.step:
            values, touched = values_after(shared.values, self._store.news_since(shared.values.step))
            known = shared.still_known(touched) if today == shared.today else {}
            shared = shared.followed_by(SharedValues(values, today, known))
        elif today != shared.today:
            shared = SharedValues(shared.values, today, {})
        self._shared = shared

    def _mark_of_store(self) -> FileMark:
        device, node, _size, _time = file_mark(self._store.path)
        return (device, node, 0, 0)

    def _follow_file(self) -> None:
        """Where the file was replaced by another (a backup brought back), that one is opened."""
        mark = self._mark_of_store()
        if mark in (self._store_mark, NO_FILE):
            return
        from ringwise.records.store import open_store

        old, self._store = self._store, open_store(self.folder, create=False)
        old.close()
        self._store_mark = mark
        self._shared = SharedValues(YardValues(), self._shared.today, {})
