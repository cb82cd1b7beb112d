"""Photos taken in, dated, marked and laid on each other, as the app asks for it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from ringwise.desk import pots, trees
from ringwise.desk.entries import Given, log_entry, undo_last
from ringwise.desk.photos import PhotoChange, PhotoGiven, add_photo, edit_photo, photo_strip, thumb_file
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import (
    ConflictError,
    DateError,
    FileFormatError,
    InputError,
    MissingFieldError,
    NotFoundError,
    RangeError,
    UnknownNameError,
)

TODAY = "2027-03-07"
UPRIGHT, RIM = [[0.5, 0.9], [0.5, 0.1]], [[0.2, 0.9], [0.8, 0.9]]
Photo = Callable[..., Path]


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Workspace]:
    """A collection with two trees, one of them in a pot 53 cm long and 39 cm wide."""
    workspace = open_workspace(tmp_path / "yard", on=TODAY)
    trees.add_tree(workspace, trees.NewTree("Old Elm", "Ulmus procera"))
    trees.add_tree(workspace, trees.NewTree("Wren", "Acer palmatum"))
    pots.add_pot(workspace, pots.NewPot("P-1", "oval", "53x39x8 cm", tree="T01"))
    workspace.store.close()
    again = open_workspace(tmp_path / "yard", on=TODAY)
    yield again
    again.store.close()


@pytest.fixture
def photo(tmp_path: Path) -> Photo:
    """Make a picture whose camera wrote what is given; each number is another picture."""

    def make(number: int = 0, *, taken: str = "", offset: str = "", size: tuple[int, int] = (40, 30)) -> Path:
        exif = Image.Exif()
        if taken:
            exif.get_ifd(0x8769)[0x9003] = taken
        if offset:
            exif.get_ifd(0x8769)[0x9011] = offset
        stream = BytesIO()
        Image.new("RGB", size, (number * 20, 90, 90)).save(stream, "JPEG", exif=exif)
        path = tmp_path / f"upload-{number}"
        path.write_bytes(stream.getvalue())
        return path

    return make


def _strip(workspace: Workspace, view: str = "front") -> list[dict[str, Any]]:
    (strip,) = photo_strip(workspace, "T01", view)["strips"]
    rows: list[dict[str, Any]] = strip["photos"]
    return rows


@pytest.mark.parametrize(
    ("camera", "said", "day", "source", "asks"),
    [
        ({"taken": "2026:05:14 18:30:00"}, {}, "2026-05-14", "camera", False),
        ({"taken": "2026:05:14 23:59:59", "offset": "-11:00"}, {}, "2026-05-14", "camera", False),
        ({"taken": "2026:05:14 00:00:01", "offset": "+14:00"}, {}, "2026-05-14", "camera", False),
        ({"taken": "2026:03:29 02:30:00"}, {}, "2026-03-29", "camera", False),  # an hour that clocks skip
        ({"taken": "2026:10:25 02:30:00"}, {}, "2026-10-25", "camera", False),  # an hour that comes twice
        ({"taken": "2026:05:14 18:30:00"}, {"date": "spring 2025"}, "spring 2025", "typed", False),
        (
            {"taken": "2026:05:14 18:30:00"},
            {"file_modified": "2026-06-01T08:00:00"},
            "2026-05-14",
            "camera",
            False,
        ),
        ({}, {"file_modified": "2026-06-01T23:59:00"}, "2026-06-01", "file", True),
        ({}, {"file_modified": "1970-01-01T00:00:00"}, TODAY, "today", True),
        ({}, {"file_modified": "2031-01-01T00:00:00"}, TODAY, "today", True),
        ({"taken": "2031:01:01 00:00:00"}, {"date": "2027-03-01"}, "2027-03-01", "typed", False),
        ({"taken": "0000:00:00 00:00:00"}, {}, TODAY, "today", True),
        ({}, {}, TODAY, "today", True),
    ],
)
def test_where_the_day_comes_from(
    yard: Workspace,
    photo: Photo,
    camera: dict[str, str],
    said: dict[str, str],
    day: str,
    source: str,
    asks: bool,
) -> None:
    shape = add_photo(yard, "T01", photo(**camera), PhotoGiven(**said))
    assert (shape["entry"]["on"]["typed"], shape["date_from"], shape["ask_date"]) == (day, source, asks)
    assert ("check it" in shape["line"]) is asks
    assert shape["entry"]["data"]["date_from"] == source


def test_lines_about_photos_name_the_tree_and_the_day(yard: Workspace, photo: Photo) -> None:
    taken = photo(1, taken="2026:05:14 18:30:00")
    first = add_photo(yard, "T02", taken, PhotoGiven())
    again = add_photo(yard, "T02", taken, PhotoGiven())
    edited = edit_photo(yard, first["id"], PhotoChange(view="back"))
    same = edit_photo(yard, first["id"], PhotoChange(view="back"))
    assert first["line"] == "T02 Wren, 14 May 2026: photo, front"
    assert again["line"] == "T02 Wren: this photo is there already"
    assert edited["line"] == "T02 Wren, 14 May 2026: photo, back corrected"
    assert same["line"] == "T02 Wren: nothing to change"
    for answer in (first, again, edited, same):
        assert answer["id"] not in answer["line"]


def test_the_hour_of_the_camera_is_never_moved(yard: Workspace, photo: Photo) -> None:
    plain = add_photo(yard, "T01", photo(1, taken="2026:03:29 02:30:00"), PhotoGiven())["entry"]["data"]
    assert (plain["taken"], plain["taken_offset"]) == ("2026-03-29T02:30:00", None)
    zoned = add_photo(yard, "T01", photo(2, taken="2026:05:14 23:59:59", offset="-11:00"), PhotoGiven())
    data = zoned["entry"]["data"]
    assert (data["taken"], data["taken_offset"]) == ("2026-05-14T23:59:59", "-11:00")


def test_the_note_is_blank_and_the_name_is_kept_clean(yard: Workspace, photo: Photo) -> None:
    given = PhotoGiven(original_name="C:\\phone\\../DCIM/IMG\x00_\u202e1.jpg", by="Ida")
    entry = add_photo(yard, "Old Elm", photo(), given)["entry"]
    assert entry["note"] == ""
    assert entry["data"]["original_name"] == "IMG_1.jpg"
    assert entry["by"] == "Ida"


def test_sent_twice_it_is_stored_once(yard: Workspace, photo: Photo) -> None:
    first = add_photo(yard, "T01", photo(), PhotoGiven(id="0f3a-photo-1"))
    again = add_photo(yard, "T01", photo(), PhotoGiven(id="0f3a-photo-1"))
    assert first["id"] == again["id"] == "0f3a-photo-1"
    assert first["action"] == again["action"]
    assert add_photo(yard, "T01", photo(), PhotoGiven())["action"] is None  # without an id as well
    assert len(yard.store.entries(kind="photo")) == 1
    assert add_photo(yard, "T01", photo(), PhotoGiven(view="back"))["action"] is not None
    assert add_photo(yard, "T02", photo(), PhotoGiven())["action"] is not None
    assert len(list((yard.folder / "photos").glob("??/*"))) == 1
    assert len(list((yard.folder / "photos" / "thumbs").iterdir())) == 3


def test_an_id_in_use_is_refused(yard: Workspace, photo: Photo) -> None:
    add_photo(yard, "T01", photo(1), PhotoGiven(id="0f3a-photo-1"))
    note = log_entry(yard, "T01", Given(("note", "buds")))["id"]
    for source, tree, given in (
        (photo(2), "T01", PhotoGiven(id="0f3a-photo-1")),
        (photo(1), "T02", PhotoGiven(id="0f3a-photo-1")),
        (photo(1), "T01", PhotoGiven(id="0f3a-photo-1", view="back")),
        (photo(1), "T01", PhotoGiven(id=note)),
    ):
        with pytest.raises(ConflictError, match="new id"):
            add_photo(yard, tree, source, given)
    assert len(yard.store.entries(kind="photo")) == 1


def test_what_was_taken_back_does_not_rise_when_it_is_sent_again(yard: Workspace, photo: Photo) -> None:
    first = add_photo(yard, "T01", photo(), PhotoGiven(id="0f3a-photo-1"))
    undo_last(yard)
    again = add_photo(yard, "T01", photo(), PhotoGiven(id="0f3a-photo-1"))
    assert (again["id"], again["action"]) == (first["id"], first["action"])
    assert yard.store.entries(kind="photo") == []
    assert add_photo(yard, "T01", photo(), PhotoGiven(id="0f3a-photo-2"))["id"] == "0f3a-photo-2"


@pytest.mark.parametrize(
    ("given", "error", "text"),
    [
        (PhotoGiven(view="below"), UnknownNameError, "underside"),
        (PhotoGiven(date="2027-02-30"), DateError, "date"),
        (PhotoGiven(date="2028-01-01"), RangeError, "up to today"),
        (PhotoGiven(file_modified="yesterday"), DateError, "file"),
        (PhotoGiven(note="\x1b[2J"), InputError, "control"),
        (PhotoGiven(mirrored=True), InputError, "underside"),
    ],
)
def test_refused(yard: Workspace, photo: Photo, given: PhotoGiven, error: type[Exception], text: str) -> None:
    with pytest.raises(error, match=text) as caught:
        add_photo(yard, "T01", photo(), given)
    assert "\n" not in str(caught.value)
    assert yard.store.entries(kind="photo") == []


@pytest.mark.parametrize("said", [{}, {"file_modified": "2027-03-01T08:00:00"}])
def test_a_camera_ahead_of_today_is_refused_as_a_typed_day_is(
    yard: Workspace, photo: Photo, said: dict[str, str]
) -> None:
    with pytest.raises(RangeError) as caught:
        add_photo(yard, "T01", photo(taken="2027:03:08 00:10:00"), PhotoGiven(**said))
    line = str(caught.value)
    assert line.startswith(
        "day of the camera is 2027-03-08; accepted: up to today, 7 Mar 2027. Give its date"
    )
    assert yard.store.entries(kind="photo") == []
    assert [f for f in (yard.folder / "photos").rglob("*") if f.is_file()] == []
    taken = add_photo(yard, "T01", photo(taken="2027:03:07 23:50:00"), PhotoGiven(**said))
    assert taken["entry"]["on"]["typed"] == TODAY


def test_no_photo_stores_nothing(yard: Workspace, tmp_path: Path) -> None:
    (tmp_path / "page").write_text("<html>")
    with pytest.raises(FileFormatError):
        add_photo(yard, "T01", tmp_path / "page", PhotoGiven())
    assert yard.store.entries(kind="photo") == []
    assert not list((yard.folder / "photos" / "incoming").iterdir())


def test_marks_are_a_new_revision_and_can_be_cleared(yard: Workspace, photo: Photo) -> None:
    made = add_photo(yard, "T01", photo(), PhotoGiven())
    change = PhotoChange(revision=1, align=UPRIGHT, rim=RIM, rim_width="1 ft")
    marked = edit_photo(yard, made["id"], change)["entry"]
    assert marked["revision"] == 2
    data = marked["data"]
    assert (data["align"], data["rim"]) == (UPRIGHT, RIM)
    assert data["rim_mm"] == pytest.approx(304.8)  # a foot is 0.3048 m by definition
    assert data["typed"] == {"rim_mm": "1 ft"}
    first = made["entry"]["data"]
    assert {key: data[key] for key in first} == first
    (row,) = _strip(yard)
    assert row["mm_per_px"]["value"] == pytest.approx(304.8 / (0.6 * 40))
    assert row["mm_per_px"]["why"] == f"photo:{made['id']}:scale"
    bare = edit_photo(yard, made["id"], PhotoChange(revision=2, align=[], rim=[]))["entry"]
    assert bare["data"] == first
    assert len(yard.store.history("entry", made["id"])) == 3
    assert edit_photo(yard, made["id"], PhotoChange(revision=3, align=[]))["action"] is None


def test_what_was_changed_meanwhile_is_not_written_over(yard: Workspace, photo: Photo) -> None:
    made = add_photo(yard, "T01", photo(), PhotoGiven())
    edit_photo(yard, made["id"], PhotoChange(revision=1, note="after wiring"))
    with pytest.raises(ConflictError, match="meanwhile"):
        edit_photo(yard, made["id"], PhotoChange(revision=1, view="back"))
    assert yard.store.entry(made["id"]).data["view"] == "front"
    assert yard.store.entry(made["id"]).note == "after wiring"


def test_a_confirmed_day_is_typed(yard: Workspace, photo: Photo) -> None:
    made = add_photo(yard, "T01", photo(), PhotoGiven(file_modified="2026-06-01T08:00:00"))
    sure = edit_photo(yard, made["id"], PhotoChange(date="2026-06-01"))
    assert (sure["date_from"], sure["ask_date"], sure["entry"]["revision"]) == ("typed", False, 2)


@pytest.mark.parametrize(
    ("change", "error", "text"),
    [
        (PhotoChange(align=[[0.5, 0.5], [0.5, 0.501]]), InputError, "one place"),
        (PhotoChange(align=[[0.5, 0.5]]), InputError, "two points"),
        (PhotoChange(align=[[0.5, 0.5], [0.5, 1.2]]), RangeError, "0 to 1"),
        (PhotoChange(align=[[0.5, 0.5], [0.5, math.nan]]), RangeError, "0 to 1"),
        (PhotoChange(align=[[0.5, 0.5, 0.1], [0.5, 0.2]]), InputError, "two points"),
        (PhotoChange(rim=RIM, rim_width="3 kg"), InputError, "rim"),
        (PhotoChange(rim_width="24 cm"), MissingFieldError, "needs rim"),
        (PhotoChange(mirrored=True), InputError, "underside"),
        (PhotoChange(view="beside"), UnknownNameError, "view is"),
        (PhotoChange(date="2030-01-01"), RangeError, "up to today"),
    ],
)
def test_a_wrong_change_stores_nothing(
    yard: Workspace, photo: Photo, change: PhotoChange, error: type[Exception], text: str
) -> None:
    made = add_photo(yard, "T01", photo(), PhotoGiven())
    with pytest.raises(error, match=text):
        edit_photo(yard, made["id"], change)
    assert yard.store.entry(made["id"]).revision == 1


def test_only_photos_are_marked(yard: Workspace) -> None:
    note = log_entry(yard, "T01", Given(("note", "buds")))["entry"]
    with pytest.raises(InputError, match="no photo"):
        edit_photo(yard, note["id"], PhotoChange(view="back"))
    with pytest.raises(NotFoundError):
        edit_photo(yard, "E99", PhotoChange(view="back"))


def test_the_pot_gives_the_width_of_its_rim(yard: Workspace, photo: Photo) -> None:
    for number, view, width_mm in ((1, "front", 530.0), (2, "left", 390.0)):
        made = add_photo(yard, "T01", photo(number), PhotoGiven(view=view))
        data = edit_photo(yard, made["id"], PhotoChange(rim=RIM))["entry"]["data"]
        assert data["rim_mm"] == width_mm
        assert "typed" not in data
    turned = edit_photo(yard, made["id"], PhotoChange(view="back"))["entry"]["data"]
    assert turned["rim_mm"] == 530.0
    typed = edit_photo(yard, made["id"], PhotoChange(rim_width="52 cm"))["entry"]["data"]
    assert (typed["rim_mm"], typed["typed"]) == (520.0, {"rim_mm": "52 cm"})
    kept = edit_photo(yard, made["id"], PhotoChange(view="right"))["entry"]["data"]
    assert kept["rim_mm"] == 520.0
    assert edit_photo(yard, made["id"], PhotoChange(rim_width=""))["entry"]["data"]["rim_mm"] == 390.0


def test_a_pot_that_came_later_measures_no_older_photo(yard: Workspace, photo: Photo) -> None:
    log_entry(yard, "T01", Given(("work", "repot"), date="2026-03-10", pot="P-1"))
    before = add_photo(yard, "T01", photo(1), PhotoGiven(date="2025-06-01"))
    after = add_photo(yard, "T01", photo(2), PhotoGiven(date="2026-06-01"))
    assert edit_photo(yard, after["id"], PhotoChange(rim=RIM))["entry"]["data"]["rim_mm"] == 530.0
    assert "rim_mm" not in edit_photo(yard, before["id"], PhotoChange(rim=RIM))["entry"]["data"]
    assert _strip(yard)[0]["mm_per_px"] is None  # unknown, and never a guess
    with pytest.raises(MissingFieldError, match="24 cm"):
        edit_photo(yard, before["id"], PhotoChange(rim_width=""))


def test_photos_are_laid_on_the_newest_marked_one(yard: Workspace, photo: Photo) -> None:
    sizes = {1: (40, 30), 2: (30, 60), 3: (40, 30)}
    days = {1: "2024-03-01", 2: "2025-03-01", 3: "2026-03-01"}
    ids = {n: add_photo(yard, "T01", photo(n, size=sizes[n]), PhotoGiven(date=days[n]))["id"] for n in days}
    marks = {1: [[0.5, 0.8], [0.5, 0.4]], 2: [[0.2, 0.7], [0.9, 0.6]]}
    for number, points in marks.items():
        edit_photo(yard, ids[number], PhotoChange(align=points))
    (strip,) = photo_strip(yard, "T01")["strips"]
    assert strip["reference"] == ids[2]
    assert [row["entry"] for row in strip["photos"]] == [ids[1], ids[2], ids[3]]
    first, reference, unmarked = strip["photos"]
    assert unmarked["matrix"] is None
    assert reference["matrix"] == pytest.approx([1.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    a, b, c, d, e, f = first["matrix"]
    for (x, y), (onto_x, onto_y) in zip(marks[1], marks[2], strict=True):
        across, down = x, y * 30 / 40  # in widths of the first photo
        assert a * across + c * down + e == pytest.approx(onto_x)
        assert b * across + d * down + f == pytest.approx(onto_y * 60 / 30)  # in widths of the reference


def test_a_mirrored_underside_says_so_and_is_laid_as_it_is_shown(yard: Workspace, photo: Photo) -> None:
    plain = add_photo(yard, "T01", photo(1), PhotoGiven(view="underside", date="2024-03-01"))
    mirrored = add_photo(yard, "T01", photo(2), PhotoGiven(view="underside", mirrored=True))
    assert "mirrored" in mirrored["line"]
    assert "mirrored" not in plain["entry"]["data"]
    points = [[0.2, 0.5], [0.6, 0.5]]
    edit_photo(yard, mirrored["id"], PhotoChange(align=points))
    edit_photo(yard, plain["id"], PhotoChange(align=[[1.0 - x, y] for x, y in points]))
    rows = _strip(yard, "underside")
    assert [row["mirrored"] for row in rows] == [False, True]
    assert rows[0]["matrix"] == pytest.approx([1.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    with pytest.raises(InputError, match="underside"):
        edit_photo(yard, mirrored["id"], PhotoChange(view="front"))
    assert edit_photo(yard, mirrored["id"], PhotoChange(view="front", mirrored=False))["action"] is not None


def test_missing_sides_of_this_growing_year(yard: Workspace, photo: Photo) -> None:
    def missing() -> list[str]:
        return [each["key"] for each in photo_strip(yard, "T01")["missing"]]

    sides = ["front", "right", "back", "left", "top", "underside"]
    assert missing() == sides
    add_photo(yard, "T01", photo(1), PhotoGiven(view="front", date="2026-10-31"))  # the eve of this year
    add_photo(yard, "T01", photo(2), PhotoGiven(view="detail"))
    add_photo(yard, "T01", photo(3), PhotoGiven(view="back", date="unknown"))
    assert missing() == sides
    add_photo(yard, "T01", photo(4), PhotoGiven(view="front", date="2026-11-01"))
    assert missing() == sides[1:]
    assert [strip["view"] for strip in photo_strip(yard, "T01")["strips"]] == ["front", "back", "detail"]
    with pytest.raises(UnknownNameError):
        photo_strip(yard, "T01", "inside")


def test_a_small_picture_is_found_for_photos_of_now_and_of_the_past(yard: Workspace, photo: Photo) -> None:
    sha = add_photo(yard, "T01", photo(), PhotoGiven())["entry"]["data"]["sha256"]
    path = thumb_file(yard, sha, 256)
    with Image.open(path) as image:
        assert (image.format, image.size) == ("WEBP", (40, 30))
    path.unlink()
    assert thumb_file(yard, sha, 256).is_file()
    undo_last(yard)
    assert thumb_file(yard, sha, 800).is_file()
    for name in ("../ringwise.sqlite", sha.upper(), sha[:-1], "%" * 64):
        with pytest.raises(InputError, match="64 hexadecimal"):
            thumb_file(yard, name, 256)
    with pytest.raises(NotFoundError, match="no entry names"):
        thumb_file(yard, "0" * 64, 256)
    with pytest.raises(RangeError):
        thumb_file(yard, sha, 4000)


def test_a_photo_without_an_entry_is_not_given_out(yard: Workspace, photo: Photo) -> None:
    from ringwise.records.photos import keep_photo

    facts = keep_photo(photo(), yard.folder)  # as a kill before its entry leaves it
    with pytest.raises(NotFoundError, match="no entry names"):
        thumb_file(yard, facts.sha256, 256)
