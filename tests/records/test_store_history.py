"""Saving, correcting, withdrawing, undoing, and what was known on a day, with both engines."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from record_samples import NOON, action, tree

from ringwise.kit.errors import (
    ConflictError,
    InputError,
    MissingFieldError,
    NotFoundError,
    RangeError,
    UnknownNameError,
)
from ringwise.records.dates import exact_day, parse_fuzzy_date
from ringwise.records.model import (
    Action,
    Entry,
    Hole,
    Mix,
    Place,
    Pot,
    Setting,
    Tree,
    Withdrawn,
)
from ringwise.records.store import Store, open_store
from ringwise.records.store.connecting import raw_connection
from ringwise.records.store.drivers import choose_driver
from ringwise.records.store.tables import HISTORY_TABLES

SEEN = exact_day(date(2027, 3, 1))
GIRTH = Entry("", "T01", "girth", SEEN, {"girth_mm": 92.0, "at_mm": None, "typed": {"girth_mm": "9.2 cm"}})
FULL_TREE = Tree(
    id="T14",
    name="Churchyard",
    species="Carpinus betulus",
    species_sure=False,
    origin="hedge",
    started=parse_fuzzy_date("about 1984", field="started"),
    stage="S7",
    parent="T01",
    front_mark="pin over the left pot foot",
    goal="clean the rot pocket",
    size_class="L",
    quarantine_until=date(2027, 9, 1),
    retired=parse_fuzzy_date("before 2030", field="retired"),
    note="“Two-man” repot — Ø 60 cm",
)
HOLES = (Hole(18.0, -60.0, 5.5), Hole(18.0, 60.0, 5.5))
POT = Pot("P1", "oval", 304.8, 228.6, 63.5, "12x9x2.5 in", HOLES, "clay", "grey", "T01", "x")
PLACE = Place("L1", "T01", "B3", "bench", parse_fuzzy_date("spring 21", field="since"), x_mm=450.0, y_mm=0.0)
MIX = Mix("D", "deciduous", (("pumice", 2.0), ("bark", 0.5)), "sieved")


def test_every_value_comes_back_as_it_was_saved(store: Store) -> None:
    fuzzy_end = replace(PLACE, id="L2", until=parse_fuzzy_date("unknown", field="until"))
    store.save(action(), [FULL_TREE, POT, PLACE, fuzzy_end, MIX, Setting("south", True)])
    assert store.tree("T14") == FULL_TREE
    assert store.pots() == [POT]
    assert store.places() == [PLACE, fuzzy_end]
    assert store.mixes() == [MIX]
    assert store.settings() == {"south": True}


def test_an_entry_comes_back_with_its_revision_and_time(store: Store) -> None:
    done = replace(GIRTH, by="Ida", confirmed_by="Jon", note="cold hands")
    _number, stored = store.save_all(action(), [done])
    assert stored == [("entry", "E1")]
    assert store.entry("E1") == replace(done, id="E1", revision=1, recorded_at=NOON)


def test_dates_keep_what_was_typed(store: Store) -> None:
    for typed in ("spring 21", "about 1990", "no idea", "before 2019", "2021-03"):
        when = parse_fuzzy_date(typed, field="on")
        _number, [(_kind, entry_id)] = store.save_all(action(), [replace(GIRTH, on=when)])
        assert store.entry(entry_id).on == when


def test_a_correction_keeps_the_old(store: Store) -> None:
    store.save(action(), [GIRTH])
    store.save(action("correct", days=2), [replace(store.entry("E1"), data={"girth_mm": 95.0})])
    first, second = store.history("entry", "E1")
    assert (first.value.data["girth_mm"], second.value.data["girth_mm"]) == (92.0, 95.0)
    assert (second.command, second.by, second.recorded_at) == ("correct", "Ida", NOON + timedelta(days=2))
    assert store.entry("E1").revision == 2


def test_two_corrections_of_the_same_reading_conflict(store: Store) -> None:
    store.save(action(), [GIRTH])
    read = store.entry("E1")
    store.save(action(), [replace(read, note="one")])
    with pytest.raises(ConflictError, match="changed meanwhile"):
        store.save(action(), [replace(read, note="two")])
    assert store.entry("E1").note == "one"


def test_a_new_entry_does_not_land_on_another(store: Store) -> None:
    store.save(action(), [replace(GIRTH, id="mine")])
    with pytest.raises(ConflictError, match="already"):
        store.save(action(), [replace(GIRTH, id="mine")])


def test_given_ids_pass_over_taken_ones(store: Store) -> None:
    store.save(action(), [replace(GIRTH, id="E2")])
    _number, stored = store.save_all(action(), [GIRTH, GIRTH])
    assert stored == [("entry", "E3"), ("entry", "E4")]


def test_withdrawing_hides_and_undo_brings_back(store: Store) -> None:
    store.save(action(), [GIRTH])
    store.save(action("delete", days=1), [Withdrawn("entry", "E1")])
    assert store.entries() == []
    assert [revision.withdrawn for revision in store.history("entry", "E1")] == [False, True]
    undone = store.undo("Ida", NOON + timedelta(days=2))
    assert (undone.command, undone.touched) == ("delete", (("entry", "E1"),))
    assert store.entry("E1").data == GIRTH.data


def test_undo_said_again_walks_further_back(store: Store) -> None:
    store.save(action("one"), [tree(1, "One")])
    store.save(action("two"), [tree(1, "Two"), GIRTH])
    assert store.undo("Ida", NOON).command == "two"
    assert (store.tree("T01").name, store.entries()) == ("One", [])
    assert store.undo("Ida", NOON).command == "one"
    assert store.tree("T01").name == "Hollow Lane"
    assert store.undo("Ida", NOON).command == "tree add"
    assert store.trees() == []
    with pytest.raises(NotFoundError, match="nothing to undo"):
        store.undo("Ida", NOON)


def test_work_after_an_undo_is_undone_first(store: Store) -> None:
    store.save(action("one"), [tree(1, "One")])
    store.undo("Ida", NOON)
    store.save(action("three"), [tree(1, "Three")])
    assert store.undo("Ida", NOON).command == "three"
    assert store.tree("T01").name == "Hollow Lane"
    assert store.undo("Ida", NOON).command == "tree add"


def test_one_action_that_touches_a_value_twice_is_one_step(store: Store) -> None:
    store.save(action("twice"), [tree(1, "One"), tree(1, "Two")])
    assert store.tree("T01").name == "Two"
    store.undo("Ida", NOON)
    assert store.tree("T01").name == "Hollow Lane"


def test_undo_keeps_history(store: Store) -> None:
    store.save(action("one", days=1), [tree(1, "One")])
    store.undo("Jon", NOON + timedelta(days=2))
    names = [(r.value.name, r.by) for r in store.history("tree", "T01")]
    assert names == [("Hollow Lane", "Ida"), ("One", "Ida"), ("Hollow Lane", "Jon")]
    assert [undoes for _number, _action, undoes in store.actions()] == [None, None, 2]


def test_as_known_on_a_day(store: Store) -> None:
    start = NOON.date()
    store.save(action(days=1), [GIRTH])
    store.save(action(days=2), [replace(store.entry("E1"), data={"girth_mm": 95.0})])
    store.save(action(days=3), [Withdrawn("entry", "E1")])
    store.undo("Ida", NOON + timedelta(days=4))

    def known(days: int) -> list[object]:
        found = store.entries(tree="T01", as_of=start + timedelta(days=days))
        return [entry.data["girth_mm"] for entry in found]

    assert [known(days) for days in range(5)] == [[], [92.0], [95.0], [], [95.0]]
    assert store.trees(as_of=start - timedelta(days=1)) == []


def test_the_day_of_recording_is_the_local_one(store: Store) -> None:
    east = Action("Ida", "log", datetime(2027, 3, 9, 1, tzinfo=timezone(timedelta(hours=13))))
    store.save(east, [GIRTH])  # still 8 March in Greenwich
    assert store.entries(as_of=date(2027, 3, 8)) == []
    assert len(store.entries(as_of=date(2027, 3, 9))) == 1


def test_invented_history_brings_its_own_times(store: Store) -> None:
    long_ago = datetime(2023, 4, 1, 9, tzinfo=UTC)
    store.save(action("demo"), [tree(9)], recorded_at=long_ago)
    store.save(action("demo"), [replace(GIRTH, recorded_at=long_ago)])
    assert [each.id for each in store.trees(as_of=date(2023, 4, 1))] == ["T09"]
    assert [each.id for each in store.entries(as_of=date(2023, 4, 1))] == ["E1"]
    store.save(action("correct"), [replace(store.entry("E1"), note="later")])
    assert store.entry("E1").recorded_at == NOON


def test_entries_are_sorted_and_filtered(store: Store) -> None:
    vigour = Entry("", "T02", "vigour", exact_day(date(2026, 6, 1)), {"score": 4})
    unknown = replace(vigour, on=parse_fuzzy_date("?", field="on"))
    store.save(action(), [GIRTH, vigour, unknown])
    assert [entry.id for entry in store.entries()] == ["E3", "E2", "E1"]
    assert [entry.id for entry in store.entries(tree="T02")] == ["E3", "E2"]
    assert [entry.id for entry in store.entries(kind="girth")] == ["E1"]
    assert store.entries(tree="T01", kind="vigour") == []


@pytest.mark.parametrize(
    ("values", "error", "text"),
    [
        ([], InputError, "nothing to store"),
        ([replace(GIRTH, tree="T1")], NotFoundError, "Did you mean: T0"),
        ([replace(PLACE, tree="T77")], NotFoundError, "T77"),
        ([replace(POT, tree="T77")], NotFoundError, "T77"),
        ([tree(8), replace(GIRTH, data={"girth_mm": -1.0})], RangeError, "girth_mm"),
        ([tree(8), Withdrawn("entry", "E9")], NotFoundError, "E9"),
        ([tree(8), Withdrawn("cat", "E9")], UnknownNameError, "cat"),
    ],
)
def test_refused_and_nothing_stored(
    store: Store, values: list[Tree], error: type[Exception], text: str
) -> None:
    with pytest.raises(error, match=text):
        store.save(action(), values)
    assert [each.id for each in store.trees()] == ["T01", "T02", "T03"]
    assert len(store.actions()) == 1


def test_an_action_needs_the_offset_of_its_time(store: Store) -> None:
    with pytest.raises(MissingFieldError, match="offset"):
        store.save(Action("Ida", "log", datetime(2027, 3, 7)), [tree(8)])  # noqa: DTZ001
    assert len(store.trees()) == 3


def test_unknown_names_offer_near_ones(store: Store) -> None:
    with pytest.raises(NotFoundError, match="T01"):
        store.tree("T1")
    with pytest.raises(NotFoundError, match="E7"):
        store.entry("E7")
    with pytest.raises(NotFoundError, match="T77"):
        store.history("tree", "T77")


@pytest.mark.parametrize("name", [table.name for table in HISTORY_TABLES] + ["actions", "weather_days"])
@pytest.mark.parametrize("act", ["UPDATE {} SET {} = {}", "DELETE FROM {}"])
def test_history_refuses_to_be_changed(tmp_path: Path, engine: str, name: str, act: str) -> None:
    with open_store(tmp_path / "yard", engine=engine) as opened:
        path = opened.path
    driver = choose_driver(engine)
    connection = raw_connection(path, driver)
    columns = [row[1:4] for row in connection.execute(f"PRAGMA table_info({name})")]
    known = {"INTEGER": "1", "REAL": "1.0", "role": "'station'"}
    cells = [known.get(label, known.get(kind, "'1'")) for label, kind, _null in columns]
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute(f"INSERT INTO {name} VALUES ({', '.join(cells)})")
    column = columns[0][0]
    with pytest.raises(driver.module.IntegrityError, match="never changed"):
        connection.execute(act.format(name, column, column))
    connection.close()


def test_two_writers_lose_nothing(tmp_path: Path, engine: str) -> None:
    from concurrent.futures import ThreadPoolExecutor

    open_store(tmp_path / "yard", engine=engine).close()

    def write(start: int) -> None:
        with open_store(tmp_path / "yard", engine=engine) as opened:
            for number in range(start, start + 12):
                opened.save(action(), [tree(number)])

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(write, (100, 200, 300, 400)))
    with open_store(tmp_path / "yard", engine=engine) as opened:
        assert len(opened.trees()) == 48
        assert opened.check() == []
