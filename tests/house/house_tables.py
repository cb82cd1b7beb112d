"""House rules on the data beside the code: every number has a unit, a range, a basis and a source."""

from __future__ import annotations

import csv
import io
import math
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from house_docs import source_keys
from house_source import PACKAGE, ROOT
from ringwise.kit.tables import BASES, COLUMNS, PRACTICE, RANGE_KINDS, SPREADS, TEXT_UNITS

NO_MONTHS_IN = ("operations", "phenology", "season")
PROSE = {"note", "scope", "locator", "reference"}  # columns that may quote a month of the source's own study
_MONTH = re.compile(
    r"\b(January|February|March|April|May|June|July|August|September|October|November|December"
    r"|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Nov|Dec)\b"
)


@dataclass(frozen=True)
class DataFile:
    """One CSV file of the package: its path from the project's root, its header and its rows."""

    path: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def is_parameters(self) -> bool:
        """Whether it is a parameter table (and not a matrix or a list)."""
        return self.header[:2] == ("key", "parameter")

    @property
    def room(self) -> str:
        """The room it lies in."""
        return self.path.split("/")[2]

    def records(self) -> list[dict[str, str]]:
        """Its rows by column name."""
        return [dict(zip(self.header, row, strict=False)) for row in self.rows]


def data_file(text: str, path: str = "src/ringwise/rootzone/data/planted.csv") -> DataFile:
    """A data file from its text."""
    header, *rows = [tuple(row) for row in csv.reader(io.StringIO(text))]
    return DataFile(path, header, tuple(rows))


def data_files() -> list[DataFile]:
    """Every CSV file of the package outside the demo, whose invented data claim nothing."""
    return [
        data_file(path.read_text(encoding="utf-8"), path.relative_to(ROOT).as_posix())
        for path in sorted(PACKAGE.rglob("*.csv"))
        if "demo" not in path.parts
    ]


def shape(file: DataFile) -> list[str]:
    """Each row has as many fields as the header; a parameter table has exactly the agreed columns."""
    faults = [
        f"{file.path}: row {number} has {len(row)} fields, the header {len(file.header)}"
        for number, row in enumerate(file.rows, 2)
        if len(row) != len(file.header)
    ]
    if file.is_parameters and file.header != COLUMNS:
        faults.append(f"{file.path}: columns are {','.join(file.header)}")
    return faults


def unique_rows(file: DataFile) -> list[str]:
    """No value is given twice."""
    if not file.is_parameters:
        return []
    seen = Counter((row[0], row[1]) for row in file.rows)
    return [f"{file.path}: {key}.{name} is given {n} times" for (key, name), n in seen.items() if n > 1]


def complete_rows(file: DataFile) -> list[str]:
    """Every row of a parameter table is complete and its values are among the allowed ones."""
    if not file.is_parameters:
        return []
    faults = []
    for row in file.records():
        lacks = [name for name in ("key", "parameter", "value", "unit") if not row[name].strip()]
        faults += [f"{file.path}: {row['key']}.{row['parameter']} has no {name}" for name in lacks]
        for name, allowed in _ALLOWED.items():
            if row[name] not in allowed:
                faults.append(f"{file.path}: {row['key']}.{row['parameter']} {name} is {row[name]!r}")
        faults += [f"{file.path}: {row['key']}.{row['parameter']} {fault}" for fault in _range_faults(row)]
    return faults


_ALLOWED = {
    "range_kind": RANGE_KINDS,
    "spread": SPREADS,
    "basis": BASES,
    "read": frozenset({"yes", "no"}),
}


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _range_faults(row: dict[str, str]) -> list[str]:
    if row["unit"] in TEXT_UNITS:
        return ["is text and has a range"] if row["low"] or row["high"] else []
    value, low, high = (_number(row[name]) for name in ("value", "low", "high"))
    if not math.isfinite(value):
        return [f"value {row['value']!r} is no number, but its unit is {row['unit']}"]
    if row["range_kind"] == "none":
        return ["has range_kind none and a range"] if row["low"] or row["high"] else []
    if row["range_kind"] == "printed_digits" and not row["low"] and not row["high"]:
        return []  # the printed digits are the range
    if not (low <= value <= high):
        return [f"{low} <= {value} <= {high} does not hold"]
    return []


def known_sources(file: DataFile) -> list[str]:
    """A source is listed with its reference; a table that cites is not cited without one."""
    if "source" not in file.header:
        return []
    return [
        f"{file.path}: row {number} source {row['source']!r} is not in kit/data/sources.csv"
        for number, row in enumerate(file.records(), 2)
        if row["source"] not in source_keys()
    ]


def _read_elsewhere(row: dict[str, str]) -> bool:
    return row["source"] != PRACTICE and row.get("locator", "").startswith("as in ")


def honest_reading(file: DataFile) -> list[str]:
    """A row counts as read where its source was read, or where the locator says in which other print."""
    if not {"source", "read"} <= set(file.header):
        return []
    read = {row["key"] for row in sources() if row["read"] == "yes"}
    return [
        f"{file.path}: row {number} is marked read, but source {row['source']!r} is not"
        for number, row in enumerate(file.records(), 2)
        if row["read"] == "yes" and row["source"] not in read and not _read_elsewhere(row)
    ]


def no_months(file: DataFile) -> list[str]:
    """The catalogue speaks in stages, daylength or weeks before frost: it holds in both hemispheres."""
    if file.room not in NO_MONTHS_IN:
        return []
    return [
        f"{file.path}: row {number} {column} names {found.group(0)}"
        for number, row in enumerate(file.records(), 2)
        for column, text in row.items()
        if column not in PROSE and (found := _MONTH.search(text))
    ]


def sources() -> list[dict[str, str]]:
    """The list of sources."""
    with (PACKAGE / "kit" / "data" / "sources.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def source_faults(rows: Iterable[dict[str, str]]) -> list[str]:
    """Source keys are unique and written alike; each has a reference and says whether it was read."""
    listed = list(rows)
    seen = Counter(row["key"] for row in listed)
    faults = [f"source {key} is listed {n} times" for key, n in seen.items() if n > 1]
    for row in listed:
        if not re.fullmatch(r"[a-z][a-z0-9_]*", row["key"]):
            faults.append(f"source key {row['key']!r} is not lower case, digits and underscores")
        if row["read"] not in {"yes", "no"} or not row["reference"].strip() or None in row:
            faults.append(f"source {row['key']} is incomplete")
    return faults


def recalled(files: Iterable[DataFile]) -> dict[str, int]:
    """How many rows were not read in print, by file; rules of the trade, which have no print, apart."""
    counts: Counter[str] = Counter()
    for file in files:
        if "read" not in file.header or file.room == "kit":
            continue
        for row in file.records():
            if row["read"] != "yes":
                practice = row.get("basis") == "practice" or row.get("source") == PRACTICE
                counts["practice" if practice else "recalled"] += 1
    return dict(counts)


def recorded_counts(path: Path) -> dict[str, int]:
    """The numbers written down in recalled.txt."""
    lines = [line.split("#")[0].split() for line in path.read_text(encoding="utf-8").splitlines()]
    return {line[0]: int(line[1]) for line in lines if line}
