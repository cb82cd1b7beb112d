"""A tree's structure by day: latest measurement wins, its file is kept, undo and corrections hold."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.entry_changes import edit_entry, withdraw_entry
from ringwise.desk.entry_history import entry_history
from ringwise.desk.figures import basis_of, figure_key, figures
from ringwise.desk.start_tree import start_of
from ringwise.desk.structures import (
    ShapeGiven,
    keep_structure,
    structure_entry,
    structure_of,
    versions,
)
from ringwise.desk.tape_typed import TapeWish, measure_tape
from ringwise.desk.tree_load import tree_load
from ringwise.desk.trees import NewTree, add_tree, retire_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import ConflictError, DamagedError, NotFoundError, UnknownNameError
from ringwise.records.dates import exact_day
from ringwise.records.model import Entry
from ringwise.structure.measured import How, MeasuredTree, attach, measured_of
from ringwise.structure.section import section_of
from ringwise.structure.table import SegmentTable, single_segment

BEFORE, DAY, LATER = "2027-03-07", "2027-03-09", "2027-04-01"


def shoot(length_mm: float, width_mm: float, way: tuple[float, float, float]) -> MeasuredTree:
    one = single_segment(length_mm=length_mm, diameter_mm=width_mm, basis="turntable")
    columns = {name: getattr(one, name) for name in SegmentTable.__dataclass_fields__}
    unit = np.array([way]) / np.linalg.norm(way)
    table = SegmentTable(**{**columns, "direction": unit, "buds": np.array([0])})
    return measured_of(table, radius_sd_mm=0.1, position_sd_mm=0.4, how=How.IMAGE)


def bare_tree(height_mm: float = 300.0) -> MeasuredTree:
    """A trunk of two pieces with one branch to the right."""
    trunk = attach(shoot(height_mm / 3, 40.0, (0, 0, 1)), shoot(2 * height_mm / 3, 20.0, (0, 0, 1)), 0)
    tree = attach(trunk, shoot(120.0, 9.0, (1, 0, 0.2)), 0)
    return MeasuredTree(
        tree.table, tree.radius_sd_mm, tree.position_sd_mm, tree.how, (section_of(10.0, [20.0] * 12),)
    )


def opened(folder: Path, day: str) -> Workspace:
    return open_workspace(folder, on=day)


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A yard with one tree, measured by tape on the first day and from photos on the second."""
    yard = opened(tmp_path / "yard", BEFORE)
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    yard.store.close()
    yard = opened(tmp_path / "yard", BEFORE)
    measure_tape(yard, TapeWish("T01", height="25cm", girths=("13cm@3cm",), branches=("8cm,3,9mm,14cm,8",)))
    yard.store.close()
    yard = opened(tmp_path / "yard", DAY)
    keep_structure(
        yard,
        yard.facts_of("T01"),
        bare_tree(),
        ShapeGiven("turntable", quality={"covered_frac": 0.99}, photos=("E9",)),
    )
    yard.store.close()
    return tmp_path / "yard"


def test_the_latest_measurement_of_a_day_is_the_structure(folder: Path) -> None:
    yard = opened(folder, LATER)
    facts = yard.facts_of("T01")
    assert [(each.source, each.on.typed) for each in versions(facts)] == [
        ("tape", BEFORE),
        ("turntable", DAY),
    ]
    now, then = structure_of(yard, facts), structure_of(yard, facts, on=date(2027, 3, 8))
    assert (now.n, now.table.basis, then.table.basis) == (3, "turntable", "tape")
    assert then.table.end_mm[:, 2].max() == pytest.approx(250.0, abs=0.01)
    assert set(then.how) == {How.TAPE, How.CALLIPER, How.PIPE}
    assert [section.height_mm for section in now.sections] == [10.0]
    yard.store.close()


def test_a_kept_shape_comes_back_as_measured_and_is_dressed(folder: Path) -> None:
    yard = opened(folder, LATER)
    tree, kept = bare_tree(), structure_of(yard, yard.facts_of("T01"))
    assert np.array_equal(kept.table.wood_mm2, tree.table.wood_mm2)
    assert np.array_equal(kept.table.direction, tree.table.direction)
    assert np.array_equal(kept.radius_sd_mm, tree.radius_sd_mm)
    assert (kept.table.leaf_cm2 > 0).tolist() == [False, True, True]  # on its two tips
    assert kept.table.born.tolist() == [2026, 2027, 2027]
    assert (kept.table.sapwood_mm2 <= kept.table.wood_mm2).all()
    yard.store.close()


def test_other_likely_trees_differ_within_their_spread(folder: Path) -> None:
    yard = opened(folder, LATER)
    facts = yard.facts_of("T01")
    middle = structure_of(yard, facts)
    others = [structure_of(yard, facts, which) for which in range(1, 30)]
    moved = np.array([each.table.diameter_mm[0] - middle.table.diameter_mm[0] for each in others])
    assert 0.1 < moved.std() < 0.35  # a radius good to 0.1 mm is a diameter good to 0.2 mm
    again = structure_of(yard, facts, 3)
    assert np.array_equal(again.table.wood_mm2, others[2].table.wood_mm2)
    yard.store.close()


def test_other_rooms_take_the_kept_shape(folder: Path) -> None:
    early, late = opened(folder, "2027-03-08"), opened(folder, LATER)
    by_tape, by_photos = (figure_key(each, each.facts_of("T01")) for each in (early, late))
    assert by_tape != by_photos
    assert basis_of(late.facts_of("T01")) == "structure"
    drawn = figures(late, [by_photos])["figures"][0]
    assert (drawn["top_mm"], drawn["basis_words"]) == (
        pytest.approx(300.0, abs=7.0),  # the end of a shoot is round
        "drawn from a turn of photos",
    )
    start = start_of(late, late.facts_of("T01"))
    assert [table.n for table in start.tables] == [3] * 4
    load = tree_load(late, late.facts_of("T01"))
    assert load is not None
    assert "a turn of photos" in load.words
    early.store.close()
    late.store.close()


def test_undo_takes_a_shape_back_and_the_tape_holds_again(folder: Path) -> None:
    yard = opened(folder, LATER)
    yard.store.undo("Quill", yard.store.actions()[-1][1].at)
    yard.store.close()
    yard = opened(folder, LATER)
    entry = structure_entry(yard.facts_of("T01"))
    assert entry is not None
    assert entry.kind == "tape"
    assert yard.store.check() == []
    yard.store.close()


def test_date_and_note_of_a_shape_can_be_corrected(folder: Path) -> None:
    yard = opened(folder, LATER)
    entry = structure_entry(yard.facts_of("T01"))
    assert entry is not None
    edit_entry(yard, entry.id, {"date": "2027-03-10", "note": "second turn"})
    told = entry_history(yard, entry.id)["revisions"]
    assert [each["note"] for each in told] == ["second turn", ""]
    assert told[0]["words"] == "shape from a turn of photos: 30 cm high, 3 segments"
    stored = yard.store.entry(entry.id)
    withdraw_entry(yard, entry.id, revision=stored.revision)
    yard.store.close()
    yard = opened(folder, LATER)
    assert [each.source for each in versions(yard.facts_of("T01"))] == ["tape"]
    yard.store.close()


def test_a_retired_tree_keeps_no_new_shape(folder: Path) -> None:
    yard = opened(folder, LATER)
    facts = yard.facts_of("T01")
    retire_tree(yard, "T01", "sold")
    yard.store.close()
    yard = opened(folder, LATER)
    files = sorted(folder.glob("shapes/??/*"))
    with pytest.raises(ConflictError, match="was retired"):
        keep_structure(yard, facts, bare_tree(310.0), ShapeGiven("trace"))
    assert sorted(folder.glob("shapes/??/*")) == files
    yard.store.close()


def test_an_unknown_source_stores_nothing(folder: Path) -> None:
    yard = opened(folder, LATER)
    step = yard.store.latest_step()
    with pytest.raises(UnknownNameError, match="guess"):
        keep_structure(yard, yard.facts_of("T01"), bare_tree(), ShapeGiven("guess"))
    assert yard.store.latest_step() == step
    yard.store.close()


def test_a_file_that_was_changed_or_lost_is_said(folder: Path) -> None:
    yard = opened(folder, LATER)
    file = next(folder.glob("shapes/??/*"))
    content = file.read_bytes()
    file.write_bytes(content.replace(b"40.0", b"41.0", 1) + b" ")
    with pytest.raises(DamagedError, match="not as it was kept"):
        structure_of(yard, yard.facts_of("T01"))
    assert len(yard.store.check()) == 1
    file.unlink()
    assert "there is no measured tree" in yard.store.check()[0]
    yard.store.close()


def test_no_entry_without_its_file(folder: Path) -> None:
    yard = opened(folder, LATER)
    entry = structure_entry(yard.facts_of("T01"))
    assert entry is not None
    next(folder.glob("shapes/??/*")).unlink()
    fresh = Entry("", "T01", "shape", exact_day(date(2027, 3, 20)), entry.data)
    with pytest.raises(NotFoundError):
        yard.store.save(yard.store.actions()[-1][1], [fresh])
    yard.store.close()


def test_a_collection_whose_file_is_lost_is_not_made_anew_beside_its_shapes(folder: Path) -> None:
    for each in folder.glob("collection.sqlite*"):
        each.unlink()
    with pytest.raises(DamagedError, match="shapes"):
        opened(folder, LATER)
