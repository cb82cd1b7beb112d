"""What was asked of a turn, checked before a photo is read: files, board, soil, pot and rod."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.results import result_key
from ringwise.desk.turntable_files import known_cameras, photo_files
from ringwise.desk.turntable_reading import Source, sources_of
from ringwise.kit.errors import InputError, MissingFieldError, at_field, out_of_range
from ringwise.kit.units import parse_dimensions_mm, parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.cameras import Camera
    from ringwise.structure.photo.board import Board
    from ringwise.structure.photo.lens import Lens
    from ringwise.structure.photo.standing import PotOutline

TABLES = (("ringwise.structure", "photo"), ("ringwise.structure", "turntable"))
ROW_SQUARES = 10  # how many squares are measured with a ruler
MOST_SOIL_MM, MOST_ROD_MM = 1000.0, 30.0


@dataclass(frozen=True)
class TurntableWish:
    """What was typed for `ringwise measure turntable`; sizes as texts with their unit."""

    photos: tuple[Path, ...]
    tree: str | None = None
    cameras: Path | None = None
    square: str | None = None
    columns: int | None = None
    rows: int | None = None
    row: str | None = None
    soil: str | None = None
    pot: str | None = None
    rod: str | None = None
    backdrops: tuple[Path, ...] = ()
    by: str | None = None


@dataclass(frozen=True)
class Turn:
    """A turn as it is measured: everything that the result depends on."""

    sources: tuple[Source, ...]
    backdrops: tuple[Source, ...]
    board: Board | None
    cameras: tuple[Camera, ...]
    soil_mm: float
    pot: PotOutline | None
    pot_mm: tuple[float, float] | None
    rod_mm: float | None
    lenses: tuple[Lens, ...] = ()

    def photo_key(self, source: Source) -> str:
        """What one photo is read by: its content and how it is looked at."""
        inputs = {
            "photo": source.sha256,
            "backdrops": [each.sha256 for each in self.backdrops],
            "board": None if self.board is None else asdict(self.board),
        }
        return result_key("turntable photo", inputs, TABLES, 0)

    @property
    def key(self) -> str:
        """What the whole result is made from, photos by content; 64 hexadecimal digits."""
        from ringwise.structure.cameras import cameras_to_json

        inputs: dict[str, Any] = {
            "photos": [(each.name, self.photo_key(each)) for each in self.sources],
            "cameras": cameras_to_json(self.cameras) if self.cameras else None,
            "soil_mm": self.soil_mm,
            "pot": self.pot,
            "pot_mm": self.pot_mm,
            "rod_mm": self.rod_mm,
            "lenses": [each.to_json() for each in self.lenses],
        }
        return result_key("turntable", inputs, TABLES, 0)


def turn_of(wish: TurntableWish, facts: TreeFacts | None = None, lenses: tuple[Lens, ...] = ()) -> Turn:
    """The turn that is asked for.

    Parameters
    ----------
    wish : TurntableWish
        As typed.
    facts : TreeFacts, optional
        Of the tree; its pot is used where none is typed.
    lenses : tuple of Lens
        Stored ones.

    Returns
    -------
    Turn
        Checked; no photo was decoded.

    Raises
    ------
    InputError
        If a size does not read, a file or the soil's height is missing, or the board's measured row
        contradicts its square.
    """
    cameras: tuple[Camera, ...] = ()
    if wish.cameras is not None:
        cameras, paths = known_cameras(wish.cameras, wish.photos)
    else:
        paths = photo_files(wish.photos)
    pot, pot_mm = pot_of(wish, facts)
    soil_mm = _size("soil", wish.soil, MOST_SOIL_MM, least=-MOST_SOIL_MM)
    if soil_mm is None and not cameras:  # what stands on the board below it would be taken for wood
        with at_field("soil"):
            raise MissingFieldError(
                _("{field} is needed; measure it with a ruler.").format(field=field_words("soil"))
            )
    return Turn(
        sources=sources_of(paths),
        backdrops=sources_of(photo_files(wish.backdrops)) if wish.backdrops else (),
        board=None if cameras else board_of(wish),
        cameras=cameras,
        soil_mm=soil_mm or 0.0,
        pot=pot,
        pot_mm=pot_mm,
        rod_mm=_size("rod", wish.rod, MOST_ROD_MM),
        lenses=() if cameras else lenses,
    )


def field_words(key: str) -> str:
    """What a field of a turn is called in errors: as the form labels it and the command's help tells it.

    Parameters
    ----------
    key : str
        square, columns, rows, row, soil, pot or rod.

    Returns
    -------
    str
        The words.

    Examples
    --------
    >>> field_words("soil")
    'height of the soil above the board'
    """
    from ringwise.structure.photo.board import board_words

    return {
        **board_words(),
        "row": _("length of a row of {n} squares").format(n=ROW_SQUARES),
        "soil": _("height of the soil above the board"),
        "pot": _("outside width of the pot"),
        "rod": _("diameter of a rod in the pot"),
    }[key]


def _size(key: str, text: str | None, most_mm: float, least: float | None = None) -> float | None:
    """A length up to `most_mm`, above 0 or from `least`."""
    if text is None:
        return None
    words = field_words(key)
    with at_field(key):
        value = parse_quantity(text, "length", field=words, default_unit="mm")
        if least is None and not 0.0 < value <= most_mm:
            raise out_of_range(words, text, _("above 0 to {high:g} mm").format(high=most_mm))
        if least is not None and not least <= value <= most_mm:
            raise out_of_range(words, text, _("{low:g} to {high:g} mm").format(low=least, high=most_mm))
    return value


def count_of(key: str, text: str | None) -> int | None:
    """How many squares were typed.

    Parameters
    ----------
    key : str
        columns or rows.
    text : str or None
        As typed.

    Returns
    -------
    int or None
        None where nothing was typed.

    Raises
    ------
    RangeError
        If it is no whole number.

    Examples
    --------
    >>> count_of("rows", " 11")
    11
    """
    if text is None:
        return None
    if not text.strip().isdecimal():
        with at_field(key):
            raise out_of_range(field_words(key), f'"{text}"', _("a whole number"))
    return int(text)


def board_of(wish: TurntableWish) -> Board:
    from ringwise.structure.photo.board import checked_board, threshold
    from ringwise.structure.photo.calibrate import check_row

    row_mm = _size("row", wish.row, 2000.0)
    square_mm = _size("square", wish.square, 1000.0)
    if square_mm is None:
        square_mm = threshold("board", "square_mm") if row_mm is None else row_mm / ROW_SQUARES
    columns = int(threshold("board", "columns")) if wish.columns is None else wish.columns
    rows = int(threshold("board", "rows")) if wish.rows is None else wish.rows
    board = checked_board(columns, rows, square_mm)
    if row_mm is not None:
        check_row(board, ROW_SQUARES, row_mm)
    return board


def pot_of(
    wish: TurntableWish, facts: TreeFacts | None
) -> tuple[PotOutline | None, tuple[float, float] | None]:
    """The pot's outline on the board, and between which widths it may be measured."""
    from ringwise.structure.photo.board import threshold
    from ringwise.structure.photo.standing import PotOutline

    if wish.pot is not None:
        words = field_words("pot")
        with at_field("pot"):
            sizes = parse_dimensions_mm(wish.pot, field=words)
            if len(sizes) > 2:
                raise InputError(
                    _('{field} is "{text}"; give one width, or length x width.').format(
                        field=words, text=wish.pot
                    )
                )
        length_mm, width_mm = sizes[0], sizes[-1]
        return PotOutline(length_mm, width_mm, len(sizes) == 1), (
            length_mm,
            _across(length_mm, width_mm, len(sizes) == 1),
        )
    held = None if facts is None else facts.pot
    if held is None or held.length_mm is None or held.shape == "ground":
        return None, None
    wall = 2.0 * threshold("pot", "wall_most_mm")
    width_mm = held.width_mm or held.length_mm
    is_round = held.shape in ("round", "oval")
    outline = PotOutline(held.length_mm + wall, width_mm + wall, is_round)
    widest = _across(held.length_mm + wall, width_mm + wall, is_round)
    return outline, (held.length_mm, widest)


def _across(length_mm: float, width_mm: float, is_round: bool) -> float:
    """The widest that a pot shows: its length, or its diagonal where it has corners."""
    return length_mm if is_round else float((length_mm**2 + width_mm**2) ** 0.5)
