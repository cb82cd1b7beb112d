"""Fields of a text that another program may have saved anew: other separators, decimal commas."""

from __future__ import annotations

import csv
import re

_DECIMAL_COMMA = re.compile(r"\s*[-+]?\d*,\d+([eE][-+]?\d+)?\s*")


def rows_of(text: str) -> list[list[str]]:
    """Rows of fields, lines without any left out.

    Parameters
    ----------
    text : str
        Parted by comma, semicolon or tab, whichever the first line without # has most of; by blanks where
        it has none. Where commas do not part, they may stand before decimals.

    Returns
    -------
    list of list of str
        Decimal commas as points.

    Source
    ------
    own; CSV as RFC 4180 has it.

    Examples
    --------
    >>> rows_of("#made;today\\na;b\\n;\\n0,5;x\\n")
    [['#made', 'today'], ['a', 'b'], ['0.5', 'x']]
    """
    lines = text.removeprefix("\ufeff").splitlines(keepends=True)
    first = next((line for line in lines if line.strip() and not line.lstrip('"').startswith("#")), "")
    mark = max(",;\t", key=first.count)
    if mark not in first:
        rows = [line.split() for line in lines]
    else:
        rows = list(csv.reader(lines, delimiter=mark))
        if mark != ",":
            rows = [[_with_point(cell) for cell in row] for row in rows]
    return [row for row in rows if any(cell.strip() for cell in row)]


def _with_point(cell: str) -> str:
    return cell.replace(",", ".") if _DECIMAL_COMMA.fullmatch(cell) else cell
