"""Which model and rows time a stage of a taxon, and draws of the parameters that are not certain."""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.chance import Purpose, normal
from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Parameter, Table, load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.phenology.form import Parameters
from ringwise.phenology.models import MODELS, model

ROOM = "ringwise.phenology"
# The stage that each event of the parameter table stands for.
EVENTS = {
    "leaf_unfolding": "11",
    "budbreak": "07",
    "bud_swelling": "01",
    "half_fall": "95",
    "flowering": "61",
    "flower_budbreak": "55",
}
SPRING_EVENTS = ("leaf_unfolding", "budbreak", "bud_swelling")  # of leaves, in the order of trust
CI90_WIDTH_SD = 2 * 1.6448536269514722  # a 90 % interval of a normal spans this many standard deviations


@dataclass(frozen=True)
class Luck:
    """The run's seed and how many parameter draws stand for what is not certain about a species."""

    seed: int
    draws: int = 20


@dataclass(frozen=True)
class Choice:
    """A model, the event it times, the key its rows stand under, and those rows by parameter name."""

    model: str
    event: str
    key: str
    rows: dict[str, Parameter]

    @property
    def code(self) -> str:
        """The stage that the event stands for."""
        return EVENTS[self.event]

    @property
    def basis(self) -> str:
        """The weakest basis among the rows that decide the day."""
        order = ("measured", "fitted", "transferred", "practice", "assumed")
        drawn = [self.rows[name].basis for name in model(self.model).drawn]
        return max(drawn, key=order.index)


def forcing() -> Table:
    """The table of model parameters.

    Returns
    -------
    Table
        Keys are taxa, genera, groups of trees and "any"; parameters are "model.event.name".

    Source
    ------
    own reasoning (layout); each row names its own.

    Examples
    --------
    >>> forcing().get("larix_decidua", "menzel.leaf_unfolding.a").number
    1372.0
    """
    return load_table(ROOM, "forcing")


def rows_for(key: str, model_name: str, event: str) -> dict[str, Parameter] | None:
    """The rows of a key for a model and an event.

    Parameters
    ----------
    key, model_name, event : str
        A key of the table, a model, an event of `EVENTS`.

    Returns
    -------
    dict of str to Parameter, or None
        By parameter name; None where a parameter is missing.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> sorted(rows_for("larix_decidua", "menzel", "leaf_unfolding"))
    ['a', 'b', 'chill_base', 'heat_base']
    >>> rows_for("betula_pendula", "thermal_time", "leaf_unfolding") is None
    True
    """
    table = forcing()
    names = model(model_name).needs
    if not all(table.has(key, f"{model_name}.{event}.{name}") for name in names):
        return None
    return {name: table.get(key, f"{model_name}.{event}.{name}") for name in names}


def has_rows(model_name: str, key: str, event: str | None = None) -> bool:
    """Whether a key has a complete set of rows of a model.

    Parameters
    ----------
    model_name, key : str
        A model and a key of the table.
    event : str, optional
        For this event alone.

    Returns
    -------
    bool
        True where it has.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> has_rows("unichill", "fagus_sylvatica"), has_rows("unichill_threshold", "fagus_sylvatica")
    (False, True)
    """
    events = EVENTS if event is None else (event,)
    return any(rows_for(key, model_name, each) is not None for each in events)


def by_hand(model_name: str, key: str, event: str) -> Choice:
    """A model with no rows of the table: every parameter is still to be given.

    Parameters
    ----------
    model_name, key, event : str
        The model, the name that the trees go by, the event.

    Returns
    -------
    Choice
        With empty values, each to be overridden.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> sorted(by_hand("thermal_time", "own", "budbreak").rows)
    ['base', 'heat', 'start_day']
    """
    rows = {}
    for name in model(model_name).needs:
        like = next(
            row
            for row in forcing()
            if row.parameter.startswith(f"{model_name}.") and row.parameter.endswith(f".{name}")
        )
        rows[name] = replace(like, key=key, parameter=f"{model_name}.{event}.{name}", scope="")
    return Choice(model_name, event, key, rows)


def is_deciduous(rows: dict[str, Parameter]) -> bool:
    """Whether rows hold for trees that drop their leaves alone.

    Parameters
    ----------
    rows : dict of str to Parameter
        From `rows_for`.

    Returns
    -------
    bool
        By their scope.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> is_deciduous(rows_for("quercus", "menzel", "leaf_unfolding"))
    True
    """
    return any(row.scope == "deciduous" for row in rows.values())


def named_choice(model_name: str, key: str, event: str | None = None) -> Choice:
    """The rows of one key for one model, as asked for by name.

    Parameters
    ----------
    model_name, key : str
        The model and the table's key (taxon, genus or group).
    event : str, optional
        By default the first of `EVENTS` that the key has.

    Returns
    -------
    Choice
        With a complete set of rows.

    Raises
    ------
    UnknownNameError
        If the model, the key or the event is unknown for it; near names are offered.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> named_choice("menzel", "larix_decidua").event
    'leaf_unfolding'
    """
    model(model_name)
    for each in EVENTS if event is None else (event,):
        rows = rows_for(key, model_name, each)
        if rows is not None:
            return Choice(model_name, each, key, rows)
    known = {k for k in forcing().keys() for e in EVENTS if rows_for(k, model_name, e)}  # noqa: SIM118
    if key not in known:
        raise unknown_name(_("species with {model} rows").format(model=model_name), key, sorted(known))
    has = [e for e in EVENTS if rows_for(key, model_name, e)]
    raise unknown_name(_("event of {key}").format(key=key), str(event), has)


def entity(key: str) -> int:
    """A number that stands for a name in keyed chance.

    Parameters
    ----------
    key : str
        The name.

    Returns
    -------
    int
        Its CRC-32, the same on every machine.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> entity("123456789")  # the published check value of CRC-32
    3421780262
    """
    return zlib.crc32(key.encode())


def mirrored(luck: Luck, name: str) -> FloatArray:
    """Standard normal draws in mirrored pairs, so that few draws keep the printed value as their middle.

    Parameters
    ----------
    luck : Luck
        Seed and number of draws.
    name : str
        What is drawn.

    Returns
    -------
    (draws,) float
        The second half mirrors the first; an odd one out is 0.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> float(abs(mirrored(Luck(7, 5), "any").sum())) < 1e-12
    True
    """
    half = luck.draws // 2
    drawn = normal(luck.seed, np.arange(half), 0, 0, Purpose.PARAMETER, entity(name)) if half else np.zeros(0)
    middle = np.zeros(luck.draws - 2 * half)
    return np.concatenate([drawn, middle, -drawn])


def drawn_parameters(choice: Choice, luck: Luck) -> Parameters:
    """The parameters of a model, with draws for those whose row gives a range.

    Parameters
    ----------
    choice : Choice
        Model and rows.
    luck : Luck
        Seed and number of draws.

    Returns
    -------
    mapping of str to (1,) or (draws,) float
        One value where nothing is drawn.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> drawn_parameters(named_choice("thermal_time", "G1"), Luck(7, 20))["heat"].size
    20
    """
    drawn: dict[str, FloatArray] = {}
    for name, row in choice.rows.items():
        sd_log = _spread_log(row)
        if name in MODELS[choice.model].drawn and sd_log > 0:
            steps = mirrored(luck, f"{choice.key}.{row.parameter}")
            drawn[name] = row.number * np.exp(sd_log * steps)
        else:
            drawn[name] = np.array([row.number])
    return drawn


def _spread_log(row: Parameter) -> float:
    """Standard deviation of the logarithm, from a 90 % range; 0 where the row gives none."""
    if row.spread != "lognormal" or row.low is None or row.high is None:
        return 0.0
    return math.log(row.high / row.low) / CI90_WIDTH_SD
