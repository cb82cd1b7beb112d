"""The list of sources behind parameters and formulas, packaged so that "why?" works offline."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ringwise.kit.errors import ParameterError
from ringwise.kit.tables import load_rows


@dataclass(frozen=True)
class Source:
    """A work that a number or a formula came from; `read` says whether it was seen in print."""

    key: str
    read: bool
    reference: str


@lru_cache(maxsize=1)
def all_sources() -> dict[str, Source]:
    """Every source by its key.

    Returns
    -------
    dict of str to Source
        Read from `data/sources.csv`.

    Examples
    --------
    >>> all_sources()["practice"].read
    False
    """
    return {
        row["key"]: Source(row["key"], row["read"] == "yes", row["reference"])
        for row in load_rows("ringwise.kit", "sources")
    }


def source(key: str) -> Source:
    """The source with a key.

    Parameters
    ----------
    key : str
        As in the `source` column of a parameter table.

    Returns
    -------
    Source
        Its reference.

    Raises
    ------
    ParameterError
        If no such source is listed.

    Examples
    --------
    >>> source("practice").reference
    'Common practice of the trade; no print behind it'
    """
    known = all_sources()
    if key not in known:
        raise ParameterError(f'source "{key}" is not listed in kit/data/sources.csv')
    return known[key]
