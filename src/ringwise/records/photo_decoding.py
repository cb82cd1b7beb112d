"""Decodes one photo in a process of its own with little memory and time, and makes the pictures shown of it.

Run as a module with the path of a file, the format it must have and a task. A hostile file can only end this
process, which may write no file: its answer goes to standard output, a line of JSON and then the pictures.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import warnings
from io import BytesIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

MEMORY_BYTES = 1 << 30
TIME_S = 20
MOST_PIXELS = 80_000_000
NO_HEIC = "no HEIC reader"
THUMB_SIZES_PX = (256, 800, 1600)  # longer side: in a list, beside another, alone on a screen
# The tasks: prove the whole photo sound and shrink it, only shrink it, or give its pixels to be measured.
CHECK, THUMBS, PIXELS = "check", "thumbs", "pixels"

_FORMATS = {"jpg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
_EXIF_IFD = 0x8769
_ORIENTATION = 0x0112
_TAKEN = 0x9003  # DateTimeOriginal: local time of the camera, without any zone
_TAKEN_OFFSET = 0x9011  # OffsetTimeOriginal: only some cameras write it
_LENS_TAGS = {  # what the camera writes of its lens (EXIF 2.32): a rational or a whole number each
    "focal_mm": 0x920A,
    "focal_35_mm": 0xA405,
    "zoom_factor": 0xA404,
    "camera_width_px": 0xA002,
    "camera_height_px": 0xA003,
}
_MAKE, _MODEL = 0x010F, 0x0110
_QUALITY = 82  # of WebP; judged by eye on bark and leaves
_TURNS = {  # how a picture is turned so that it stands upright (EXIF 2.32, tag Orientation)
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}
_SIDEWAYS = 5  # orientations from this one on swap width and height


def limit_process() -> None:
    """Bind this process to its share of memory, time and files.

    Examples
    --------
    >>> limit_process.__name__
    'limit_process'
    """
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (TIME_S, TIME_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def decode(path: str, suffix: str) -> dict[str, Any]:
    """Open, measure and wholly decode one photo.

    Parameters
    ----------
    path : str
        The file.
    suffix : str
        The format that its first bytes promise: jpg, png, webp or heic.

    Returns
    -------
    dict
        Width and height as stored, orientation, and the camera's local time with its offset, if written.

    Raises
    ------
    ValueError
        If it is too large.

    Examples
    --------
    >>> decode.__name__
    'decode'
    """
    with _opened(path, suffix) as image:
        width_px, height_px = image.size
        found = _camera_notes(image)
        image.load()
    return {"width_px": width_px, "height_px": height_px, **found}


def thumbs(path: str, suffix: str) -> list[bytes]:
    """The small pictures of one photo: turned upright, in sRGB, with nothing in them but the picture.

    A JPEG is decoded no larger than the largest of them needs. None is larger than the photo.

    Parameters
    ----------
    path, suffix : str
        As for `decode`.

    Returns
    -------
    list of bytes
        WebP files in the order of `THUMB_SIZES_PX`.

    Raises
    ------
    ValueError
        If the photo is too large.

    Examples
    --------
    >>> thumbs.__name__
    'thumbs'
    """
    from PIL import Image

    with _opened(path, suffix) as image:
        whole = image.size
        turn = _TURNS.get(_camera_notes(image)["orientation"])
        profile = image.info.get("icc_profile")
        image.draft(None, thumb_size_px(*whole, THUMB_SIZES_PX[-1]))
        picture = _shrinkable(image)
    made = []
    for size_px in reversed(THUMB_SIZES_PX):  # each from the one before it: largest first
        shape = thumb_size_px(*whole, size_px)
        picture = picture.resize(shape, Image.Resampling.LANCZOS, reducing_gap=3.0)
        if size_px == THUMB_SIZES_PX[-1]:
            picture = _in_srgb(_on_white(picture), profile)
        upright = picture if turn is None else picture.transpose(Image.Transpose[turn])
        upright.info = {}
        stream = BytesIO()
        upright.save(stream, "WEBP", quality=_QUALITY, method=4)
        made.append(stream.getvalue())
    return made[::-1]


def pixels(path: str, suffix: str, longest_px: int) -> tuple[dict[str, Any], bytes]:
    """A photo's pixels to be measured: upright, in sRGB, reduced by a whole number so that nothing is skewed.

    Parameters
    ----------
    path, suffix : str
        As for `decode`.
    longest_px : int
        The longer side at most.

    Returns
    -------
    (dict, bytes)
        Size, the number it was reduced by, what the camera wrote of its lens; and rows of red, green, blue.

    Raises
    ------
    ValueError
        If the photo is too large.

    Examples
    --------
    >>> pixels.__name__
    'pixels'
    """
    from PIL import Image

    with _opened(path, suffix) as image:
        found = _camera_notes(image) | _lens_notes(image)
        profile = image.info.get("icc_profile")
        times = -(-max(image.size) // longest_px)
        found["times"] = times
        found["stored_px"] = image.size
        picture = _shrinkable(image)
    picture = _in_srgb(_on_white(picture), profile)
    turn = _TURNS.get(found["orientation"])
    upright = picture if turn is None else picture.transpose(Image.Transpose[turn])
    found["whole_px"] = upright.size
    if times > 1:  # whole blocks only: what is left at the right and lower edge is less than a pixel
        right, lower = (side // times * times for side in upright.size)
        upright = upright.reduce(times, (0, 0, right, lower))
    found["width_px"], found["height_px"] = upright.size
    return found, upright.tobytes()


def _lens_notes(image: Image) -> dict[str, Any]:
    """What the camera wrote of itself and its lens; notes that do not read are no notes."""
    found: dict[str, Any] = dict.fromkeys(_LENS_TAGS) | {"make": "", "model": ""}
    try:
        notes = image.getexif()
        inner = notes.get_ifd(_EXIF_IFD)
        found["make"], found["model"] = (_note(notes.get(tag)) or "" for tag in (_MAKE, _MODEL))
        for key, tag in _LENS_TAGS.items():
            value = inner.get(tag)
            number = float(value) if value else 0.0
            found[key] = number if 0.0 < number < 1e6 else None
    except (ValueError, TypeError, KeyError, IndexError, OSError, SyntaxError, ArithmeticError):
        return found
    return found


def thumb_size_px(width_px: int, height_px: int, size_px: int) -> tuple[int, int]:
    """Width and height of a small picture.

    Parameters
    ----------
    width_px, height_px : int
        Of the photo.
    size_px : int
        Its longer side at most.

    Returns
    -------
    tuple of int
        In the same proportion; those of the photo where it is no larger.

    Examples
    --------
    >>> thumb_size_px(4000, 3000, 256), thumb_size_px(40, 30, 256)
    ((256, 192), (40, 30))
    """
    longer_px = max(width_px, height_px)
    if longer_px <= size_px:
        return width_px, height_px
    return max(1, round(width_px * size_px / longer_px)), max(1, round(height_px * size_px / longer_px))


def _opened(path: str, suffix: str) -> ImageFile:
    """The photo with its size checked and nothing decoded yet."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    if suffix == "heic":
        _register_heic()
    image = Image.open(path, formats=[_FORMATS[suffix]])
    if image.width * image.height > MOST_PIXELS:
        image.close()
        raise ValueError("too many pixels")
    return image


def _shrinkable(image: Image) -> Image:
    """The picture in a mode that shrinks well: colour, grey or ink, with or without what shows through."""
    image.load()
    if image.mode.startswith("I"):  # 16 bits of grey
        return image.convert("I").point(lambda grey: grey * (1 / 256)).convert("L")
    if image.mode in ("RGB", "RGBA", "L", "CMYK"):
        return image
    return image.convert("RGBA" if image.has_transparency_data else "RGB")


def _on_white(picture: Image) -> Image:
    from PIL import Image as pillow

    if picture.mode != "RGBA":
        return picture
    ground = pillow.new("RGB", picture.size, "white")
    ground.paste(picture, mask=picture.getchannel("A"))
    return ground


def _in_srgb(picture: Image, profile: object) -> Image:
    """The colours as a plain screen shows them; a profile that does not read is dropped."""
    from PIL import ImageCms

    if isinstance(profile, bytes) and profile:
        try:
            found = ImageCms.profileToProfile(
                picture, BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            found = None
        if found is not None:
            return found
    return picture.convert("RGB")


def _register_heic() -> None:
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        raise ValueError(NO_HEIC) from None
    register_heif_opener(thumbnails=False)


def _camera_notes(image: Image) -> dict[str, Any]:
    """Orientation and capture time; notes that do not read are no notes, and no reason to refuse."""
    try:
        notes = image.getexif()
        orientation, inner = notes.get(_ORIENTATION, 1), notes.get_ifd(_EXIF_IFD)
    except (ValueError, TypeError, KeyError, IndexError, OSError, SyntaxError, OverflowError):
        return {"orientation": 1, "taken": None, "taken_offset": None}
    valid = isinstance(orientation, int) and 1 <= orientation <= 8
    return {
        "orientation": orientation if valid else 1,
        "taken": _note(inner.get(_TAKEN)),
        "taken_offset": _note(inner.get(_TAKEN_OFFSET)),
    }


def _note(value: object) -> str | None:
    return value.strip("\x00 ")[:40] if isinstance(value, str) else None


def is_sideways(orientation: int) -> bool:
    """Whether the picture is shown turned by a quarter, so that width and height change places.

    Parameters
    ----------
    orientation : int
        1 to 8, as cameras write it.

    Returns
    -------
    bool
        True for 5 to 8.

    Examples
    --------
    >>> is_sideways(1), is_sideways(6)
    (False, True)
    """
    return orientation >= _SIDEWAYS


def main(path: str, suffix: str, task: str = CHECK, longest_px: str = "0") -> int:
    """Decode under limits; the answer goes to standard output and the exit code is 0 if the photo is sound.

    Parameters
    ----------
    path, suffix : str
        As for `decode`.
    task : str
        `CHECK`, `THUMBS` or `PIXELS`.
    longest_px : str
        The longer side at most, for `PIXELS`.

    Returns
    -------
    int
        The exit code.

    Examples
    --------
    >>> main.__name__
    'main'
    """
    limit_process()
    pictures: list[bytes] = []
    try:
        if task == PIXELS:
            answer, content = pixels(path, suffix, int(longest_px))
            pictures = [content]
        else:
            answer = decode(path, suffix) if task == CHECK else {}
            pictures = thumbs(path, suffix)
            answer["thumb_bytes"] = [len(each) for each in pictures]
    except MemoryError:
        answer = {"error": "needs too much memory"}
    except Exception as error:  # anything a hostile file provokes is an answer
        answer = {"error": str(error)[:200] or type(error).__name__}
    found = "error" not in answer
    sys.stdout.buffer.write(json.dumps(answer).encode() + b"\n" + b"".join(pictures if found else []))
    sys.stdout.buffer.flush()
    return 0 if found else 1


if __name__ == "__main__":
    os._exit(main(*sys.argv[1:5]))  # without the interpreter's tidying, which may want more memory
