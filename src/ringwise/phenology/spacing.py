"""How many days lie between the stages: drawn together, so that stages never change places."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ringwise.kit.chance import Purpose, normal
from ringwise.kit.tables import Parameter, Table, load_table
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import CI90_WIDTH_SD, ROOM
from ringwise.phenology.stages import AUTUMN, SPRING

SWELL_SHARES = ("03", "07", "09", "10")  # stages between 01 and 11, by their share of those days
SPRING_PHASES = ("swell_to_leaf", "burst_to_full", "full_to_hard", "hard_to_set")
FLOWER_LEAD = "flower_to_leaf"
AUTUMN_PHASES = ("colour_to_fall", "fall_to_half", "half_to_bare")


def spacing() -> Table:
    """The table of days between stages.

    Returns
    -------
    Table
        Keys are taxa, genera, groups and "any".

    Source
    ------
    own reasoning (layout); each row names its own.

    Examples
    --------
    >>> spacing().get("any", "swell_to_leaf").number
    16.0
    """
    return load_table(ROOM, "spacing")


def spacing_rows(keys: Sequence[str]) -> tuple[Parameter, ...]:
    """The rows that space the stages of a taxon.

    Parameters
    ----------
    keys : sequence of str
        Lookup keys, the closest first.

    Returns
    -------
    tuple of Parameter
        One a phase.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> [row.key for row in spacing_rows(("acer_rubrum", "acer", "G2", "any"))][:2]
    ['any', 'acer_rubrum']
    """
    return tuple(spacing().first(tuple(keys), name) for name in (*SPRING_PHASES, *AUTUMN_PHASES))


def phase_days(rows: Sequence[Parameter], steps: FloatArray) -> FloatArray:
    """Lengths of phases for standard normal steps, each phase by its own lognormal.

    Parameters
    ----------
    rows : sequence of Parameter
        One a phase, with a mean and a standard deviation, or a median and a 90 % range.
    steps : (n, phases) float
        Standard normal steps.

    Returns
    -------
    (n, phases) float
        Days, all above 0.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> rows = spacing_rows(("any",))[:2]
    >>> bool((phase_days(rows, np.zeros((1, 2))) > 14).all())
    True
    """
    middle_log, sd_log = zip(*(_lognormal(row) for row in rows), strict=True)
    return np.exp(np.array(middle_log) + np.array(sd_log) * steps)


def _lognormal(row: Parameter) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm; a plain minimum and maximum is read as a 90 % range."""
    low, high = row.low or row.number, row.high or row.number
    if row.range_kind == "sd":
        variance_log = math.log1p(((high - low) / 2 / row.number) ** 2)
        return math.log(row.number) - variance_log / 2, math.sqrt(variance_log)
    return math.log(row.number), math.log(high / low) / CI90_WIDTH_SD


def flower_lead(keys: Sequence[str], steps: FloatArray) -> FloatArray | None:
    """Days from the flower (stage 61) to the leaf (stage 11).

    Parameters
    ----------
    keys : sequence of str
        Lookup keys, the closest first.
    steps : (n,) float
        Standard normal steps.

    Returns
    -------
    (n,) float, or None
        Negative where leaves come first; None for kinds whose flowers tell nothing of their leaves here.

    Source
    ------
    rows of spacing.csv (assumed).

    Examples
    --------
    >>> flower_lead(("prunus_yedoensis", "prunus"), np.zeros(1)).tolist()
    [12.0]
    >>> flower_lead(("larix",), np.zeros(1)) is None
    True
    """
    table = spacing()
    if not any(table.has(key, FLOWER_LEAD) for key in keys):
        return None
    row = table.first(tuple(keys), FLOWER_LEAD)
    sd_days = (row.high - row.low) / 2 if row.high is not None and row.low is not None else 0.0
    return row.number + sd_days * steps


def paced_steps(seed: int, samples: int, phases: int, entity_key: int, *, year: int) -> FloatArray:
    """Standard normal steps for the phases of one season, alike within a sample as far as they share a pace.

    Parameters
    ----------
    seed, samples, phases : int
        The run's seed, how many samples, how many phases.
    entity_key : int
        The tree's number in keyed chance.
    year : int
        Label of the growing year.

    Returns
    -------
    (samples, phases) float
        Correlated by the row any.shared_pace.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> steps = paced_steps(7, 4000, 2, 1, year=2027)
    >>> bool(0.4 < np.corrcoef(steps.T)[0, 1] < 0.6)
    True
    """
    shared = spacing().get("any", "shared_pace").number
    numbers, halves = np.arange(samples)[:, None], np.arange(1, phases + 2)
    steps = normal(seed, numbers, year, halves, Purpose.FORECAST, entity_key)
    return math.sqrt(shared) * steps[:, :1] + math.sqrt(1 - shared) * steps[:, 1:]


def spring_gaps(phases: FloatArray) -> FloatArray:
    """Days from stage 01 to each spring stage.

    Parameters
    ----------
    phases : (n, 4) float
        Days 01 to 11, 09 to 19, 19 to H1, H1 to 91.

    Returns
    -------
    (n, stages) float
        In the order of `stages.SPRING`; never decreasing.

    Source
    ------
    halbig2024; okeefe_hf003; shares: own reasoning.

    Examples
    --------
    >>> gaps = spring_gaps(np.array([[16.0, 28.0, 14.0, 28.0]]))[0]
    >>> bool((np.diff(gaps) > 0).all()), float(gaps[0])
    (True, 0.0)
    """
    table = spacing()
    swell, burst, hard, end = phases.T
    shares = {code: table.get("any", f"swell_share_{code}").number for code in SWELL_SHARES}
    at = {"01": np.zeros_like(swell), **{code: share * swell for code, share in shares.items()}, "11": swell}
    at["19"] = np.maximum(at["09"] + burst, swell)
    at["15"] = swell + table.get("any", "open_share_15").number * (at["19"] - swell)
    at["H1"] = at["19"] + hard
    at["91"] = at["H1"] + end
    return np.stack([at[code] for code in SPRING], axis=1)


def autumn_gaps(phases: FloatArray) -> FloatArray:
    """Days from stage 92 to each autumn stage.

    Parameters
    ----------
    phases : (n, 3) float
        Days 92 to 93, 93 to 95, 95 to 97.

    Returns
    -------
    (n, stages) float
        In the order of `stages.AUTUMN`.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> autumn_gaps(np.array([[8.0, 9.0, 14.0]])).tolist()
    [[0.0, 8.0, 17.0, 31.0]]
    """
    gaps = np.zeros((phases.shape[0], len(AUTUMN)))
    gaps[:, 1:] = np.cumsum(phases, axis=1)
    return gaps
