"""Rows of a table in text, and how the place of a fault in it is named."""

from __future__ import annotations

import csv
from collections.abc import Iterator

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _


def rows_of_text(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """The rows of a table that are not blank, with the line each ends on.

    Parameters
    ----------
    text : str
        Cells split by comma, semicolon or tab.
    file : str
        Its name, for error lines.

    Yields
    ------
    tuple of int and list of str
        Line and cells without blanks around them.

    Raises
    ------
    FileFormatError
        If it is no text or no table.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> list(rows_of_text("a;b\\n\\n1;2\\n", "a.csv"))
    [(1, ['a', 'b']), (3, ['1', '2'])]
    """
    text = text.removeprefix("\ufeff")
    if "\x00" in text:
        raise FileFormatError(_("this is no text file. Export the weather as CSV in UTF-8."), where=file)
    head = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(text.splitlines(), delimiter=delimiter)
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield reader.line_num, [cell.strip() for cell in row]
    except csv.Error as wrong:
        raise FileFormatError(
            _("the row does not read as CSV: {wrong}. Export the file again.").format(wrong=wrong),
            where=place_in(file, reader.line_num),
        ) from None


def place_in(file: str, line: int, column: str = "") -> str:
    """Where an error stands: file, row and column.

    Parameters
    ----------
    file : str
        Its name.
    line : int
        The row, counted from 1.
    column : str
        As the file calls it; empty where the row is meant.

    Returns
    -------
    str
        As shown.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> place_in("a.csv", 3, "low")
    'a.csv, row 3, column low'
    """
    place = _("{file}, row {row}").format(file=file, row=line)
    return _("{place}, column {column}").format(place=place, column=column) if column else place
