"""Small pictures: upright, in plain colours, never enlarged, without notes inside, made again when lost."""

from __future__ import annotations

import os
import struct
import zlib
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image, ImageCms

from ringwise.kit.errors import FileFormatError, InputError, NotFoundError, RangeError
from ringwise.records import photo_decoding, photo_process, photos
from ringwise.records.photo_decoding import THUMB_SIZES_PX, THUMBS, thumb_size_px
from ringwise.records.photo_process import decode_photo
from ringwise.records.photos import PhotoFacts, keep_photo
from ringwise.records.thumbs import ensure_thumbs, original_path, thumb_path

Colour = tuple[int, int, int]
CORNERS: dict[tuple[int, int], Colour] = {
    (0, 0): (220, 30, 30),
    (1, 0): (30, 200, 30),
    (0, 1): (30, 30, 220),
    (1, 1): (240, 240, 240),
}
SHOWN = (96, 64)
# Where the first stored row and the first stored column lie in the picture as shown: EXIF 2.32 (CIPA DC-008),
# tag Orientation (recalled).
FIRST_ROW_AND_COLUMN = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def _shown_colour(x: int, y: int) -> Colour:
    return CORNERS[(x * 2 // SHOWN[0], y * 2 // SHOWN[1])]


def _stored(orientation: int) -> Image.Image:
    """The scene of `CORNERS` as a camera held that way stores it."""
    row_side, column_side = FIRST_ROW_AND_COLUMN[orientation]
    upright = row_side in ("top", "bottom")
    rows, columns = (SHOWN[1], SHOWN[0]) if upright else SHOWN
    image = Image.new("RGB", (columns, rows))
    for row in range(rows):
        for column in range(columns):
            down = row if row_side in ("top", "left") else rows - 1 - row
            across = column if column_side in ("left", "top") else columns - 1 - column
            x, y = (across, down) if upright else (down, across)
            image.putpixel((column, row), _shown_colour(x, y))
    return image


def _bytes(image: Image.Image, kind: str = "JPEG", **options: object) -> bytes:
    stream = BytesIO()
    image.save(stream, kind, **options)  # type: ignore[arg-type]
    return stream.getvalue()


def _notes(orientation: int = 1) -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "a camera maker"
    exif.get_ifd(0x8769)[0x9003] = "2026:05:01 10:00:00"
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 4.0, 0.0)})
    return exif


def _keep(folder: Path, content: bytes) -> PhotoFacts:
    (folder / "upload").write_bytes(content)
    return keep_photo(folder / "upload", folder)


def _thumb(folder: Path, facts: PhotoFacts, size_px: int = 256) -> Image.Image:
    with Image.open(thumb_path(folder, facts.sha256, size_px)) as image:
        assert image.format == "WEBP"
        image.load()
        return image.copy()


def _near(found: object, wanted: Colour, by: int = 30) -> bool:
    return isinstance(found, tuple) and all(abs(a - b) <= by for a, b in zip(found, wanted, strict=True))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_way_of_holding_the_camera_is_shown_upright(tmp_path: Path, orientation: int) -> None:
    content = _bytes(_stored(orientation), exif=_notes(orientation), quality=95, subsampling=0)
    facts = _keep(tmp_path, content)
    assert (facts.width_px, facts.height_px) == SHOWN
    image = _thumb(tmp_path, facts)
    assert image.size == SHOWN
    for (right, low), colour in CORNERS.items():
        at = (SHOWN[0] // 4 + right * SHOWN[0] // 2, SHOWN[1] // 4 + low * SHOWN[1] // 2)
        assert _near(image.getpixel(at), colour), (orientation, at)
    assert (tmp_path / facts.file).read_bytes() == content


@pytest.mark.parametrize("orientation", [0, 9, 77])
def test_an_orientation_that_does_not_exist_is_none(tmp_path: Path, orientation: int) -> None:
    facts = _keep(tmp_path, _bytes(_stored(1), exif=_notes(orientation)))
    assert _thumb(tmp_path, facts).size == SHOWN


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_but_the_picture_is_inside(tmp_path: Path, kind: str) -> None:
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = _bytes(_stored(1), kind, exif=_notes(), icc_profile=srgb, comment=b"remark")
    assert b"a camera maker" in content  # else the check below could not fail
    facts = _keep(tmp_path, content)
    for size_px in THUMB_SIZES_PX:
        raw = thumb_path(tmp_path, facts.sha256, size_px).read_bytes()
        assert not [name for name in _chunks(raw) if name not in (b"VP8 ", b"VP8L", b"VP8X", b"ALPH")]
        assert b"camera" not in raw
        image = _thumb(tmp_path, facts, size_px)
        assert dict(image.getexif()) == {}
        assert not {"exif", "xmp", "icc_profile", "comment"} & set(image.info)


def _chunks(raw: bytes) -> list[bytes]:
    """The names of the parts of a WebP file (RIFF container)."""
    names, at = [], 12
    while at < len(raw):
        names.append(raw[at : at + 4])
        length = struct.unpack("<I", raw[at + 4 : at + 8])[0]
        at += 8 + length + length % 2
    return names


def test_three_sizes_by_the_longer_side(tmp_path: Path) -> None:
    facts = _keep(tmp_path, _bytes(Image.effect_noise((1800, 2400), 60).convert("RGB")))
    sizes = [_thumb(tmp_path, facts, size_px).size for size_px in (256, 800, 1600)]
    assert sizes == [(192, 256), (600, 800), (1200, 1600)]


def test_a_small_photo_is_not_enlarged(tmp_path: Path) -> None:
    facts = _keep(tmp_path, _bytes(Image.new("RGB", (40, 30), "green"), "PNG"))
    assert {_thumb(tmp_path, facts, size_px).size for size_px in THUMB_SIZES_PX} == {(40, 30)}


@pytest.mark.parametrize(
    ("sides", "shown"), [((5000, 1), (256, 1)), ((1, 5000), (1, 256)), ((257, 256), (256, 255))]
)
def test_a_very_long_picture_keeps_a_side(sides: tuple[int, int], shown: tuple[int, int]) -> None:
    assert thumb_size_px(*sides, 256) == shown


def test_what_shows_through_is_white(tmp_path: Path) -> None:
    image = Image.new("RGBA", (40, 40), (200, 0, 0, 255))
    image.paste((0, 0, 0, 0), (0, 0, 20, 40))
    found = _thumb(tmp_path, _keep(tmp_path, _bytes(image, "PNG")))
    assert _near(found.getpixel((6, 20)), (255, 255, 255))
    assert _near(found.getpixel((34, 20)), (200, 0, 0))
    drawn = Image.new("P", (40, 40), 1)
    drawn.putpalette([9, 9, 9, 0, 160, 0])
    found = _thumb(tmp_path, _keep(tmp_path, _bytes(drawn, "PNG")))
    assert _near(found.getpixel((20, 20)), (0, 160, 0))


def test_grey_ink_and_fine_grey_are_shown(tmp_path: Path) -> None:
    for content, wanted in (
        (_bytes(Image.new("L", (40, 40), 120)), (120, 120, 120)),
        (_bytes(Image.new("CMYK", (40, 40), (0, 255, 255, 0))), (255, 0, 0)),
        (_bytes(Image.new("I;16", (40, 40), 120 * 257), "PNG"), (120, 120, 120)),
        (_bytes(Image.new("1", (40, 40), 1), "PNG"), (255, 255, 255)),
    ):
        found = _thumb(tmp_path, _keep(tmp_path, content))
        assert found.mode == "RGB"
        assert _near(found.getpixel((20, 20)), wanted)


def test_colours_of_another_space_are_brought_to_srgb(tmp_path: Path) -> None:
    """A profile with red and green exchanged: only a reader that obeys it shows the red."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", profile[128:132])[0]
    tags = {bytes(profile[132 + 12 * n : 136 + 12 * n]): 132 + 12 * n for n in range(count)}
    red, green = (bytes(profile[tags[name] + 4 : tags[name] + 12]) for name in (b"rXYZ", b"gXYZ"))
    profile[tags[b"rXYZ"] + 4 : tags[b"rXYZ"] + 12] = green
    profile[tags[b"gXYZ"] + 4 : tags[b"gXYZ"] + 12] = red
    image = Image.new("RGB", (40, 40), (0, 220, 0))
    plain = _thumb(tmp_path, _keep(tmp_path, _bytes(image, "PNG")))
    assert _near(plain.getpixel((20, 20)), (0, 220, 0))
    swapped = _thumb(tmp_path, _keep(tmp_path, _bytes(image, "PNG", icc_profile=bytes(profile))))
    assert _near(swapped.getpixel((20, 20)), (220, 0, 0))
    broken = _thumb(tmp_path, _keep(tmp_path, _bytes(image, "PNG", icc_profile=b"no profile at all")))
    assert _near(broken.getpixel((20, 20)), (0, 220, 0))


def test_heic_is_shown(tmp_path: Path) -> None:
    import pillow_heif

    stream = BytesIO()
    pillow_heif.from_pillow(_stored(1)).save(stream, quality=95, exif=_notes(1).tobytes())
    facts = _keep(tmp_path, stream.getvalue())
    found = _thumb(tmp_path, facts)
    assert found.size == SHOWN
    assert _near(found.getpixel((72, 16)), CORNERS[(1, 0)])
    assert dict(found.getexif()) == {}
    assert facts.taken == "2026-05-01T10:00:00"


def test_heic_turned_once_and_not_twice(tmp_path: Path) -> None:
    """Its reader turns the picture itself; turning it again by the camera's note would lay it on its side."""
    import pillow_heif

    stream = BytesIO()
    pillow_heif.from_pillow(_stored(6)).save(stream, quality=95, exif=_notes(6).tobytes())
    facts = _keep(tmp_path, stream.getvalue())
    found = _thumb(tmp_path, facts)
    assert found.size == SHOWN == (facts.width_px, facts.height_px)
    assert _near(found.getpixel((24, 16)), CORNERS[(0, 0)])


def test_without_the_reader_of_heic_nothing_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import pillow_heif

    stream = BytesIO()
    pillow_heif.from_pillow(_stored(1)).save(stream)
    (tmp_path / "upload").write_bytes(stream.getvalue())
    hidden = tmp_path / "hidden"
    hidden.mkdir()
    (hidden / "sitecustomize.py").write_text("import sys\nsys.modules['pillow_heif'] = None\n")
    monkeypatch.setenv("PYTHONPATH", str(hidden))
    with pytest.raises(FileFormatError, match=r"ringwise\[photo\]") as caught:
        keep_photo(tmp_path / "upload", tmp_path / "yard")
    assert "\n" not in str(caught.value)
    assert not [path for path in (tmp_path / "yard" / "photos").rglob("*") if path.is_file()]


def _bomb(width_px: int, height_px: int) -> bytes:
    parts = [b"\x89PNG\r\n\x1a\n"]
    header = struct.pack(">IIBBBBB", width_px, height_px, 8, 2, 0, 0, 0)
    for name, content in ((b"IHDR", header), (b"IDAT", zlib.compress(bytes(100_000))), (b"IEND", b"")):
        parts.append(
            struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        )
    return b"".join(parts)


@pytest.mark.parametrize("size", [(10_000, 9_000), (60_000, 60_000)])
def test_the_maker_of_small_pictures_refuses_a_bomb_itself(tmp_path: Path, size: tuple[int, int]) -> None:
    path = tmp_path / "bomb.png"
    path.write_bytes(_bomb(*size))
    with pytest.raises(RangeError, match="80 megapixels"):
        decode_photo(path, "png", path, THUMBS)


def test_the_largest_photo_fits_into_the_memory_of_its_maker(tmp_path: Path) -> None:
    """With colours from a list and parts that show through, which take the most memory on the way."""
    path = tmp_path / "wide.png"
    Image.new("P", (9_900, 8_000)).save(path, compress_level=1, transparency=0)
    made = decode_photo(path, "png", path, THUMBS)
    assert len(made.thumbs) == len(THUMB_SIZES_PX)


def test_an_answer_that_is_none_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.png"
    path.write_bytes(_bytes(_stored(1), "PNG"))
    for answer in (b"", b"[]\n", b'{"thumb_bytes": [1, 1, 1]}\nabc', b'{"thumb_bytes": []}\n', b"{}\n"):
        done = type("Done", (), {"stdout": answer})
        monkeypatch.setattr(photo_process.subprocess, "run", lambda *_a, _done=done, **_k: _done)
        with pytest.raises(FileFormatError, match="without an answer"):
            decode_photo(path, "png", path)


def test_lost_small_pictures_are_made_again_alike(tmp_path: Path) -> None:
    facts = _keep(tmp_path, _bytes(Image.effect_noise((1000, 700), 50).convert("RGB"), exif=_notes(6)))
    paths = ensure_thumbs(tmp_path, facts.sha256)
    first = [path.read_bytes() for path in paths]
    paths[1].unlink()
    paths[2].write_bytes(b"")  # as a lost disk may leave it
    assert [path.read_bytes() for path in ensure_thumbs(tmp_path, facts.sha256)] == first
    assert list((tmp_path / "photos" / "incoming").iterdir()) == []


def test_without_the_photo_they_are_not_made_but_those_there_are_enough(tmp_path: Path) -> None:
    facts = _keep(tmp_path, _bytes(_stored(1)))
    original = original_path(tmp_path, facts.sha256)
    assert original == tmp_path / facts.file
    original.unlink()
    paths = ensure_thumbs(tmp_path, facts.sha256)
    paths[0].unlink()
    with pytest.raises(NotFoundError, match="no photo"):
        ensure_thumbs(tmp_path, facts.sha256)


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "A" * 64, "a" * 63, "a" * 64 + "\n", "g" * 64])
def test_a_path_is_no_hash(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="64 hexadecimal"):
        thumb_path(tmp_path, name, 256)
    with pytest.raises(InputError, match="64 hexadecimal"):
        original_path(tmp_path, name)


def test_only_three_sizes(tmp_path: Path) -> None:
    with pytest.raises(RangeError, match="256 px, 800 px, 1600 px"):
        thumb_path(tmp_path, "a" * 64, 4000)


def test_a_photo_that_cannot_be_shown_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_parts: object) -> None:
        raise OSError(28, os.strerror(28))

    (tmp_path / "upload").write_bytes(_bytes(_stored(1)))
    monkeypatch.setattr(photos, "decode_photo", full)
    with pytest.raises(Exception, match="No space left"):
        keep_photo(tmp_path / "upload", tmp_path / "yard")
    assert not [path for path in (tmp_path / "yard").rglob("*") if path.is_file()]


def test_sizes_and_tasks_are_as_promised() -> None:
    assert THUMB_SIZES_PX == (256, 800, 1600)
    assert photo_decoding.MEMORY_BYTES == 2**30
