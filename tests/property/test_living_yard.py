"""A yard that stays open against one opened anew, after any order of saves, moves, withdrawals and undos."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from ringwise.desk.living import LivingYard
from ringwise.desk.settings import write_settings
from ringwise.desk.workspace import open_workspace
from ringwise.kit.errors import ConflictError, NotFoundError
from ringwise.records.dates import UNKNOWN, exact_day
from ringwise.records.model import Action, Change, Entry, JsonValue, Mix, Place, Pot, Tree, Withdrawn
from ringwise.records.store import Store, open_store

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
TODAY = date(2027, 3, 7)
NOON = datetime(2027, 3, 7, 12, tzinfo=UTC)
TREES = ("T1", "T02", "T10", "Å3")
SPECIES = ("Morus alba", "Larix decidua", "a seedling of no list")
SAID: dict[str, dict[str, JsonValue]] = {
    "girth": {"girth_mm": 92.0},
    "vigour": {"score": 4},
    "stage": {"code": "07", "extent": "first"},
    "work": {"operation": "repot", "pot": "P1"},
    "planned": {"operation": "repot"},
    "note": {},
    "question": {"title": "Which way?", "courses": ["keep", "redo"]},
}
trees = st.sampled_from(TREES)
days = st.integers(-40, 40).map(lambda n: exact_day(TODAY + timedelta(days=n))) | st.just(UNKNOWN)


class LivingAgainstFresh(RuleBasedStateMachine):
    """Other programs write through their own stores; one living yard has to see all of it."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp()) / "yard"
        write_settings(self.folder, {"today": TODAY})
        self.stores: list[Store] = [open_store(self.folder), open_store(self.folder)]
        self.living = LivingYard(self.folder)
        self.step = 0

    def teardown(self) -> None:
        self.living.close()
        for store in self.stores:
            store.close()
        shutil.rmtree(self.folder.parent)

    def _store(self) -> Store:
        """Another one at each step: two command lines and the living yard itself."""
        return [*self.stores, self.living.store][self.step % 3]

    def _act(self) -> Action:
        self.step += 1
        return Action("Ida", f"step {self.step}", NOON + timedelta(minutes=self.step))

    def _save(self, values: Sequence[Change]) -> None:
        """Store, where the store takes it: undo may have taken a tree or a pot out of view before."""
        with suppress(NotFoundError, ConflictError):
            self._store().save(self._act(), values)

    @initialize()
    def first_trees(self) -> None:
        """Trees that everything else can be about."""
        self._save([Tree(name, "first", SPECIES[0]) for name in TREES])

    @rule(name=trees, species=st.sampled_from(SPECIES), retired=st.booleans())
    def sheet(self, name: str, species: str, retired: bool) -> None:
        """A correction of a sheet, a tree leaving or coming back."""
        gone = exact_day(TODAY) if retired else None
        self._save([Tree(name, f"name {self.step}", species, retired=gone)])

    @rule(name=trees | st.none(), pot=st.sampled_from(("P1", "P2", "P10")))
    def potted(self, name: str | None, pot: str) -> None:
        """A pot is bought, filled or emptied."""
        self._save([Pot(pot, "oval", 400.0, 300.0, 60.0 + self.step, tree=name)])

    @rule(moved=st.lists(trees, min_size=1, max_size=3, unique=True), since=days)
    def moved(self, moved: list[str], since: object) -> None:
        """Trees carried to a bench in one step."""
        self._save([Place("", name, "bench", "bench", since) for name in moved])  # type: ignore[arg-type]

    @rule(name=st.sampled_from(("M1", "M2")))
    def mixed(self, name: str) -> None:
        """A recipe changes."""
        self._save([Mix(name, f"mix {self.step}", (("pumice", 1.0),))])

    @rule(name=trees, kinds=st.lists(st.sampled_from(sorted(SAID)), min_size=1, max_size=4), on=days)
    def logged(self, name: str, kinds: list[str], on: object) -> None:
        """Entries of today, of the past and of days ahead."""
        new = [Entry("", name, kind, on, SAID[kind], note="seen") for kind in kinds]  # type: ignore[arg-type]
        self._save(new)

    @precondition(lambda self: self.stores[0].entries())
    @rule(data=st.data(), on=days, name=trees)
    def corrected(self, data: st.DataObject, on: object, name: str) -> None:
        """An entry gets another day or another tree."""
        ids = sorted(entry.id for entry in self.stores[0].entries())
        entry = self.stores[0].entry(data.draw(st.sampled_from(ids)))
        self._save([replace(entry, on=on, tree=name)])  # type: ignore[arg-type]

    @rule(data=st.data())
    def withdrawn(self, data: st.DataObject) -> None:
        """One value is taken out of view."""
        store = self.stores[0]
        held = [("entry", e.id) for e in store.entries()] + [("pot", p.id) for p in store.pots()]
        held += [("place", p.id) for p in store.places()] + [("mix", m.id) for m in store.mixes()]
        if held:
            self._save([Withdrawn(*data.draw(st.sampled_from(sorted(held))))])

    @rule(times=st.integers(1, 3))
    def undone(self, times: int) -> None:
        """Steps are taken back."""
        for _time in range(times):
            action = self._act()
            try:
                self._store().undo("Ida", action.at)
            except NotFoundError:
                return

    @rule(days_on=st.integers(-30, 30))
    def another_day(self, days_on: int) -> None:
        """The day of the settings file changes: entries ahead come true, places begin and end."""
        write_settings(self.folder, {"today": TODAY + timedelta(days=days_on), "latitude_deg": 52.4})

    @invariant()
    def both_agree(self) -> None:
        """Every value of the living workspace is that of a fresh one."""
        living, fresh = self.living.workspace(), open_workspace(self.folder, create=False)
        for name in ("settings", "today", "seed", "year", "trees", "pots", "places", "mixes", "entries"):
            assert getattr(living, name) == getattr(fresh, name), name
        assert living.facts == fresh.facts
        assert list(living.facts) == list(fresh.facts)
        for tree in living.every_tree:
            assert living.tree(tree.id) == fresh.tree(tree.id)
            assert list(living.entries_of(tree.id)) == fresh.store.entries(tree.id)
        fresh.store.close()


class TestLivingAgainstFresh(LivingAgainstFresh.TestCase):  # type: ignore[misc, valid-type]
    """Found by the test runner."""

    settings = settings(
        max_examples=100 if LONG else 15,
        stateful_step_count=25,
        deadline=None,
        phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a smaller case would cost minutes of opening
    )
