"""Parameter tables: CSV files beside the room that uses them, one row a value, each with its provenance.

Columns: key, parameter, value, unit, low, high, range_kind, spread, basis, source, locator, read, scope,
note.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources

from ringwise.kit.errors import ParameterError, unknown_name

COLUMNS = (
    "key",
    "parameter",
    "value",
    "unit",
    "low",
    "high",
    "range_kind",
    "spread",
    "basis",
    "source",
    "locator",
    "read",
    "scope",
    "note",
)
BASES = frozenset({"measured", "fitted", "transferred", "practice", "assumed"})
RANGE_KINDS = frozenset({"sd", "ci90", "minmax", "printed_digits", "judged", "none"})
SPREADS = frozenset({"normal", "lognormal", "triangular", "beta", "fixed"})
TEXT_UNITS = frozenset({"text", "list", "yesno", "code"})
PRACTICE = "practice"  # the source of a trade rule: common practice, no print behind it


@dataclass(frozen=True)
class Parameter:
    """One value with its unit, range and provenance; `number` is NaN-free or the row holds text."""

    key: str
    parameter: str
    value: str
    unit: str
    low: float | None
    high: float | None
    range_kind: str
    spread: str
    basis: str
    source: str
    locator: str
    read: bool
    scope: str
    note: str
    table: str

    @property
    def number(self) -> float:
        """The value as a number, in `unit`."""
        if self.unit in TEXT_UNITS:
            raise ParameterError(f"{self.table}: {self.key}.{self.parameter} is text, not a number")
        return float(self.value)

    @property
    def items(self) -> tuple[str, ...]:
        """A list value ("D|V|C") as its parts."""
        return tuple(part for part in self.value.split("|") if part)

    @property
    def is_wide(self) -> bool:
        """Whether the basis asks for a widened spread and a mark on screen."""
        return self.basis in {"transferred", "practice", "assumed"}


class Table:
    """One parameter file, looked up by key and parameter."""

    def __init__(self, name: str, rows: tuple[Parameter, ...], fingerprint: str) -> None:
        self.name = name
        self.rows = rows
        self.fingerprint = fingerprint
        self._index = {(row.key, row.parameter): row for row in rows}
        self._keys = tuple(dict.fromkeys(row.key for row in rows))

    def __iter__(self) -> Iterator[Parameter]:
        return iter(self.rows)

    def keys(self) -> tuple[str, ...]:
        """All keys, in file order, each once."""
        return self._keys

    def has(self, key: str, parameter: str) -> bool:
        """Whether the file holds the row."""
        return (key, parameter) in self._index

    def get(self, key: str, parameter: str) -> Parameter:
        """The row, or an error that offers near keys."""
        row = self._index.get((key, parameter))
        if row is None:
            if key not in self.keys():
                raise unknown_name(f"{self.name} key", key, self.keys())
            raise ParameterError(f"{self.name} has no {parameter} for {key}")
        return row

    def first(self, keys: tuple[str, ...], parameter: str) -> Parameter:
        """The row of the first key that has it: species, then genus, then group, then "any"."""
        for key in keys:
            if (key, parameter) in self._index:
                return self._index[(key, parameter)]
        raise ParameterError(f"{self.name} has no {parameter} for any of {', '.join(keys)}")

    def of(self, key: str) -> dict[str, Parameter]:
        """All rows of a key, by parameter."""
        return {row.parameter: row for row in self.rows if row.key == key}


def _optional(text: str) -> float | None:
    return float(text) if text.strip() else None


def _row(raw: dict[str, str], table: str) -> Parameter:
    try:
        return Parameter(
            key=raw["key"],
            parameter=raw["parameter"],
            value=raw["value"],
            unit=raw["unit"],
            low=_optional(raw["low"]),
            high=_optional(raw["high"]),
            range_kind=raw["range_kind"],
            spread=raw["spread"],
            basis=raw["basis"],
            source=raw["source"],
            locator=raw["locator"],
            read=raw["read"] == "yes",
            scope=raw["scope"],
            note=raw["note"],
            table=table,
        )
    except (AttributeError, KeyError, ValueError) as wrong:  # a short row has None in its last columns
        raise ParameterError(
            f"{table}: row {raw.get('key')}.{raw.get('parameter')} does not read: {wrong}"
        ) from wrong


@cache
def load_table(package: str, name: str) -> Table:
    """The parameter table `name`.csv in the `data` folder of a room.

    Parameters
    ----------
    package : str
        The room, such as "ringwise.phenology".
    name : str
        File name without ending.

    Returns
    -------
    Table
        Cached; its `fingerprint` is the SHA-256 of the file.

    Raises
    ------
    ParameterError
        If the file is missing or a row does not read.

    Examples
    --------
    >>> load_table("ringwise.kit", "sources_check").name
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.ParameterError: there is no parameter table ringwise.kit/sources_check
    """
    file = resources.files(package) / "data" / f"{name}.csv"
    if not file.is_file():
        raise ParameterError(f"there is no parameter table {package}/{name}")
    text = file.read_text(encoding="utf-8")
    rows = tuple(_row(raw, name) for raw in csv.DictReader(text.splitlines()))
    return Table(name, rows, hashlib.sha256(text.encode()).hexdigest())


def load_rows(package: str, name: str) -> list[dict[str, str]]:
    """The rows of a plain data file (a matrix, a list of steps) in a room's `data` folder.

    Parameters
    ----------
    package : str
        The room, such as "ringwise.operations".
    name : str
        File name without ending.

    Returns
    -------
    list of dict
        One dictionary a row, by column name.

    Raises
    ------
    ParameterError
        If the file is missing.

    Examples
    --------
    >>> load_rows("ringwise.kit", "sources")[0]["key"]
    'practice'
    """
    file = resources.files(package) / "data" / f"{name}.csv"
    if not file.is_file():
        raise ParameterError(f"there is no data file {package}/{name}")
    return list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
