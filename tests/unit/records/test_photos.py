"""Photos: kept untouched, measured, and refused where they are none, too large, or also something else."""

from __future__ import annotations

import hashlib
import os
import random
import struct
import subprocess
import sys
import zlib
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from ringwise.kit.errors import FileFormatError, InputError, NotFoundError, RangeError, UnknownNameError
from ringwise.records import photo_decoding, photo_process, photos
from ringwise.records.photos import keep_photo, photo_suffix

LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))


def _picture(kind: str, size: tuple[int, int] = (40, 30), **notes: object) -> bytes:
    image = Image.new("RGB", size)
    image.putdata([(x * 5 % 256, x * 7 % 256, x * 11 % 256) for x in range(size[0] * size[1])])
    exif = Image.Exif()
    if "orientation" in notes:
        exif[0x0112] = notes["orientation"]
    inner = exif.get_ifd(0x8769)
    if "taken" in notes:
        inner[0x9003] = notes["taken"]
    if "offset" in notes:
        inner[0x9011] = notes["offset"]
    stream = BytesIO()
    image.save(stream, kind, exif=exif)
    return stream.getvalue()


def _file(folder: Path, content: bytes, name: str = "img.jpg") -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def _png_chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def _bomb(width_px: int, height_px: int) -> bytes:
    """A tiny PNG that promises a huge picture."""
    header = struct.pack(">IIBBBBB", width_px, height_px, 8, 2, 0, 0, 0)
    body = zlib.compress(bytes(1_000_000), 9)
    chunks = (_png_chunk(b"IHDR", header), _png_chunk(b"IDAT", body), _png_chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


@pytest.mark.parametrize(("kind", "suffix"), [("JPEG", "jpg"), ("PNG", "png"), ("WEBP", "webp")])
def test_kept_untouched_under_its_hash(tmp_path: Path, kind: str, suffix: str) -> None:
    content = _picture(kind)
    source = _file(tmp_path, content, "shown.bin")
    facts = keep_photo(source, tmp_path / "yard")
    digest = hashlib.sha256(content).hexdigest()
    assert facts.sha256 == digest
    assert facts.file == f"photos/{digest[:2]}/{digest}.{suffix}"
    assert (tmp_path / "yard" / facts.file).read_bytes() == content == source.read_bytes()
    assert (facts.width_px, facts.height_px, facts.orientation) == (40, 30, 1)
    assert list((tmp_path / "yard" / "photos" / "incoming").iterdir()) == []


def test_heic_is_read_where_its_reader_is(tmp_path: Path) -> None:
    import pillow_heif

    stream = BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (64, 48), "green")).save(stream)
    facts = keep_photo(_file(tmp_path, stream.getvalue()), tmp_path)
    assert facts.file.endswith(".heic")
    assert (facts.width_px, facts.height_px) == (64, 48)


def test_heic_without_its_reader_names_the_extra() -> None:
    error = photo_process.refusal(photo_decoding.NO_HEIC, Path("img.heic"))
    assert "ringwise[photo]" in str(error)


def test_the_same_photo_is_kept_once(tmp_path: Path) -> None:
    content = _picture("JPEG")
    first = keep_photo(_file(tmp_path, content, "a.jpg"), tmp_path)
    second = keep_photo(_file(tmp_path, content, "b.jpg"), tmp_path)
    assert first == second
    assert len(list((tmp_path / "photos").glob("??/*"))) == 1


def test_camera_time_is_local_and_no_zone_is_invented(tmp_path: Path) -> None:
    plain = keep_photo(_file(tmp_path, _picture("JPEG", taken="2026:03:29 02:30:00")), tmp_path)
    assert (plain.taken, plain.taken_offset) == ("2026-03-29T02:30:00", None)
    zoned = _picture("JPEG", taken="2026:03:29 12:30:00", offset="+13:00")
    found = keep_photo(_file(tmp_path, zoned), tmp_path)
    assert (found.taken, found.taken_offset) == ("2026-03-29T12:30:00", "+13:00")


@pytest.mark.parametrize(
    "taken", ["0000:00:00 00:00:00", "2026:02:30 10:00:00", "yesterday", "    :  :     "]
)
def test_a_camera_without_a_clock_gives_no_time(tmp_path: Path, taken: str) -> None:
    facts = keep_photo(_file(tmp_path, _picture("JPEG", taken=taken, offset="+01:00")), tmp_path)
    assert (facts.taken, facts.taken_offset) == (None, None)


def test_a_turned_camera_swaps_the_sides(tmp_path: Path) -> None:
    facts = keep_photo(_file(tmp_path, _picture("JPEG", orientation=6)), tmp_path)
    assert (facts.width_px, facts.height_px, facts.orientation) == (30, 40, 6)


@pytest.mark.parametrize(
    "content",
    [
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"<html><body>hello</body></html>",
        b"GIF89a" + bytes(40),
        b"%PDF-1.7",
        b"",
        b"\xff\xd8",
        _picture("JPEG") + b"<script>alert(1)</script>",
        _picture("JPEG")[:2] + b"\xff\xfe\x00\x20<html><script>alert(1)</script>\x00" + _picture("JPEG")[2:],
        _picture("PNG") + b"PK\x05\x06" + bytes(18),
        _picture("PNG") + b"%PDF-1.7",
    ],
)
def test_no_photo_or_not_only_one(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(FileFormatError, match="no JPEG, PNG, WebP or HEIC"):
        keep_photo(_file(tmp_path, content), tmp_path / "yard")
    assert not list((tmp_path / "yard" / "photos").glob("??/*"))


@pytest.mark.parametrize("size", [(10_000, 10_000), (20_000, 20_000), (2**31 - 1, 2**31 - 1)])
def test_a_bomb_is_refused_before_it_is_decoded(tmp_path: Path, size: tuple[int, int]) -> None:
    with pytest.raises(InputError) as caught:
        keep_photo(_file(tmp_path, _bomb(*size)), tmp_path / "yard")
    assert "\n" not in str(caught.value)
    assert not list((tmp_path / "yard" / "photos").glob("??/*"))


def test_a_large_bomb_names_the_limit(tmp_path: Path) -> None:
    with pytest.raises(RangeError, match="up to 80 megapixels"):
        keep_photo(_file(tmp_path, _bomb(10_000, 9_000)), tmp_path)


def test_a_picture_that_holds_less_than_it_promises(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError, match="does not decode"):
        keep_photo(_file(tmp_path, _bomb(10_000, 7_999)), tmp_path)


def test_the_decoding_process_is_short_of_memory_and_writes_no_file(tmp_path: Path) -> None:
    code = (
        "import sys; from ringwise.records.photo_decoding import limit_process; limit_process();"
        "grown = False\n"
        "try:\n    grown = bool(bytearray(1 << 30))\n"
        "except MemoryError:\n    pass\n"
        "try:\n    open(sys.argv[1], 'wb', 0).write(b'x')\n"
        "except OSError:\n    sys.exit(1 if grown else 42)\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(tmp_path / "out")], check=False)
    assert done.returncode == 42


def test_a_file_over_60_mb_is_refused_while_it_is_copied(tmp_path: Path) -> None:
    path = _file(tmp_path, _picture("JPEG"))
    with path.open("r+b") as stream:
        stream.truncate(photos.MOST_BYTES + 1)
    with pytest.raises(RangeError, match="up to 60 MB"):
        keep_photo(path, tmp_path)
    assert list((tmp_path / "photos" / "incoming").iterdir()) == []


def test_one_that_takes_too_long(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo_process, "TIME_S", 0.0)
    monkeypatch.setattr(photo_process, "GRACE_S", 0.001)
    with pytest.raises(FileFormatError, match="longer than"):
        keep_photo(_file(tmp_path, _picture("JPEG")), tmp_path)


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is not there"):
        keep_photo(tmp_path / "none.jpg", tmp_path)


def test_cut_and_spoiled_pictures_are_refused_or_kept_whole(tmp_path: Path) -> None:
    """A small fuzz: nothing but a clear refusal or an untouched copy comes of any change."""
    chance = random.Random(7)
    for turn in range(60 if LONG else 6):
        content = bytearray(_picture(("JPEG", "PNG", "WEBP")[turn % 3]))
        if turn % 2:
            del content[chance.randrange(20, len(content)) :]
        else:
            for _change in range(8):
                content[chance.randrange(len(content))] = chance.randrange(256)
        try:
            facts = keep_photo(_file(tmp_path, bytes(content)), tmp_path / "yard")
        except InputError:
            continue
        assert (tmp_path / "yard" / facts.file).read_bytes() == bytes(content)


def test_view_tags(tmp_path: Path) -> None:
    facts = keep_photo(_file(tmp_path, _picture("JPEG")), tmp_path)
    assert facts.entry_data("underside")["view"] == "underside"
    with pytest.raises(UnknownNameError, match="underside"):
        facts.entry_data("below")


def test_an_entry_needs_its_file(tmp_path: Path) -> None:
    from datetime import UTC, datetime

    from ringwise.records.dates import UNKNOWN
    from ringwise.records.model import Action, Entry, Tree
    from ringwise.records.store import open_store

    now = Action("Ida", "photo", datetime(2027, 3, 7, tzinfo=UTC))
    with open_store(tmp_path / "yard") as store:
        facts = keep_photo(_file(tmp_path, _picture("JPEG")), store.folder)
        entry = Entry("", "T01", "photo", UNKNOWN, facts.entry_data("front"))
        store.save(now, [Tree("T01", "Wren", "Morus alba"), entry])
        assert store.entries(kind="photo")[0].data["sha256"] == facts.sha256
        (store.folder / facts.file).unlink()
        with pytest.raises(NotFoundError, match="no photo"):
            store.save(now, [entry])


@pytest.mark.parametrize(
    ("head", "suffix"),
    [
        (b"\xff\xd8\xff\xe0", "jpg"),
        (b"\x89PNG\r\n\x1a\n", "png"),
        (b"RIFF\x00\x00\x00\x00WEBPVP8 ", "webp"),
        (b"RIFF\x00\x00\x00\x00WAVEfmt ", None),
        (b"\x00\x00\x00\x18ftypheic", "heic"),
        (b"\x00\x00\x00\x18ftypisom", None),
        (b"", None),
    ],
)
def test_first_bytes(head: bytes, suffix: str | None) -> None:
    assert photo_suffix(head) == suffix
