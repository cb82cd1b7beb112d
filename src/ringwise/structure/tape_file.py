"""A tape as one CSV file: a row a measurement, its first column saying what was measured.

Columns (in any order; those that are not used may be left out):
`what` height, girth, branch, apex, lean or root; `height` above the soil; `girth`; `clock` 0 to 12;
`diameter`; `length`; `tips`; `angle` to the upright. Lengths carry their unit (14cm, 3/4 in), or the
column does: `height_cm`, `diameter_mm`, `length_in`. Parted by comma, semicolon or tab.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.structure.tape import SECTORS, Tape, TapeBranch, TapeGirth, within

COLUMNS = ("what", "height", "girth", "clock", "diameter", "length", "tips", "angle")
LENGTHS = ("height", "girth", "diameter", "length")
UNITS = ("mm", "cm", "in")
ROWS = ("height", "girth", "branch", "apex", "lean", "root")
MOST_ROWS = 5_000


@dataclass(frozen=True)
class _Cell:
    """A field of one row: its text, where it stands, and the unit that its column gives a bare number."""

    text: str
    where: str
    unit: str | None

    def length_mm(self, name: str) -> float:
        if self.unit is None and not any(letter.isalpha() or letter in "\"'″′" for letter in self.text):
            raise FileFormatError(
                _(
                    'length "{text}" has no unit; write 14cm, or name the column {name}_mm or {name}_cm'
                ).format(text=self.text, name=name),
                where=self.where,
            )
        return parse_quantity(self.text, "length", field=name, default_unit=self.unit)


def read_tape_csv(text: str, *, file: str) -> Tape:
    """A tape from the text of a CSV file.

    Parameters
    ----------
    text : str
        With a header; see the module's text.
    file : str
        Its name, for errors.

    Returns
    -------
    Tape
        Checked.

    Raises
    ------
    FileFormatError, RangeError, MissingFieldError
        Each names line, column and the accepted range.

    Source
    ------
    own layout; CSV as RFC 4180 has it.

    Examples
    --------
    >>> text = "what,height,girth\\nheight,52cm,\\ngirth,2cm,289mm\\n"
    >>> read_tape_csv(text, file="t.csv").girths[0].girth_mm
    289.0
    """
    rows = _rows(text, file)
    found = _Found(file)
    height = [cells for what, cells, _line in rows if what == "height"]
    if len(height) != 1:
        raise MissingFieldError(
            _("needs one row height with the height of the tree; it has {n}").format(n=len(height)),
            where=file,
        )
    found.height_mm = found.value(height[0], "height", "height")
    for what, cells, _line in rows:
        found.take(what, cells)
    if not found.girths:
        raise MissingFieldError(_("a tape needs at least one girth of the trunk"), where=file)
    return found.tape()


class _Found:
    """What was read so far; every value is checked where it stands."""

    def __init__(self, file: str) -> None:
        self.file, self.height_mm = file, 0.0
        self.girths: list[TapeGirth] = []
        self.branches: list[TapeBranch] = []
        self.apex_tips: int | None = None
        self.lean = (0.0, 6.0)
        self.sectors: set[int] = set()

    def value(self, cells: Mapping[str, _Cell], column: str, what: str) -> float:
        """A needed value."""
        found = self.maybe(cells, column, what)
        if found is None:
            anywhere = next(iter(cells.values()))
            raise MissingFieldError(
                _("{column} is empty").format(column=column), where=anywhere.where.rpartition(", ")[0]
            )
        return found

    def maybe(self, cells: Mapping[str, _Cell], column: str, what: str) -> float | None:
        """A value, or None where its field is empty or its column is not there."""
        cell = cells.get(column)
        if cell is None or not cell.text:
            return None
        with_unit = column in LENGTHS
        try:
            if with_unit:
                value = cell.length_mm(column)
            else:
                kind = "angle" if column == "angle" else "fraction"
                value = parse_quantity(cell.text, kind, field=column)
            within(column, what, value, self.height_mm or 30_000.0)
        except InputError as wrong:
            if wrong.where:
                raise
            raise type(wrong)(wrong.message, where=cell.where) from None
        return value

    def take(self, what: str, cells: Mapping[str, _Cell]) -> None:
        """Add one row."""
        takers: dict[str, Callable[[Mapping[str, _Cell]], None]] = {
            "girth": self._girth,
            "branch": self._branch,
            "apex": self._apex,
            "lean": self._lean,
            "root": self._root,
        }
        if what in takers:
            takers[what](cells)

    def _girth(self, cells: Mapping[str, _Cell]) -> None:
        at_mm = self.value(cells, "height", "girth_at")
        if any(each.at_mm == at_mm for each in self.girths):
            raise out_of_range(
                f"{cells['height'].where}: " + _("height of a girth"),
                f"{at_mm:g} mm",
                _("one girth a height"),
            )
        self.girths.append(TapeGirth(at_mm, self.value(cells, "girth", "girth")))

    def _branch(self, cells: Mapping[str, _Cell]) -> None:
        tips = self.maybe(cells, "tips", "tips")
        self.branches.append(
            TapeBranch(
                self.value(cells, "height", "branch_height"),
                self.maybe(cells, "clock", "clock"),
                self.maybe(cells, "diameter", "diameter"),
                self.maybe(cells, "length", "length"),
                None if tips is None else round(tips),
                self.maybe(cells, "angle", "angle"),
            )
        )

    def _apex(self, cells: Mapping[str, _Cell]) -> None:
        self.apex_tips = round(self.value(cells, "tips", "apex_tips"))

    def _lean(self, cells: Mapping[str, _Cell]) -> None:
        clock = self.maybe(cells, "clock", "clock")
        self.lean = (self.value(cells, "length", "lean"), 6.0 if clock is None else clock)

    def _root(self, cells: Mapping[str, _Cell]) -> None:
        self.sectors.add(round(self.value(cells, "clock", "clock")) % SECTORS or SECTORS)

    def tape(self) -> Tape:
        """All of it as a tape."""
        sectors = tuple(hour in self.sectors for hour in range(1, SECTORS + 1)) if self.sectors else None
        return Tape(
            self.height_mm,
            tuple(sorted(self.girths, key=lambda each: each.at_mm)),
            tuple(self.branches),
            self.apex_tips,
            self.lean[0],
            self.lean[1],
            sectors,
        )


def _rows(text: str, file: str) -> list[tuple[str, dict[str, _Cell], int]]:
    text = text.removeprefix("\ufeff")
    header, _mark, _rest = text.partition("\n")
    delimiter = max(";\t,", key=header.count)
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter)
    try:
        lines = [(reader.line_num, row) for row in reader if any(each.strip() for each in row)]
    except csv.Error as wrong:
        raise FileFormatError(_("does not read as CSV: {why}").format(why=wrong), where=file) from None
    if len(lines) < 2 or len(lines) > MOST_ROWS:
        raise FileFormatError(_("holds no tape: a header and at least two rows are needed"), where=file)
    columns = _header(lines[0][1], file)
    return [_row(number, row, columns, file) for number, row in lines[1:]]


def _header(names: list[str], file: str) -> list[tuple[str, str | None]]:
    columns: list[tuple[str, str | None]] = []
    for name in names:
        plain = name.strip().lower()
        stem, _mark, unit = plain.rpartition("_")
        if stem in LENGTHS and unit in UNITS:
            columns.append((stem, unit))
        elif plain in COLUMNS:
            columns.append((plain, None))
        else:
            wrong = unknown_name(_("column"), name.strip(), COLUMNS)
            raise FileFormatError(wrong.message, where=_("{file}, line 1").format(file=file))
    if "what" not in [name for name, _unit in columns]:
        raise FileFormatError(
            _("has no column what; the header is {header}").format(header=",".join(COLUMNS)), where=file
        )
    return columns


def _row(
    number: int, row: list[str], columns: list[tuple[str, str | None]], file: str
) -> tuple[str, dict[str, _Cell], int]:
    line = _("{file}, line {line}").format(file=file, line=number)
    if len(row) > len(columns):
        raise FileFormatError(
            _("has {n} fields; the header has {m}").format(n=len(row), m=len(columns)), where=line
        )
    cells = {
        name: _Cell(text.strip(), _("{line}, column {column}").format(line=line, column=name), unit)
        for (name, unit), text in zip(columns, row, strict=False)
    }
    what = cells["what"].text.lower() if "what" in cells else ""
    if what not in ROWS:
        wrong: Any = unknown_name(_("what"), what, ROWS)
        raise FileFormatError(wrong.message, where=line)
    return what, cells, number
