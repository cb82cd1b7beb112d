"""One photo of a turn: its board, its light, where there is wood; kept so that it is read only once."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import InputError
from ringwise.records.pictures import Pixels, file_sha256, read_pixels

if TYPE_CHECKING:
    from ringwise.structure.photo.board import Board
    from ringwise.structure.photo.prepare import Coverage
    from ringwise.structure.photo.refusal import Refused
    from ringwise.structure.photo.sight import Shot, Sight

_FULL = 255  # coverage is kept in steps of 1/255, also in a run that is not interrupted: the same in both
_TOLD = ("polarity", "backdrop", "contrast_frac", "uneven_frac", "touches")  # what else coverage tells


@dataclass(frozen=True)
class Source:
    """A photo file by its name for people and its content."""

    path: Path
    name: str
    sha256: str


@dataclass(frozen=True)
class KeptCoverage:
    """The coverage of a photo in whole steps, a byte a pixel: those of all photos are held at once."""

    steps: NDArray[np.uint8]
    polarity: str
    backdrop: str
    contrast_frac: float
    uneven_frac: float
    touches: tuple[str, ...]


@dataclass(frozen=True)
class SeenPhoto:
    """What one photo says: why it does not read, or what was found on it."""

    source: Source
    unread: str = ""
    sight: Sight | None = None
    coverage: KeptCoverage | None = None

    @property
    def refused(self) -> Refused | None:
        """Where the file itself cannot be used."""
        from ringwise.kit.words import _
        from ringwise.structure.photo.refusal import Refused

        if not self.unread:
            return None
        return Refused(self.source.name, self.unread, _("Copy it again from the camera, or take it again."))


def sources_of(paths: Sequence[Path]) -> tuple[Source, ...]:
    """Photo files with their hashes; names are told apart by their folders where two are alike.

    Parameters
    ----------
    paths : sequence of Path
        Files.

    Returns
    -------
    tuple of Source
        In their order.
    """
    names = [path.name for path in paths]
    return tuple(
        Source(path, path.name if names.count(path.name) == 1 else str(path), file_sha256(path))
        for path in paths
    )


def read_photo(source: Source, board: Board | None, backdrops: Sequence[Pixels]) -> SeenPhoto:
    """Read a photo and look at it; one that does not read is told, not raised.

    Parameters
    ----------
    source : Source
        The file.
    board : Board or None
        The board that lies in it; None where the cameras are known.
    backdrops : sequence of Pixels
        The same scene without the tree; the one that fits best is used.

    Returns
    -------
    SeenPhoto
        With coverage in whole steps.
    """
    from ringwise.structure.photo.board import threshold
    from ringwise.structure.photo.looking import opencv
    from ringwise.structure.photo.sight import light_only, look

    opencv()
    longest_px = int(threshold("picture", "longest_px"))
    try:
        pixels = read_pixels(source.path, longest_px=longest_px, shown=Path(source.name))
    except InputError as wrong:
        return SeenPhoto(source, unread=wrong.message.rstrip("."))
    shot = _shot(source.name, pixels)
    grey = grey_of(pixels.values)
    sight = light_only(grey, shot) if board is None else look(grey, shot, board)
    return SeenPhoto(source, sight=sight, coverage=_coverage(pixels, backdrops))


def _shot(name: str, pixels: Pixels) -> Shot:
    from ringwise.structure.photo.sight import Shot

    high, wide = pixels.values.shape[:2]
    return Shot(
        name=name,
        width_px=wide,
        height_px=high,
        make=pixels.make,
        model=pixels.model,
        focal_mm=pixels.focal_mm,
        focal_35_mm=pixels.focal_35_mm,
        zoom_factor=pixels.zoom_factor,
        orientation=pixels.orientation,
        cut=pixels.cut,
        times=pixels.times,
        whole_width_px=pixels.whole_px[0],
        whole_height_px=pixels.whole_px[1],
    )


def grey_of(values: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Grey of a picture in colour.

    Parameters
    ----------
    values : ndarray (h, w, 3) uint8
        Red, green, blue.

    Returns
    -------
    ndarray (h, w) uint8
        Grey.
    """
    from ringwise.structure.photo.looking import opencv

    cv2 = opencv()
    return np.asarray(cv2.cvtColor(values, cv2.COLOR_RGB2GRAY), dtype=np.uint8)


def _coverage(pixels: Pixels, backdrops: Sequence[Pixels]) -> KeptCoverage:
    from ringwise.structure.photo.prepare import coverage_of

    fitting = [each.values for each in backdrops if each.values.shape == pixels.values.shape]
    camera = bool(pixels.make or pixels.model)  # a file of a camera holds tones, a drawn one shares
    made = [coverage_of(pixels.values, each, linear=camera) for each in fitting or (None,)]
    best = min(made, key=lambda each: each.uneven_frac)
    steps = np.rint(best.values * _FULL).astype(np.uint8)
    return KeptCoverage(steps, **{key: getattr(best, key) for key in _TOLD})


def shares_of(kept: KeptCoverage) -> Coverage:
    """The coverage as shares from 0 to 1, as it is measured on.

    Parameters
    ----------
    kept : KeptCoverage
        In whole steps.

    Returns
    -------
    Coverage
        In shares.
    """
    from ringwise.structure.photo.prepare import Coverage

    values = kept.steps.astype(np.float32) / np.float32(_FULL)
    return Coverage(values, **{key: getattr(kept, key) for key in _TOLD})


def packed(seen: SeenPhoto) -> bytes:
    """A photo that was read, as bytes.

    Parameters
    ----------
    seen : SeenPhoto
        Any.

    Returns
    -------
    bytes
        As `unpacked` reads them.
    """
    box = io.BytesIO()
    plain: dict[str, Any] = {"unread": seen.unread}
    arrays: dict[str, NDArray[Any]] = {}
    if seen.sight is not None and seen.coverage is not None:
        sight, coverage = seen.sight, seen.coverage
        plain["shot"] = asdict(sight.shot)
        plain["sight"] = {
            key: getattr(sight, key)
            for key in ("markers", "layout_frac", "edge_px", "black_frac", "blown_frac", "sharp_index")
        }
        plain["coverage"] = {key: getattr(coverage, key) for key in _TOLD}
        arrays = {"ids": sight.ids, "corners_px": sight.corners_px, "values": coverage.steps}
    np.savez_compressed(box, allow_pickle=False, text=np.array(json.dumps(plain)), **arrays)
    return box.getvalue()


def unpacked(source: Source, payload: bytes) -> SeenPhoto:
    """A photo that was read before.

    Parameters
    ----------
    source : Source
        Its file.
    payload : bytes
        Of `packed`.

    Returns
    -------
    SeenPhoto
        The same as when it was read.
    """
    from ringwise.structure.photo.sight import Shot, Sight

    with np.load(io.BytesIO(payload), allow_pickle=False) as box:
        plain = json.loads(str(box["text"]))
        if "shot" not in plain:
            return SeenPhoto(source, unread=plain["unread"])
        sight = Sight(
            shot=Shot(**plain["shot"]), ids=box["ids"], corners_px=box["corners_px"], **plain["sight"]
        )
        told = plain["coverage"]
        coverage = KeptCoverage(steps=box["values"], **(told | {"touches": tuple(told["touches"])}))
    return SeenPhoto(source, sight=sight, coverage=coverage)
