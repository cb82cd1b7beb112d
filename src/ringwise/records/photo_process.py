"""Hands one photo to the limited process that decodes it, and judges what comes back."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ringwise.kit.errors import FileFormatError, InputError, out_of_range
from ringwise.kit.words import _
from ringwise.records.photo_decoding import CHECK, MOST_PIXELS, NO_HEIC, THUMB_SIZES_PX, TIME_S

GRACE_S = 5.0  # the process may wait for a processor beside its own time

_MOST_THUMB_BYTES = 8_000_000  # a WebP of 1600 by 1600 pixels is smaller, whatever it shows


@dataclass(frozen=True)
class Decoded:
    """What the process found, and the small pictures in the order of `THUMB_SIZES_PX`."""

    found: dict[str, Any]
    thumbs: tuple[bytes, ...]


def decode_photo(path: Path, suffix: str, shown: Path, task: str = CHECK) -> Decoded:
    """Decode one photo in a process of its own.

    Parameters
    ----------
    path : Path
        The file.
    suffix : str
        Its format: jpg, png, webp or heic.
    shown : Path
        What the user calls it.
    task : str
        `CHECK` proves the whole photo sound, `THUMBS` only makes the small pictures.

    Returns
    -------
    Decoded
        Width and height as stored, orientation, the camera's time (all with `CHECK` only), small pictures.

    Raises
    ------
    FileFormatError
        If it does not decode, takes too long, or no reader for it is installed.
    RangeError
        If it has too many pixels.

    Examples
    --------
    >>> import tempfile
    >>> empty = Path(tempfile.mkdtemp()) / "a.png"
    >>> written = empty.write_bytes(b"")
    >>> try:
    ...     decode_photo(empty, "png", Path("empty.png"))
    ... except FileFormatError as error:
    ...     print("refused")
    refused
    """
    answer, rest = run_limited(path, suffix, shown, task)
    try:
        return Decoded(answer, _parted(rest, answer.pop("thumb_bytes")))
    except (KeyError, TypeError, ValueError):
        raise refusal(_("its decoding ended without an answer"), shown) from None


def run_limited(path: Path, suffix: str, shown: Path, *task: str) -> tuple[dict[str, Any], bytes]:
    """Run the process on one photo: its answer, and the bytes after it.

    Parameters
    ----------
    path, suffix, shown : Path, str, Path
        As for `decode_photo`.
    *task : str
        What it shall do, with its number where it has one.

    Returns
    -------
    (dict, bytes)
        As the process said.

    Raises
    ------
    FileFormatError, RangeError
        As for `decode_photo`.

    Examples
    --------
    >>> import tempfile
    >>> empty = Path(tempfile.mkdtemp()) / "a.png"
    >>> written = empty.write_bytes(b"")
    >>> try:
    ...     run_limited(empty, "png", Path("empty.png"), CHECK)
    ... except FileFormatError as error:
    ...     print("refused")
    refused
    """
    command = [sys.executable, "-P", "-B", "-m", "ringwise.records.photo_decoding", str(path), suffix, *task]
    try:
        done = subprocess.run(command, capture_output=True, timeout=TIME_S + GRACE_S, check=False)
    except subprocess.TimeoutExpired:
        raise FileFormatError(
            _("photo {path} took longer than {n} s to decode.").format(path=shown, n=TIME_S)
        ) from None
    line, _end, rest = done.stdout.partition(b"\n")
    try:
        answer: dict[str, Any] = json.loads(line)
    except ValueError:
        raise refusal(_("its decoding ended without an answer"), shown) from None
    if not isinstance(answer, dict):
        raise refusal(_("its decoding ended without an answer"), shown)
    if "error" in answer:
        raise refusal(str(answer["error"]), shown)
    return answer, rest


def _parted(content: bytes, lengths: list[int]) -> tuple[bytes, ...]:
    parts, start = [], 0
    for length in lengths:
        parts.append(content[start : start + length])
        start += length
    sound = all(part[:4] == b"RIFF" and part[8:12] == b"WEBP" for part in parts)
    small = max(lengths) <= _MOST_THUMB_BYTES
    if len(parts) != len(THUMB_SIZES_PX) or start != len(content) or not (sound and small):
        raise ValueError
    return tuple(parts)


def refusal(reason: str, shown: Path) -> InputError:
    """The line for a photo that the process could not decode.

    Parameters
    ----------
    reason : str
        What the process said.
    shown : Path
        What the user calls the photo.

    Returns
    -------
    InputError
        To be raised by the caller.

    Examples
    --------
    >>> print(refusal("too many pixels", Path("a.jpg")))
    size of photo a.jpg is over 80 megapixels; accepted: up to 80 megapixels.
    """
    if reason == NO_HEIC:
        return FileFormatError(
            _(
                "photo {path} is HEIC, and no reader for it is installed: pip install 'ringwise[photo]'."
            ).format(path=shown)
        )
    if "pixels" in reason:
        return out_of_range(
            _("size of photo {path}").format(path=shown),
            _("over {n} megapixels").format(n=MOST_PIXELS // 1_000_000),
            _("up to {n} megapixels").format(n=MOST_PIXELS // 1_000_000),
        )
    return FileFormatError(_("photo {path} does not decode ({reason}).").format(path=shown, reason=reason))
