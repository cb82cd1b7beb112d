"""Stem diameter against age in open ground, from published growth equations."""

from __future__ import annotations

import math

from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import Table, load_table
from ringwise.kit.words import _
from ringwise.records.taxa import all_taxa

ROWS = "field_growth"


def _table() -> Table:
    return load_table("ringwise.growth", ROWS)


def field_keys() -> tuple[str, ...]:
    """Keys of the equations: taxon and region, such as "zelkova_serrata:NoEast".

    Returns
    -------
    tuple of str
        In file order; the row that only checks the form is left out.

    Source
    ------
    mcpherson2016.

    Examples
    --------
    >>> "zelkova_serrata:NoEast" in field_keys()
    True
    """
    return tuple(key for key in dict.fromkeys(row.key for row in _table()) if not key.startswith("any:"))


def equation_words(key: str) -> str:
    """Whose equation it is: the taxon and the region of the trees behind it.

    Parameters
    ----------
    key : str
        An equation of `field_keys`.

    Returns
    -------
    str
        In the reader's language; the key's own part where there is no name for it.

    Source
    ------
    practice: names of the regions of mcpherson2016, as remembered.

    Examples
    --------
    >>> equation_words("acer_palmatum:NoCalC")
    'Acer palmatum, coast of northern California'
    """
    taxon, _between, region = key.partition(":")
    known = all_taxa().get(taxon)
    name = taxon.replace("_", " ").capitalize() if known is None else known.botanical_name
    return _("{taxon}, {region}").format(taxon=name, region=_regions().get(region, region))


def _regions() -> dict[str, str]:
    return {
        "InlVal": _("inland valleys of California"),
        "LoMidW": _("lower Midwest of the USA"),
        "MidWst": _("Midwest of the USA"),
        "NoCalC": _("coast of northern California"),
        "NoEast": _("Northeast of the USA"),
        "PacfNW": _("Pacific Northwest of the USA"),
        "SacVal": _("Sacramento Valley, California"),
        "SWDsrt": _("southwestern deserts of the USA"),
    }


def field_diameter_mm(key: str, age_years: float) -> float:
    """Stem diameter at breast height of a tree in open ground.

    Parameters
    ----------
    key : str
        An equation of `field_keys`.
    age_years : float
        Years since planting at about 2.5 cm.

    Returns
    -------
    float
        Diameter in mm.

    Raises
    ------
    RangeError
        If the age is negative.
    UnknownNameError
        If there is no such equation.

    Source
    ------
    mcpherson2016: polynomials in age, coefficients in cm.

    Examples
    --------
    >>> round(field_diameter_mm("zelkova_serrata:NoEast", 10.0), 1)
    154.2
    """
    if age_years < 0:
        raise out_of_range("age", f"{age_years} years", "0 years or more")
    table = _table()
    table.get(key, "c0")
    total_cm = 0.0
    for power in range(4):
        if table.has(key, f"c{power}"):
            total_cm += table.get(key, f"c{power}").number * age_years**power
    return total_cm * 10.0


def loglog_diameter_cm(age_years: float, *, a_ratio: float, b_ratio: float, mse_ratio: float) -> float:
    """Stem diameter by the log-log form of the growth equations.

    Parameters
    ----------
    age_years : float
        Years since planting, above 0.
    a_ratio, b_ratio, mse_ratio : float
        Coefficients and mean squared error of the fit.

    Returns
    -------
    float
        Diameter in cm.

    Raises
    ------
    RangeError
        If the age is not above 0.

    Source
    ------
    mcpherson2016: exp(a + b ln(ln(t + 1) + mse / 2)).

    Examples
    --------
    >>> round(loglog_diameter_cm(1.0, a_ratio=1.08072, b_ratio=1.9017, mse_ratio=0.10108), 3)
    1.678
    """
    if not age_years > 0:
        raise out_of_range("age", f"{age_years} years", "above 0 years")
    return math.exp(a_ratio + b_ratio * math.log(math.log(age_years + 1.0) + mse_ratio / 2.0))
