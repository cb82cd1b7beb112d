"""The numbers of the table `measuring`: how well things are read, and when two readings are of one thing."""

from __future__ import annotations

from ringwise.kit.tables import load_table


def measuring(key: str, parameter: str) -> float:
    """A number of the table `measuring`.

    Parameters
    ----------
    key, parameter : str
        Of its row.

    Returns
    -------
    float
        Its middle value.

    Source
    ------
    own: table `measuring`, each row with its basis.

    Examples
    --------
    >>> measuring("reading", "girth_sd_mm")
    1.0
    """
    return load_table("ringwise.structure", "measuring").get(key, parameter).number
