"""Decodes one photo in a process of its own with little memory and time, and prints what it found as JSON.

Run as a module with the path of a file and the format it must have; a hostile file can only end this process.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import warnings
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL.Image import Image

MEMORY_BYTES = 1 << 30
TIME_S = 20
MOST_PIXELS = 80_000_000
NO_HEIC = "no HEIC reader"

_FORMATS = {"jpg": "JPEG", "png": "PNG", "webp": "WEBP", "heic": "HEIF"}
_EXIF_IFD = 0x8769
_ORIENTATION = 0x0112
_TAKEN = 0x9003  # DateTimeOriginal: local time of the camera, without any zone
_TAKEN_OFFSET = 0x9011  # OffsetTimeOriginal: only some cameras write it
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
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    if suffix == "heic":
        _register_heic()
    with Image.open(path, formats=[_FORMATS[suffix]]) as image:
        width_px, height_px = image.size
        if width_px * height_px > MOST_PIXELS:
            raise ValueError("too many pixels")
        found = _camera_notes(image)
        image.load()
    return {"width_px": width_px, "height_px": height_px, **found}


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


def main(path: str, suffix: str) -> int:
    """Decode under limits; the answer goes to standard output and the exit code is 0 if the photo is sound.

    Parameters
    ----------
    path, suffix : str
        As for `decode`.

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
    try:
        answer = decode(path, suffix)
    except MemoryError:
        answer = {"error": "needs too much memory"}
    except Exception as error:  # anything a hostile file provokes is an answer
        answer = {"error": str(error)[:200] or type(error).__name__}
    sys.stdout.write(json.dumps(answer))
    sys.stdout.flush()
    return 1 if "error" in answer else 0


if __name__ == "__main__":
    os._exit(main(sys.argv[1], sys.argv[2]))  # without the interpreter's tidying, which may want more memory
