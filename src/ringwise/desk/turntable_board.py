"""Wishes about the board and the lens: a board to print, a lens from photos of the loose board."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.shapes import Shape
from ringwise.desk.turntable_files import photo_files, store_lens
from ringwise.desk.turntable_reading import read_photo, sources_of
from ringwise.desk.turntable_wish import TurntableWish, board_of, pot_of
from ringwise.kit import show
from ringwise.kit.errors import NotReadyError
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.structure.photo.lens import LensFit
    from ringwise.structure.photo.refusal import Refused
    from ringwise.structure.photo.sight import Sight
    from ringwise.structure.photo.tiling import Tiling

Progress = Callable[[float, str], None]


@dataclass(frozen=True)
class BoardWish:
    """What was typed for `ringwise measure board`."""

    square: str | None = None
    columns: int | None = None
    rows: int | None = None
    paper: str = "a4"
    pot: str | None = None


@dataclass(frozen=True)
class BoardAnswer:
    """What is printed where, the documented keys, and the lines for the terminal."""

    tiles: Tiling
    pot: tuple[float, float, bool] | None
    data: dict[str, Any]
    lines: tuple[str, ...]


def board_answer(wish: BoardWish) -> BoardAnswer:
    """A board on its sheets.

    Parameters
    ----------
    wish : BoardWish
        As typed.

    Returns
    -------
    BoardAnswer
        Ready to be printed.

    Raises
    ------
    InputError
        If a size does not read or lies outside its range.
    """
    from ringwise.structure.photo.tiling import tiling

    asked = TurntableWish((), square=wish.square, columns=wish.columns, rows=wish.rows, pot=wish.pot)
    board = board_of(asked)
    tiles = tiling(board, wish.paper)
    outline, _known = pot_of(asked, None)
    pot = None if outline is None else (outline.length_mm, outline.width_mm, outline.round)
    size = show.dimensions((board.width_mm, board.depth_mm))
    told = [
        _("board of {columns} x {rows} squares of {side:g} mm: {size}, on {sheets} of {paper}").format(
            columns=board.columns,
            rows=board.rows,
            side=board.square_mm,
            size=size,
            sheets=counted("{n} sheet", "{n} sheets", len(tiles.sheets)),
            paper=wish.paper,
        ),
        _("print at 100 %, measure the ruler line, and glue it flat; it must be larger than the pot"),
    ]
    if len(tiles.sheets) > 1:
        told.append(
            _(
                "cut the white edge off the left and the back of each further sheet, and lay it over the "
                "strip of its neighbour, up to the marks"
            )
        )
    if outline is not None and (outline.length_mm >= board.width_mm or outline.width_mm >= board.depth_mm):
        told.append(_("this board is not larger than the pot: take more squares, or larger ones"))
    data = {
        "columns": board.columns,
        "rows": board.rows,
        "square_mm": board.square_mm,
        "width_mm": board.width_mm,
        "depth_mm": board.depth_mm,
        "paper": wish.paper,
        "sheets": len(tiles.sheets),
        "lines": told,
    }
    return BoardAnswer(tiles, pot, data, tuple(told))


@dataclass(frozen=True)
class LensWish:
    """What was typed for `ringwise measure lens`."""

    photos: tuple[Path, ...]
    square: str | None = None
    columns: int | None = None
    rows: int | None = None
    row: str | None = None


def lens_answer(folder: Path, wish: LensWish, *, progress: Progress | None = None) -> Shape:
    """Calibrate a lens and keep it for the collection.

    Parameters
    ----------
    folder : Path
        Of the collection.
    wish : LensWish
        As typed.
    progress : callable, optional
        Told the share done, and of what.

    Returns
    -------
    dict
        The lens, photos used, misfit, refused photos and lines.

    Raises
    ------
    NotReadyError
        If the photos do not determine the lens; nothing is stored then.
    """
    from ringwise.structure.photo.lens import calibrate_lens

    asked = TurntableWish((), square=wish.square, columns=wish.columns, rows=wish.rows, row=wish.row)
    board = board_of(asked)
    sources = sources_of(photo_files(wish.photos))
    sights: list[Sight] = []
    refused: list[Refused] = []
    for number, source in enumerate(sources, start=1):
        seen = read_photo(source, board, ())
        if seen.refused is not None:
            refused.append(seen.refused)
        elif seen.sight is not None:
            sights.append(seen.sight)
        if progress is not None:
            progress(number / len(sources), _("reading {photo}").format(photo=source.name))
    sound, judged = _judged(sights)
    refused += judged
    try:
        found = calibrate_lens(sound, board, refused)
    except NotReadyError as wrong:
        from ringwise.structure.photo.calibrate import refused_words

        raise NotReadyError(wrong.message + refused_words(refused)) from None
    store_lens(folder, found.lens)
    told = [*_lens_lines(found), *(_("left out: {photo}").format(photo=each.line) for each in refused)]
    return {
        "lens": found.lens.to_json(),
        "photos": found.photos,
        "rms_px": found.rms_px,
        "spread_frac": found.spread_frac,
        "refused": [asdict(each) for each in refused],
        "lines": told,
    }


def _lens_lines(found: LensFit) -> list[str]:
    lens = found.lens
    camera = " ".join(part for part in (lens.make, lens.model) if part) or _("a camera that gives no name")
    told = [
        _("lens of {camera}: focal length {f:.0f} px, middle {x:.1f}, {y:.1f} px, bend {k1:.4f}").format(
            camera=camera, f=lens.f_px, x=lens.cx_px, y=lens.cy_px, k1=lens.k1
        ),
        _("{n} photos used, corners fit within {rms:.2f} px; kept for this collection").format(
            n=found.photos, rms=found.rms_px
        ),
    ]
    if not lens.model:
        told.append(
            _("the photos do not say which camera took them, so this lens is not found again for others")
        )
    return told


def _judged(sights: list[Sight]) -> tuple[list[Sight], list[Refused]]:
    from ringwise.structure.photo.refusal import (
        refused_as_double,
        refused_as_soft,
        refused_by_blur,
        refused_by_board,
        refused_by_camera,
        refused_by_light,
    )

    refused: list[Refused] = []
    sound = sights
    for judge in (
        lambda some: [each for each in map(refused_by_light, some) if each],
        lambda some: refused_by_camera([sight.shot for sight in some]),
        refused_as_soft,
        lambda some: [each for each in map(refused_by_board, some) if each],
        refused_by_blur,
        refused_as_double,
    ):
        found = judge(sound)
        refused += found
        names = {each.name for each in found}
        sound = [sight for sight in sound if sight.shot.name not in names]
    return sound, refused
