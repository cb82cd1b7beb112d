"""A photo's pixels, read under the same limits as a photo that is kept, for whoever measures on them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import FileFormatError, InputError, out_of_range
from ringwise.kit.words import _
from ringwise.records.photo_decoding import PIXELS
from ringwise.records.photo_process import refusal, run_limited
from ringwise.records.photos import MOST_BYTES, photo_suffix

_ENDS_BYTES = 1 << 16


@dataclass(frozen=True)
class Pixels:
    """Upright pixels (h, w, 3) in sRGB, and what the camera wrote.

    `cut` tells that the camera wrote another proportion of the sides than the file has; the sides of the
    upright picture in the file, `whole_px`, were divided by `times`.
    """

    values: NDArray[np.uint8]
    make: str
    model: str
    focal_mm: float | None
    focal_35_mm: float | None
    zoom_factor: float
    orientation: int
    cut: bool
    times: int
    whole_px: tuple[int, int]


def file_sha256(path: Path) -> str:
    """The hash of a file's content.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        64 hexadecimal digits.

    Examples
    --------
    >>> import tempfile
    >>> empty = Path(tempfile.mkdtemp()) / "a"
    >>> written = empty.write_bytes(b"")
    >>> file_sha256(empty)[:8]
    'e3b0c442'
    """
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def read_pixels(path: Path, *, longest_px: int, shown: Path | None = None) -> Pixels:
    """Decode one photo in a process of its own and give its pixels.

    Parameters
    ----------
    path : Path
        The file; it is only read.
    longest_px : int
        The longer side at most; a larger photo is reduced by a whole number.
    shown : Path or None
        What the user calls it; None for its path.

    Returns
    -------
    Pixels
        Upright.

    Raises
    ------
    InputError
        If the file is not there, is no photo, does not decode or is too large; the line names it.

    Examples
    --------
    >>> try:
    ...     read_pixels(Path("no-such.png"), longest_px=800)
    ... except InputError as error:
    ...     print(error)
    photo no-such.png is not there.
    """
    called = path if shown is None else shown
    if not path.is_file():
        raise InputError(_("photo {path} is not there.").format(path=called))
    if path.stat().st_size > MOST_BYTES:
        raise out_of_range(
            _("size of photo {path}").format(path=called),
            _("over {n} MB").format(n=MOST_BYTES // 1_000_000),
            _("up to {n} MB").format(n=MOST_BYTES // 1_000_000),
        )
    with path.open("rb") as stream:
        head = stream.read(_ENDS_BYTES)
    suffix = photo_suffix(head)
    if suffix is None:
        raise FileFormatError(_("photo {path} is no JPEG, PNG, WebP or HEIC picture.").format(path=called))
    answer, content = run_limited(path, suffix, called, PIXELS, str(longest_px))
    try:
        return _pixels(answer, content)
    except (KeyError, TypeError, ValueError):
        raise refusal(_("its decoding ended without an answer"), called) from None


def _pixels(answer: dict[str, Any], content: bytes) -> Pixels:
    width, height = int(answer["width_px"]), int(answer["height_px"])
    if min(width, height) < 1 or len(content) != 3 * width * height:
        raise ValueError
    stored = [float(side) for side in answer["stored_px"]]
    written = [answer["camera_width_px"], answer["camera_height_px"]]
    return Pixels(
        values=np.frombuffer(content, dtype=np.uint8).reshape(height, width, 3),
        make=str(answer["make"]),
        model=str(answer["model"]),
        focal_mm=answer["focal_mm"],
        focal_35_mm=answer["focal_35_mm"],
        zoom_factor=answer["zoom_factor"] or 1.0,
        orientation=int(answer["orientation"]),
        cut=_is_cut(stored, written),
        times=int(answer["times"]),
        whole_px=(int(answer["whole_px"][0]), int(answer["whole_px"][1])),
    )


def _is_cut(stored: list[float], written: list[float | None]) -> bool:
    """Whether the sides have another proportion than the camera wrote, which way round it ever wrote them."""
    if not all(written):
        return False
    own = max(stored) / min(stored)
    camera = max(each or 0.0 for each in written) / min(each or 1.0 for each in written)
    return abs(own / camera - 1.0) > 0.01
