"""What is assumed of a tree's growth: rows of the tables joined for one taxon."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.growth.odds import Odds, odds_table, prior_odds
from ringwise.kit.errors import ParameterError
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.tables import Parameter, Table, load_table

FALL_BACK = ("any",)
_BACK_BUD = {"poor": 0.35, "fair": 0.6, "good": 1.0, "very_good": 1.3}  # scale of a class; assumed
_TAXON_ROWS = (
    "bud_arrangement",
    "back_bud_class",
    "apical_control",
    "repot_root_removed",
    "repot_interval",
    "root_vigour",
    "sapwood_life",
    "unit_length",
    "layer_class",
    "graft_class",
    "codit_class",
    "field_vigour",
    "leaf_cut_growth",
)


def _species() -> Table:
    return load_table("ringwise.growth", "species")


def _parameters() -> Table:
    return load_table("ringwise.growth", "parameters")


def growth_parameter(name: str) -> float:
    """One number of the growth model at its middle value.

    Parameters
    ----------
    name : str
        Parameter of parameters.csv.

    Returns
    -------
    float
        In the row's unit.

    Raises
    ------
    ParameterError
        If there is no such row.

    Source
    ------
    See the row.

    Examples
    --------
    >>> growth_parameter("pot_exponent")
    0.516
    """
    return _parameters().get("any", name).number


@dataclass(frozen=True)
class Spread:
    """A number with the spread of its logarithm (`log`) or of itself, and its row."""

    middle: float
    sd: float
    log: bool
    row: Parameter


@dataclass(frozen=True)
class Biology:
    """The taxon's growth parameters; `keys` are species, genus, group and "any", in that order."""

    keys: tuple[str, ...]
    opposite: bool
    back_bud_ratio: float
    apical_control_ratio: float
    root_removed_frac: float
    repot_years: float
    root_recovery_years: float
    sapwood: Spread
    unit: Spread
    layer: Odds
    approach: Odds
    severed: Odds
    sector: Odds
    layer_class: str
    graft_class: str
    codit_class: str
    root_weeks: float
    union_years: float
    field_vigour_ratio: float
    leaf_cut_growth_ratio: float
    rows: tuple[Parameter, ...]

    @property
    def assumed(self) -> tuple[Parameter, ...]:
        """The rows that are carried over, practice or assumption."""
        return tuple(row for row in self.rows if row.is_wide)


def spread_of(row: Parameter) -> Spread:
    """Middle and spread of a row, for drawing.

    Parameters
    ----------
    row : Parameter
        A numeric row.

    Returns
    -------
    Spread
        A `sd` range is one standard deviation either side, any other range is read as an 80 % band.

    Source
    ------
    own.

    Examples
    --------
    >>> round(spread_of(load_table("ringwise.growth", "parameters").get("any", "pot_exponent")).sd, 3)
    0.15
    """
    middle = row.number
    if row.spread == "fixed" or row.low is None or row.high is None:
        return Spread(middle, 0.0, False, row)
    steps = 1.0 if row.range_kind == "sd" else SDS_OF_80  # judged ranges are read as 80 % bands
    if row.spread == "lognormal":
        return Spread(middle, (math.log(row.high) - math.log(row.low)) / (2.0 * steps), True, row)
    return Spread(middle, (row.high - row.low) / (2.0 * steps), False, row)


def _layer_odds(name: str) -> Odds:
    return prior_odds(f"layer_{name}")


def biology(keys: tuple[str, ...]) -> Biology:
    """The growth parameters of a taxon, each from the nearest key that has it.

    Parameters
    ----------
    keys : tuple of str
        Species, genus and group keys, nearest first; "any" is added.

    Returns
    -------
    Biology
        With every row it stands on.

    Raises
    ------
    ParameterError
        If a class is unknown.

    Source
    ------
    species.csv, odds.csv: see their rows.

    Examples
    --------
    >>> biology(("morus_alba", "morus", "G1")).layer_class
    'easy'
    >>> biology(("unknown_tree",)).keys[-1]
    'any'
    """
    order = tuple(dict.fromkeys((*keys, *FALL_BACK)))
    rows = {name: _species().first(order, name) for name in _TAXON_ROWS}
    back = rows["back_bud_class"].value
    if back not in _BACK_BUD:
        raise ParameterError(f"species: back_bud_class {back} is unknown")
    return Biology(
        keys=order,
        opposite=rows["bud_arrangement"].value == "opposite",
        back_bud_ratio=_BACK_BUD[back],
        apical_control_ratio=rows["apical_control"].number,
        root_removed_frac=rows["repot_root_removed"].number,
        repot_years=rows["repot_interval"].number,
        root_recovery_years=root_recovery_years(rows["root_vigour"].number),
        sapwood=spread_of(rows["sapwood_life"]),
        unit=spread_of(rows["unit_length"]),
        layer=_layer_odds(rows["layer_class"].value),
        approach=prior_odds(f"approach_{rows['graft_class'].value}"),
        severed=prior_odds("severed_survival"),
        sector=prior_odds("root_sector"),
        layer_class=rows["layer_class"].value,
        graft_class=rows["graft_class"].value,
        codit_class=rows["codit_class"].value,
        root_weeks=odds_table().get("any", "root_weeks").number,
        union_years=odds_table().get("any", "union_years").number,
        field_vigour_ratio=rows["field_vigour"].number,
        leaf_cut_growth_ratio=rows["leaf_cut_growth"].number,
        rows=tuple(rows.values()),
    )


def root_recovery_years(score: float) -> float:
    """Time constant of root regrowth from a root vigour score.

    Parameters
    ----------
    score : float
        1 weak to 5 vigorous.

    Returns
    -------
    float
        Years: 0.5 for 5, 1.5 for 2 and below.

    Source
    ------
    own: assumed, straight between vigorous 0.5 and slow 1.5 years.

    Examples
    --------
    >>> root_recovery_years(5.0)
    0.5
    """
    return min(1.5, max(0.5, 0.5 + (5.0 - score) / 3.0))


def codit_decay_years(codit_class: str) -> float:
    """Years that a wound may stay open before decay sets in.

    Parameters
    ----------
    codit_class : str
        weak, mid or strong compartmentalisation.

    Returns
    -------
    float
        Years.

    Raises
    ------
    UnknownNameError
        If the class is unknown.

    Source
    ------
    seifert2010 for sweet cherry (weak); other classes assumed.

    Examples
    --------
    >>> codit_decay_years("weak")
    3.0
    """
    return load_table("ringwise.growth", "wounds").get(codit_class, "decay_after").number
