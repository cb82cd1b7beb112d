"""A backup brings the same collection back: database, photos, measured trees, lenses, turns, settings."""

from __future__ import annotations

import hashlib
import os
import resource
import signal
import sqlite3
import time
from pathlib import Path

import pytest
from PIL import Image

from ringwise.desk.backups import MARK, back_up, check_backups, check_collection, restore
from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.structures import ShapeGiven, keep_structure, structure_of
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import DamagedError, InputError, NotFoundError, UnknownNameError, WorkspaceError
from ringwise.records.kept_copies import COPIES
from ringwise.structure.measured import MeasuredTree, measured_of
from ringwise.structure.table import single_segment

DAY = "2027-03-07"
# What a grower cannot make again. Small pictures and the log are made anew.
PASSING = ("ringwise.log", "photos/thumbs/", "photos/incoming", "shapes/incoming", "backups/")


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on=DAY)


def pole(height_mm: float) -> MeasuredTree:
    return measured_of(single_segment(length_mm=height_mm, diameter_mm=30.0))


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """A yard with a photo, a measured tree, a lens, a turn under review, settings."""
    yard = opened(tmp_path / "yard")
    add_tree(yard, NewTree("Old Elm", "Ulmus procera"))
    yard.store.close()
    yard = opened(tmp_path / "yard")
    Image.new("RGB", (60, 40), (90, 60, 30)).save(tmp_path / "side.jpg")
    log_entry(yard, "T01", Given(("photo", str(tmp_path / "side.jpg")), view="front"))
    keep_structure(yard, yard.facts_of("T01"), pole(300.0), ShapeGiven("file"))
    (yard.folder / "lenses.json").write_text('{"lenses": []}')
    (yard.folder / "collection.toml").write_text('owner = "Ida"\n')
    turn = yard.folder / "turns" / "a1" / "photos"
    turn.mkdir(parents=True)
    (turn / "01.jpg").write_bytes(b"a photo under review")
    (turn.parent / "run.json").write_text("{}")
    yard.store.close()
    return opened(tmp_path / "yard")


def told(folder: Path) -> dict[str, str]:
    """What lies in a collection: the hash of each file, of the database that of all its rows."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if not path.is_file() or name.startswith(PASSING) or name.startswith("collection.sqlite-"):
            continue
        content = _rows(path) if name == "collection.sqlite" else path.read_bytes()
        found[name] = hashlib.sha256(content).hexdigest()
    return found


def _rows(path: Path) -> bytes:
    connection = sqlite3.connect(path)
    try:
        return "\n".join(connection.iterdump()).encode()
    finally:
        connection.close()


def test_what_is_brought_back_is_the_same_collection(yard: Workspace, tmp_path: Path) -> None:
    made = back_up(yard, tmp_path / "kept")
    assert made["amiss"] == []
    assert "photos, measured trees, lenses, turns" in made["lines"][1]
    again = restore(tmp_path / "kept", tmp_path / "again")
    assert again["amiss"] == []
    assert told(tmp_path / "again") == told(yard.folder)
    assert len(told(yard.folder)) == 7
    back = opened(tmp_path / "again")
    assert check_collection(back)["amiss"] == []
    assert structure_of(back, back.facts_of("T01")).table.length_mm.tolist() == [300.0]
    back.store.close()


def test_backups_of_every_day_do_not_grow(yard: Workspace, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    first = back_up(yard, place)
    assert first["new_files"] == first["kept_files"] == 7
    second = back_up(yard, place)
    assert (second["new_files"], second["new_bytes"]) == (0, 0)
    log_entry(yard, "T01", Given("vigour", "3"))
    third = back_up(yard, place)
    assert third["new_files"] == 1  # the database alone
    assert len({first["backup"], second["backup"], third["backup"]}) == 3
    assert check_backups(place)["backups"] == [each["backup"] for each in (first, second, third)]


def test_a_tree_that_was_taken_back_stays_in_the_backup(yard: Workspace, tmp_path: Path) -> None:
    undo_last(yard)
    back_up(yard, tmp_path / "kept")
    restore(tmp_path / "kept", tmp_path / "again")
    assert told(tmp_path / "again") == told(yard.folder)
    assert any(name.startswith("shapes/") for name in told(tmp_path / "again"))


def test_a_photo_that_changed_on_disk_is_named_and_the_good_copy_stays(
    yard: Workspace, tmp_path: Path
) -> None:
    place = tmp_path / "kept"
    good = told(yard.folder)
    back_up(yard, place)
    photo = next((yard.folder / "photos").glob("??/*.jpg"))
    photo.write_bytes(b"another picture")
    name = photo.relative_to(yard.folder).as_posix()
    made = back_up(yard, place)
    assert made["amiss"] == [f"{name} is not as it was kept; the backup holds it as it was"]
    assert photo.read_bytes() == b"another picture"  # nothing in the collection is written over
    assert [name in fault for fault in check_collection(yard)["amiss"]] == [True]
    restore(place, tmp_path / "again")
    assert told(tmp_path / "again") == good


def test_a_photo_that_was_never_good_is_kept_as_it_is_and_named(yard: Workspace, tmp_path: Path) -> None:
    photo = next((yard.folder / "photos").glob("??/*.jpg"))
    photo.write_bytes(b"another picture")
    made = back_up(yard, tmp_path / "kept")
    assert len(made["amiss"]) == 1
    assert "holds it as it is now" in made["amiss"][0]
    restore(tmp_path / "kept", tmp_path / "again")
    assert told(tmp_path / "again") == told(yard.folder)


def test_a_damaged_copy_is_found_named_and_never_brought_back(yard: Workspace, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    back_up(yard, place)
    copy = next((place / COPIES).glob("??/*.jpg"))
    content = copy.read_bytes()
    copy.write_bytes(content[:-1] + b"?")
    found = check_backups(place)["amiss"]
    assert len(found) == 1
    assert copy.name in found[0]
    with pytest.raises(DamagedError, match="damaged"):
        restore(place, tmp_path / "again")
    assert not (tmp_path / "again").exists()
    copy.write_bytes(content[:-9])
    made = back_up(yard, place)
    assert "set aside" in made["amiss"][0]
    assert [each.read_bytes() for each in copy.parent.glob("*.damaged-*")] == [content[:-9]]
    assert copy.read_bytes() == content
    assert check_backups(place)["amiss"] == []


def test_a_list_that_was_changed_is_told_and_the_one_before_serves(yard: Workspace, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    first = back_up(yard, place)["backup"]
    second = back_up(yard, place)["backup"]
    path = place / "backups" / f"{second}.json"
    path.write_text(path.read_text().replace("lenses.json", "../enses.json"))
    assert "is damaged" in check_backups(place)["amiss"][0]
    with pytest.raises(DamagedError, match="list of the backup"):
        restore(place, tmp_path / "again", second)
    back = restore(place, tmp_path / "again")
    assert back["backup"] == first
    assert "is damaged" in back["amiss"][0]


def test_places_and_folders_that_will_not_do(yard: Workspace, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="lies in the collection"):
        back_up(yard, yard.folder / "backups")
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("mine")
    with pytest.raises(InputError, match="other files"):
        back_up(yard, other)
    with pytest.raises(NotFoundError, match="no whole backup"):
        restore(tmp_path / "nowhere", tmp_path / "again")
    back_up(yard, tmp_path / "kept")
    with pytest.raises(InputError, match="not empty"):
        restore(tmp_path / "kept", other)
    assert [each.name for each in other.iterdir()] == ["letter.txt"]
    with pytest.raises(UnknownNameError):
        restore(tmp_path / "kept", tmp_path / "again", "2001-01-01T000000")


def test_a_full_disk_leaves_the_earlier_backups_as_they_were(yard: Workspace, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    first = back_up(yard, place)["backup"]
    (yard.folder / "turns" / "a1" / "photos" / "02.jpg").write_bytes(os.urandom(3_000_000))
    child = os.fork()
    if child == 0:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (2_000_000, 2_000_000))  # as a disk that takes no more
        try:
            back_up(yard, place)
        except WorkspaceError as wrong:
            os._exit(7 if "nothing that was there before" in str(wrong) else 8)
        finally:
            os._exit(1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 7
    assert check_backups(place)["backups"] == [first]
    assert check_backups(place)["amiss"] == []
    assert list((place / COPIES / "incoming").iterdir()) == []
    assert back_up(yard, place)["amiss"] == []


def test_ten_thousand_small_files(yard: Workspace, tmp_path: Path) -> None:
    count = 10_000 if os.environ.get("RINGWISE_LONG") == "1" else 1_000
    for number in range(count):
        content = f"photo {number}".encode()
        digest = hashlib.sha256(content).hexdigest()
        path = yard.folder / "photos" / digest[:2] / f"{digest}.jpg"
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
    begun = time.perf_counter()
    assert back_up(yard, tmp_path / "kept")["new_files"] == count + 7
    first_s = time.perf_counter() - begun
    begun = time.perf_counter()
    assert back_up(yard, tmp_path / "kept")["new_files"] == 0
    again_s = time.perf_counter() - begun
    assert first_s < 0.012 * count + 5.0  # some 2 ms a file where it was made, on a busy machine
    assert again_s < 0.003 * count + 3.0


def test_the_place_says_what_it_is(yard: Workspace, tmp_path: Path) -> None:
    back_up(yard, tmp_path / "kept")
    assert "ringwise restore" in (tmp_path / "kept" / MARK).read_text()
    assert sorted(each.name for each in (tmp_path / "kept").iterdir()) == ["backups", "files", MARK]
