"""A collection opened for one wish: its store, its settings, the day that counts as today, the seed."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ringwise.desk import clock
from ringwise.desk.logs import start_log
from ringwise.desk.settings import FILE_NAME, Settings, load_settings
from ringwise.kit.days import GrowingYear, growing_year, parse_date
from ringwise.kit.errors import NotFoundError, near_names, out_of_range
from ringwise.kit.words import _
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Mix, Place, Pot, Tree

if TYPE_CHECKING:
    from ringwise.records.store import Store

VARIABLE = "RINGWISE_COLLECTION"
DEMO_FOLDER = "demo-yard"
FIRST_YEAR, LAST_YEAR = 1700, 2200  # no older tree in a pot is on record, no later one asked about


def collection_folder(given: Path | None) -> Path:
    """The folder of the collection: the flag, the variable, this folder if it is one, else the user's own.

    A newcomer who has none yet but has built the demo yard here is shown that.

    Parameters
    ----------
    given : Path or None
        The flag.

    Returns
    -------
    Path
        It need not exist yet.

    Examples
    --------
    >>> collection_folder(Path("yard")).name
    'yard'
    """
    if given is not None:
        return given.expanduser()
    if os.environ.get(VARIABLE):
        return Path(os.environ[VARIABLE]).expanduser()
    if (Path.cwd() / FILE_NAME).is_file():
        return Path.cwd()
    from platformdirs import user_data_path

    own = user_data_path("ringwise") / "collection"
    demo = Path.cwd() / DEMO_FOLDER
    return demo if not own.exists() and (demo / FILE_NAME).is_file() else own


Made = TypeVar("Made")


@dataclass(frozen=True)
class Workspace:
    """An opened collection; values are read once and kept for this wish."""

    folder: Path
    settings: Settings
    store: Store
    today: date
    seed: int

    @property
    def year(self) -> GrowingYear:
        """The growing year of today."""
        return growing_year(self.today, south=self.settings.south)

    @cached_property
    def every_tree(self) -> tuple[Tree, ...]:
        """All trees, retired ones too, by id."""
        return tuple(self.store.trees())

    @cached_property
    def trees(self) -> tuple[Tree, ...]:
        """All trees that are not retired, by id."""
        return tuple(t for t in self.every_tree if t.retired is None)

    @cached_property
    def pots(self) -> tuple[Pot, ...]:
        """All pots."""
        return tuple(self.store.pots())

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Where trees stand and stood."""
        return tuple(self.store.places())

    @cached_property
    def mixes(self) -> tuple[Mix, ...]:
        """The mixes."""
        return tuple(self.store.mixes())

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """All entries."""
        return tuple(self.store.entries())

    @cached_property
    def facts(self) -> dict[str, TreeFacts]:
        """What is known of each tree today."""
        entries, pots, places = by_tree(self.entries), by_tree(self.pots), by_tree(self.places)
        return {
            tree.id: tree_facts(
                tree,
                entries=entries.get(tree.id, ()),
                pots=pots.get(tree.id, ()),
                places=places.get(tree.id, ()),
                on=self.today,
            )
            for tree in self.trees
        }

    def made_of(self, name: str, make: Callable[[TreeFacts], Made]) -> dict[str, Made]:
        """Something made of each tree's facts; a living workspace keeps it under the name while they hold."""
        del name
        return {tree: make(facts) for tree, facts in self.facts.items()}

    def once(self, name: object, make: Callable[[], Made]) -> Made:
        """Something made of the whole collection, kept for this wish; a living workspace keeps it longer."""
        held: dict[object, Made] = self.__dict__.setdefault("_once", {})
        if name not in held:
            held[name] = make()
        return held[name]

    def tree(self, name: str) -> Tree:
        """The tree with an id or a name, whatever the case."""
        try:
            return find_tree(self.every_tree, name)
        except NotFoundError:  # perhaps added since
            return find_tree(self.store.trees(), name)

    def facts_of(self, name: str) -> TreeFacts:
        """What is known today of the tree with an id or a name."""
        tree = self.tree(name)
        if tree.id not in self.facts:
            raise NotFoundError(_("tree {id} is retired").format(id=tree.id))
        return self.facts[tree.id]


OfTree = TypeVar("OfTree", Entry, Pot, Place)


def by_tree(values: Iterable[OfTree]) -> dict[str, list[OfTree]]:
    """Values by the tree that they are about, in their order.

    Parameters
    ----------
    values : iterable of Entry, Pot or Place
        Those about no tree are left out.

    Returns
    -------
    dict of str to list
        By id of the tree.

    Examples
    --------
    >>> by_tree([Pot("P1", "oval", None, None, None, tree="T01"), Pot("P2", "oval", None, None, None)]).keys()
    dict_keys(['T01'])
    """
    found: dict[str, list[OfTree]] = {}
    for value in values:
        if value.tree is not None:
            found.setdefault(value.tree, []).append(value)
    return found


def find_tree(trees: Sequence[Tree], name: str) -> Tree:
    """The tree with an id or a name, whatever the case.

    Parameters
    ----------
    trees : sequence of Tree
        To search.
    name : str
        Id or free name.

    Returns
    -------
    Tree
        The only match.

    Raises
    ------
    NotFoundError
        If there is none, or more than one; near names are offered.

    Examples
    --------
    >>> find_tree([], "T01")
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.NotFoundError: there is no tree "T01"; add one with: ringwise tree add
    """
    wanted = name.casefold()
    hits = [t for t in trees if t.id.casefold() == wanted] or [
        t for t in trees if t.name.casefold() == wanted
    ]
    if len(hits) == 1:
        return hits[0]
    if not trees:
        raise NotFoundError(_('there is no tree "{name}"; add one with: ringwise tree add').format(name=name))
    if hits:
        ids = ", ".join(t.id for t in hits)
        raise NotFoundError(_('"{name}" names several trees: {ids}. Give the id.').format(name=name, ids=ids))
    near = near_names(name, [t.id for t in trees] + [t.name for t in trees])
    hint = _("Did you mean: {names}?").format(names=", ".join(near)) if near else _("See: ringwise tree list")
    raise NotFoundError(_('there is no tree "{name}". {hint}').format(name=name, hint=hint))


def _asked_day(on: str | None) -> date | None:
    if on is None:
        return None
    day = parse_date(on, field="--on")
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise out_of_range("--on", on, _("{low} to {high}").format(low=FIRST_YEAR, high=LAST_YEAR))
    return day


def open_workspace(
    collection: Path | None,
    *,
    on: str | None = None,
    seed: int | None = None,
    create: bool = True,
    verbose: bool = False,
) -> Workspace:
    """Open a collection for one wish.

    Parameters
    ----------
    collection : Path or None
        The folder; None for the usual one.
    on : str or None
        The day that counts as today, YYYY-MM-DD; else the collection's own, else the machine's.
    seed : int or None
        Seed of random draws; else the collection's own.
    create : bool
        Whether a missing collection is made.
    verbose : bool
        Whether the log also goes to standard error.

    Returns
    -------
    Workspace
        Ready.

    Raises
    ------
    DateError
        If `on` is no day.
    WorkspaceError
        If the file is damaged, newer or locked.

    Examples
    --------
    >>> import tempfile
    >>> open_workspace(Path(tempfile.mkdtemp()) / "yard", on="2027-03-07").today
    datetime.date(2027, 3, 7)
    """
    folder = collection_folder(collection)
    asked = _asked_day(on)
    if seed is not None and not 0 <= seed < 2**63:
        raise out_of_range("--seed", str(seed), _("0 to 9223372036854775807"))
    settings = load_settings(folder)
    from ringwise.records.store import open_store

    if not create and not folder.is_dir():
        raise NotFoundError(
            _("there is no collection in {folder}; make the demo with: ringwise demo").format(folder=folder)
        )
    store = open_store(folder, create=create)
    start_log(folder, verbose=verbose)
    today = asked or settings.today or clock.system_date()
    return Workspace(folder, settings, store, today, settings.seed if seed is None else seed)
