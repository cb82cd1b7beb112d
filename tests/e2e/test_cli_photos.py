"""Photos through the command: kept with their small pictures, dated by their camera, refused in one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli
from PIL import Image


@pytest.fixture
def elm(cli: Cli, yard: Path) -> Path:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", folder=yard).code == 0
    return yard


def _picture(path: Path, taken: str = "") -> Path:
    exif = Image.Exif()
    if taken:
        exif.get_ifd(0x8769)[0x9003] = taken
    Image.new("RGB", (400, 300), "darkgreen").save(path, "JPEG", exif=exif)
    return path


def test_a_photo_is_logged_with_its_small_pictures(cli: Cli, elm: Path, tmp_path: Path) -> None:
    source = _picture(tmp_path / "IMG 0041.jpg", "2026:05:14 18:30:00")
    words = ("log", "T01", "photo", source, "--view", "back", "--on", "2027-03-07", "--json")
    entry = cli(*words, folder=elm).data["entry"]
    assert entry["on"]["typed"] == "2026-05-14"
    assert entry["note"] == ""
    assert entry["data"]["original_name"] == "IMG 0041.jpg"
    assert (entry["data"]["view"], entry["data"]["date_from"]) == ("back", "camera")
    assert (elm / entry["data"]["file"]).read_bytes() == source.read_bytes()
    sizes = {}
    for path in (elm / "photos" / "thumbs").iterdir():
        with Image.open(path) as image:
            sizes[path.name.removeprefix(entry["data"]["sha256"])] = image.size
    assert sizes == {"_256.webp": (256, 192), "_800.webp": (400, 300), "_1600.webp": (400, 300)}


def test_note_date_and_helper_are_kept(cli: Cli, elm: Path, tmp_path: Path) -> None:
    words = ("log", "T01", "photo", _picture(tmp_path / "a.jpg", "2026:05:14 18:30:00"), "--json")
    more = ("--note", "after wiring", "--date", "autumn 2025", "--by", "Ida", "--confirmed-by", "Ben")
    entry = cli(*words, *more, folder=elm).data["entry"]
    assert (entry["note"], entry["by"], entry["confirmed_by"]) == ("after wiring", "Ida", "Ben")
    assert (entry["on"]["typed"], entry["data"]["date_from"]) == ("autumn 2025", "typed")


def test_a_photo_without_a_day_has_today(cli: Cli, elm: Path, tmp_path: Path) -> None:
    words = ("log", "T01", "photo", _picture(tmp_path / "a.jpg"), "--on", "2027-03-07")
    ran = cli(*words, folder=elm)
    assert ran.code == 0, ran.err
    assert "photo, front" in ran.out
    shown = cli("tree", "show", "T01", folder=elm).out
    assert "2027-03-07" in shown
    assert "photo, front" in shown


def test_what_is_no_photo_is_refused_in_one_line(cli: Cli, elm: Path, tmp_path: Path) -> None:
    (tmp_path / "page.jpg").write_text("<html>")
    for words, text in (
        (("photo", tmp_path / "page.jpg"), "no JPEG, PNG, WebP or HEIC"),
        (("photo", tmp_path / "none.jpg"), "no file"),
        (("photo", _picture(tmp_path / "a.jpg"), "--view", "below"), "view is"),
        (("photo", tmp_path / "a.jpg", "--date", "2999-01-01"), "up to today"),
    ):
        ran = cli("log", "T01", *words, folder=elm)
        assert ran.code == 2
        assert text in ran.one_line
    assert not [path for path in (elm / "photos").rglob("*") if path.is_file()]
