"""Mixes by parts: recipes with their reasons, particle sizes, litres to make, the split into parts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ringwise.kit.errors import InputError, out_of_range, unknown_name
from ringwise.kit.show import length, litres, number, spanned
from ringwise.kit.tables import Parameter, Table, load_table
from ringwise.kit.words import _, from_data
from ringwise.rootzone.components import component_key, component_name

_MOST_OF_ONE = 1e6  # parts; more is a slip, and no sum of parts overflows


@dataclass(frozen=True)
class Recipe:
    """A mix by parts of volume before settling: code, (component, parts), what it is for and why."""

    code: str
    parts: tuple[tuple[str, float], ...]
    use: str = ""
    why: str = ""

    @property
    def parts_total(self) -> float:
        """Sum of the parts."""
        return sum(share for _component, share in self.parts)

    @property
    def words(self) -> str:
        """The recipe as read aloud: "2 akadama : 1 pumice : 1 lava"."""
        return " : ".join(f"{number(share, 3)} {component_name(key)}" for key, share in self.parts)


@dataclass(frozen=True)
class Grain:
    """Particle sizes to sieve for."""

    from_mm: float
    to_mm: float
    fines_below_mm: float


def _mixes() -> Table:
    return load_table("ringwise.rootzone", "mixes")


def _potting() -> Table:
    return load_table("ringwise.rootzone", "potting")


def recipe_codes() -> tuple[str, ...]:
    """Codes of the recipes that come with the package.

    Returns
    -------
    tuple of str
        In the order of the table.

    Source
    ------
    practice: recipes of the trade, `data/mixes.csv`.

    Examples
    --------
    >>> recipe_codes()
    ('D', 'V', 'C', 'W', 'A', 'T', 'S')
    """
    return tuple(key for key in _mixes().keys() if _mixes().has(key, "parts"))  # noqa: SIM118


def recipe(code: str) -> Recipe:
    """The recipe with a code.

    Parameters
    ----------
    code : str
        Such as "D"; small letters are accepted.

    Returns
    -------
    Recipe
        Its parts, use and reason.

    Raises
    ------
    UnknownNameError
        If there is no such recipe.

    Source
    ------
    practice: recipes of the trade, `data/mixes.csv`.

    Examples
    --------
    >>> recipe("c").words
    '1 akadama : 2 pumice : 2 lava'
    """
    key = code.strip().upper()
    if key not in recipe_codes():
        raise unknown_name(_("mix"), code, recipe_codes())
    row = recipe_row(key)
    return Recipe(key, _parts(row), from_data(row.scope), from_data(_mixes().get(key, "why").value))


def recipe_row(code: str) -> Parameter:
    """The table row that holds a recipe's parts, for the chain of a shown number.

    Parameters
    ----------
    code : str
        Such as "D".

    Returns
    -------
    Parameter
        The row.

    Raises
    ------
    UnknownNameError
        If there is no such recipe.

    Source
    ------
    practice: recipes of the trade, `data/mixes.csv`.

    Examples
    --------
    >>> recipe_row("D").basis
    'practice'
    """
    return _mixes().get(code, "parts")


def _parts(row: Parameter) -> tuple[tuple[str, float], ...]:
    pairs = (item.split("=") for item in row.items)
    return tuple((component_key(component), float(share)) for component, share in pairs)


def own_recipe(name: str, parts: Mapping[str, float]) -> Recipe:
    """A grower's own recipe.

    Parameters
    ----------
    name : str
        Its name.
    parts : mapping of str to float
        Parts by volume of each component; any name is accepted, another name of a known one is resolved.

    Returns
    -------
    Recipe
        With its parts as given.

    Raises
    ------
    InputError
        If there is no part, or the parts do not add up to more than zero.
    RangeError
        If a part is negative.

    Source
    ------
    own: bookkeeping of parts.

    Examples
    --------
    >>> own_recipe("mine", {"pumice": 3, "grit": 1}).parts_total
    4.0
    """
    for component, share in parts.items():
        if not 0 <= share <= _MOST_OF_ONE:
            accepted = _("0 or more") if share < 0 else spanned("0", number(_MOST_OF_ONE))
            raise out_of_range(
                _("part of {component}").format(component=component), number(share, 3), accepted
            )
    if sum(parts.values()) <= 0:
        raise InputError(_('mix "{name}" has no part above zero. Give at least one.').format(name=name))
    merged: dict[str, float] = {}
    for component, share in parts.items():
        if share > 0:
            key = component_key(component)
            merged[key] = merged.get(key, 0.0) + float(share)
    return Recipe(name, tuple(merged.items()))


def grain_for(depth_mm: float, code: str = "") -> Grain:
    """Particle size by the height of substrate in the pot.

    Parameters
    ----------
    depth_mm : float
        Height of substrate, in mm.
    code : str
        Recipe; some recipes have their own cut whatever the depth.

    Returns
    -------
    Grain
        The cut, and the size below which everything is sieved out.

    Raises
    ------
    RangeError
        If the depth is not above zero.

    Source
    ------
    practice: particle size by pot depth, `data/mixes.csv`.

    Examples
    --------
    >>> grain_for(65.0)
    Grain(from_mm=3.0, to_mm=6.0, fines_below_mm=1.5)
    """
    if not depth_mm > 0:
        raise out_of_range(_("substrate depth"), length(depth_mm), _("more than 0"))
    table = _mixes()
    keys = [key for key in table.keys() if table.has(key, "depth_below_mm")]  # noqa: SIM118
    key = next(
        (each for each in keys if depth_mm < table.get(each, "depth_below_mm").number),
        keys[-1],
    )
    if code and table.has(code, "grain_from_mm"):
        key = code
    return Grain(
        table.get(key, "grain_from_mm").number,
        table.get(key, "grain_to_mm").number,
        table.get("grain", "fines_below_mm").number,
    )


def gross_cm3(
    net_cm3: float, *, settle_factor: float | None = None, waste_factor: float | None = None
) -> float:
    """Volume of loose mix to make for a net volume in the pot.

    Parameters
    ----------
    net_cm3 : float
        Volume that new mix fills in the pot, in cm3.
    settle_factor, waste_factor : float, optional
        Loss on settling and waste; by default the rows of `data/potting.csv`.

    Returns
    -------
    float
        Loose volume, in cm3.

    Raises
    ------
    RangeError
        If the net volume is negative or not finite.

    Source
    ------
    own: settling 1.15 and waste 1.05 are planning figures, to be replaced by the grower's own.

    Examples
    --------
    >>> round(gross_cm3(1000.0), 1)
    1207.5
    """
    if not 0 <= net_cm3 < math.inf:
        raise out_of_range(_("net volume"), litres(net_cm3), _("0 L or more"))
    rows = _potting().of("gross")
    settle = rows["settle_factor"].number if settle_factor is None else settle_factor
    waste = rows["waste_factor"].number if waste_factor is None else waste_factor
    return net_cm3 * settle * waste


def split(gross_cm3: float, mix: Recipe) -> dict[str, float]:
    """A volume split into the parts of a recipe.

    Parameters
    ----------
    gross_cm3 : float
        Loose volume, in cm3.
    mix : Recipe
        The recipe.

    Returns
    -------
    dict of str to float
        Volume of each component, in cm3; they add up to `gross_cm3`.

    Source
    ------
    own: proportion.

    Examples
    --------
    >>> split(4000.0, recipe("D"))
    {'akadama': 2000.0, 'pumice': 1000.0, 'lava': 1000.0}
    """
    return {component: gross_cm3 * share / mix.parts_total for component, share in mix.parts}
