"""Where a number comes from: the chain from a shown value to the row of a table and its source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ringwise.kit.tables import Parameter


@dataclass(frozen=True)
class Trace:
    """One link: what it is, its value, the room and formula that made it, and the links it stands on.

    `label` is in the user's words ("opens, median"), `value` is already formatted with its unit,
    `room` is the module ("phenology.forcing"), `formula` an equation or rule by name,
    `source` a key of the source list, `basis` how well it is known.
    """

    label: str
    value: str
    room: str = ""
    formula: str = ""
    source: str = ""
    basis: str = ""
    inputs: tuple[Trace, ...] = ()

    def walk(self, depth: int = 0) -> Iterator[tuple[int, Trace]]:
        """This link and all below it, with their depth, in reading order."""
        yield depth, self
        for below in self.inputs:
            yield from below.walk(depth + 1)


def trace_parameter(row: Parameter, label: str = "") -> Trace:
    """The last link of a chain: a row of a parameter table.

    Parameters
    ----------
    row : Parameter
        The row.
    label : str
        What it is in the user's words; by default its parameter name.

    Returns
    -------
    Trace
        With table, basis and source.

    Examples
    --------
    >>> row = Parameter("larix_decidua", "a", "1372", "degC_days", None, None, "none", "fixed", "fitted",
    ...                 "menzel1997", "table", True, "", "", "forcing")
    >>> trace_parameter(row).value
    '1372 degC_days'
    """
    unit = "" if row.unit in {"text", "list", "yesno", "code"} else f" {row.unit}"
    where = f"row {row.key}.{row.parameter} of {row.table}" + (f", {row.locator}" if row.locator else "")
    return Trace(label or row.parameter, f"{row.value}{unit}", where, "", row.source, row.basis)
