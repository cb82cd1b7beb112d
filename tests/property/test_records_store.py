"""The store against a plain dictionary: any order of saves, corrections, withdrawals and undos."""

from __future__ import annotations

import copy
import os
import shutil
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from ringwise.kit.errors import NotFoundError
from ringwise.records.dates import exact_day
from ringwise.records.model import Action, Entry, Tree, Withdrawn
from ringwise.records.store import open_store

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
SEQUENCES = 200 if LONG else 20
START = datetime(2027, 1, 1, 12, tzinfo=UTC)
SEEN = exact_day(date(2027, 1, 1))
TREES = ("T01", "T02", "T03")

State = dict[str, dict[str, str]]  # kind to id to what it says


class StoreAgainstDictionary(RuleBasedStateMachine):
    """Every rule is done in the store and in a dictionary that keeps a copy of each state before a step."""

    engine = "auto"

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.store = open_store(self.folder / "yard", engine=self.engine)
        self.state: State = {"tree": {}, "entry": {}}
        self.undoable: list[tuple[State, str]] = []
        self.by_day: dict[date, State] = {}
        self.now = START
        self.step = 0

    def teardown(self) -> None:
        self.store.close()
        shutil.rmtree(self.folder)

    def _act(self) -> Action:
        self.step += 1
        return Action("Ida", f"step {self.step}", self.now)

    def _done(self, before: State, command: str) -> None:
        self.undoable.append((before, command))
        self.by_day[self.now.date()] = copy.deepcopy(self.state)

    @initialize()
    def first_trees(self) -> None:
        """A collection starts with trees that entries can be about."""
        before, action = copy.deepcopy(self.state), self._act()
        self.store.save(action, [Tree(name, "first", "Morus alba") for name in TREES])
        self.state["tree"] = dict.fromkeys(TREES, "first")
        self._done(before, action.command)

    @rule(days=st.integers(0, 3))
    def time_passes(self, days: int) -> None:
        """Days without any record."""
        self.now += timedelta(days=days)

    @rule(name=st.sampled_from(TREES), text=st.text("ab “Ø", max_size=5))
    def rename(self, name: str, text: str) -> None:
        """A correction of a tree, or its return."""
        before, action = copy.deepcopy(self.state), self._act()
        self.store.save(action, [Tree(name, text, "Morus alba")])
        self.state["tree"][name] = text
        self._done(before, action.command)

    @precondition(lambda self: self.state["tree"])
    @rule(data=st.data(), count=st.integers(1, 3))
    def note(self, data: st.DataObject, count: int) -> None:
        """Several entries in one action."""
        before, action = copy.deepcopy(self.state), self._act()
        owner = data.draw(st.sampled_from(sorted(self.state["tree"])))
        entries = [Entry("", owner, "note", SEEN, note=f"{action.command} {n}") for n in range(count)]
        _number, stored = self.store.save_all(action, entries)
        for (_kind, entry_id), entry in zip(stored, entries, strict=True):
            assert entry_id not in self.state["entry"]
            self.state["entry"][entry_id] = entry.note
        self._done(before, action.command)

    @precondition(lambda self: self.state["entry"] and self.state["tree"])
    @rule(data=st.data())
    def correct(self, data: st.DataObject) -> None:
        """A correction of an entry, where its tree still stands."""
        entry = self.store.entry(data.draw(st.sampled_from(sorted(self.state["entry"]))))
        if entry.tree not in self.state["tree"]:
            return
        before, action = copy.deepcopy(self.state), self._act()
        self.store.save(action, [replace(entry, note=f"corrected {action.command}")])
        self.state["entry"][entry.id] = f"corrected {action.command}"
        self._done(before, action.command)

    @precondition(lambda self: self.state["entry"] or self.state["tree"])
    @rule(data=st.data())
    def withdraw(self, data: st.DataObject) -> None:
        """One value is taken out of view."""
        values = [(kind, name) for kind, held in self.state.items() for name in held]
        kind, name = data.draw(st.sampled_from(sorted(values)))
        before, action = copy.deepcopy(self.state), self._act()
        self.store.save(action, [Withdrawn(kind, name)])
        del self.state[kind][name]
        self._done(before, action.command)

    @rule()
    def undo(self) -> None:
        """The last step not yet undone, or a clear refusal."""
        if not self.undoable:
            with pytest.raises(NotFoundError):
                self.store.undo("Ida", self.now)
            return
        before, command = self.undoable.pop()
        assert self.store.undo("Ida", self.now).command == command
        self.state = before
        self.by_day[self.now.date()] = copy.deepcopy(self.state)

    @rule()
    def reopen(self) -> None:
        """The file is closed and opened again."""
        self.store.close()
        self.store = open_store(self.folder / "yard", engine=self.engine)

    def _seen(self, as_of: date | None = None) -> State:
        return {
            "tree": {tree.id: tree.name for tree in self.store.trees(as_of)},
            "entry": {entry.id: entry.note for entry in self.store.entries(as_of=as_of)},
        }

    @invariant()
    def both_agree(self) -> None:
        """What holds now is what the dictionary holds."""
        assert self._seen() == self.state

    @precondition(lambda self: self.by_day)
    @rule(data=st.data())
    def as_known_on_a_day(self, data: st.DataObject) -> None:
        """What was known at the end of a day is what the dictionary held then."""
        day = data.draw(st.sampled_from(sorted(self.by_day)))
        assert self._seen(day) == self.by_day[day]


class StandardStoreAgainstDictionary(StoreAgainstDictionary):
    """The same with the engine of the standard library."""

    engine = "standard"


BUDGET = settings(max_examples=SEQUENCES // 2, stateful_step_count=20, deadline=None)
TestStore = StoreAgainstDictionary.TestCase
TestStore.settings = BUDGET
TestStandardStore = StandardStoreAgainstDictionary.TestCase
TestStandardStore.settings = BUDGET
