"""The thresholds of the reconstruction, read from their table."""

from __future__ import annotations

from ringwise.kit.tables import load_table


def limit_of(key: str, parameter: str) -> float:
    """One threshold.

    Parameters
    ----------
    key, parameter : str
        Row of `data/turntable.csv`.

    Returns
    -------
    float
        Its value, in the unit of the row.

    Source
    ------
    own: the rows name theirs.

    Examples
    --------
    >>> limit_of("view", "speck_px")
    12.0
    """
    return load_table("ringwise.structure", "turntable").get(key, parameter).number
