"""The leaf area of a tree, from its tips, its crown or its pot, and the share of it at work on a day."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, out_of_range
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

ROOM = "ringwise.rootzone"
_CM2_PER_M2 = 10_000.0  # exact
_MM2_PER_M2 = 1e6  # exact
_BAND_PROB = 0.9  # bands of rows read as the 10th and 90th percentile


@dataclass(frozen=True)
class LeafArea:
    """Leaf of a tree in full leaf, one side: the middle, its spread in logarithms, and what it rests on."""

    full_m2: float
    sd_log: float
    basis: str
    trace: Trace

    def quantile_m2(self, prob: float) -> float:
        """The leaf area that is not passed with a probability."""
        return self.full_m2 * math.exp(NormalDist().inv_cdf(prob) * self.sd_log)

    @property
    def low_m2(self) -> float:
        """10th percentile."""
        return self.quantile_m2(1.0 - _BAND_PROB)

    @property
    def high_m2(self) -> float:
        """90th percentile."""
        return self.quantile_m2(_BAND_PROB)


@dataclass(frozen=True)
class LeafCheck:
    """Two looks at a leaf area from outside: layers over the crown's ground, most that the trunk feeds."""

    layers_ratio: float | None
    trunk_most_m2: float | None
    fits: bool


def _rows(key: str) -> dict[str, Parameter]:
    return load_table(ROOM, "leaf_area").of(key)


def _sd_log(row: Parameter) -> float:
    assert row.low is not None
    assert row.high is not None
    return math.log(row.high / row.low) / (2.0 * SDS_OF_80)


def _positive(field: str, value: float) -> float:
    if not (math.isfinite(value) and value > 0):
        raise out_of_range(field, f"{value:g}", _("more than 0"))
    return value


def crown_m2(spread_mm: float, front_mm: float | None = None) -> float:
    """The ground that a crown covers.

    Parameters
    ----------
    spread_mm : float
        Its greatest width.
    front_mm : float, optional
        Its width across, seen from the front; the same by default.

    Returns
    -------
    float
        Of an ellipse.

    Raises
    ------
    RangeError
        If a width is none.

    Source
    ------
    own: plane geometry.

    Examples
    --------
    >>> round(crown_m2(600.0), 3)
    0.283
    """
    across = _positive(_("crown width"), spread_mm if front_mm is None else front_mm)
    return math.pi / 4.0 * _positive(_("crown width"), spread_mm) * across / _MM2_PER_M2


def leaf_of_tips(leaf_cm2: float) -> LeafArea:
    """The leaf summed over the tips of a tree's structure.

    Parameters
    ----------
    leaf_cm2 : float
        Sum of the leaf of all segments, as structure.measures gives it.

    Returns
    -------
    LeafArea
        As wide as the row says.

    Raises
    ------
    RangeError
        If there is no leaf.

    Source
    ------
    own: row tips.known_factor of leaf_area.csv.

    Examples
    --------
    >>> tree = leaf_of_tips(200 * 14.0)
    >>> tree.full_m2, round(tree.low_m2, 3), round(tree.high_m2, 3)
    (0.28, 0.14, 0.56)
    """
    row = _rows("tips")["known_factor"]
    full = _positive(_("leaf of the tips"), leaf_cm2) / _CM2_PER_M2 * row.number
    return _leaf(full, row, "tips", _("leaf of a tip over all tips"), ())


def leaf_of_crown(covered_m2: float) -> LeafArea:
    """The leaf of a crown by the ground it covers.

    Parameters
    ----------
    covered_m2 : float
        From `crown_m2` or a silhouette seen from above.

    Returns
    -------
    LeafArea
        As wide as the row says.

    Raises
    ------
    RangeError
        If nothing is covered.

    Source
    ------
    own: row crown.layers of leaf_area.csv.

    Examples
    --------
    >>> round(leaf_of_crown(crown_m2(400.0)).full_m2, 2)
    0.44
    """
    return _layered(_positive(_("ground below the crown"), covered_m2), "crown")


def leaf_of_pot(area_m2: float) -> LeafArea:
    """The leaf of a tree of which only the pot is known; very wide.

    Parameters
    ----------
    area_m2 : float
        Surface of the pot.

    Returns
    -------
    LeafArea
        As wide as the row says.

    Raises
    ------
    RangeError
        If the pot has no surface.

    Source
    ------
    own: row pot.layers of leaf_area.csv.

    Examples
    --------
    >>> leaf_of_pot(0.066).full_m2
    0.198
    """
    return _layered(_positive(_("surface of the pot"), area_m2), "pot")


def _layered(ground_m2: float, key: str) -> LeafArea:
    row = _rows(key)["layers"]
    label = _("ground below the crown") if key == "crown" else _("surface of the pot")
    ground = Trace(label, _area(ground_m2), "rootzone.leaf_area", _("plan area"))
    return _leaf(ground_m2 * row.number, row, key, _("ground x layers of leaf"), (ground,))


def _leaf(full_m2: float, row: Parameter, basis: str, formula: str, inputs: tuple[Trace, ...]) -> LeafArea:
    chain = (*inputs, trace_parameter(row, _("layers of leaf") if "layers" in row.parameter else _("spread")))
    trace = Trace(
        _("leaf area in full leaf"),
        _area(full_m2),
        "rootzone.leaf_area",
        formula,
        row.source,
        row.basis,
        chain,
    )
    return LeafArea(full_m2, _sd_log(row), basis, trace)


def _area(value_m2: float) -> str:
    return show.area(value_m2 * _MM2_PER_M2)


def joined(known: Sequence[LeafArea]) -> LeafArea:
    """One leaf area from several looks at the same tree; the surer one counts for more.

    Parameters
    ----------
    known : sequence of LeafArea
        From tips, crown or pot.

    Returns
    -------
    LeafArea
        Between them; as wide as what they leave open, and wider where they disagree.

    Raises
    ------
    MissingFieldError
        If there is none.

    Source
    ------
    own: inverse variances in logarithms, with the spread between the looks added.

    Examples
    --------
    >>> both = joined([leaf_of_tips(2800.0), leaf_of_crown(0.2)])
    >>> 0.28 < both.full_m2 < 0.5, both.basis
    (True, 'tips, crown')
    """
    if not known:
        raise MissingFieldError(_("leaf area is unknown: measure the crown's width, or count its tips"))
    if len(known) == 1:
        return known[0]
    weights = np.array([1.0 / each.sd_log**2 for each in known])
    logs = np.log([each.full_m2 for each in known])
    middle = float(weights @ logs / weights.sum())
    apart = float(weights @ (logs - middle) ** 2 / weights.sum())
    full = math.exp(middle)
    trace = Trace(
        _("leaf area in full leaf"),
        _area(full),
        "rootzone.leaf_area",
        _("mean of what tips and crown say, the surer one first"),
        "own",
        "assumed",
        tuple(each.trace for each in known),
    )
    return LeafArea(full, math.sqrt(1.0 / weights.sum() + apart), ", ".join(e.basis for e in known), trace)


def leaf_check(
    leaf_m2: float, *, covered_m2: float | None = None, trunk_mm: float | None = None
) -> LeafCheck:
    """Whether a leaf area can be that of a tree of such a crown and trunk.

    Parameters
    ----------
    leaf_m2 : float
        In full leaf.
    covered_m2 : float, optional
        Ground below the crown.
    trunk_mm : float, optional
        Diameter of the trunk above its flare.

    Returns
    -------
    LeafCheck
        A trained tree carries far less than its trunk could feed: the trunk only tells the most.

    Raises
    ------
    RangeError
        If a value is none.

    Source
    ------
    lehnebach2018 (sapwood for each area of leaf, recalled); own: bounds of layers.

    Examples
    --------
    >>> leaf_check(0.5, covered_m2=0.2, trunk_mm=30.0).fits, leaf_check(3.0, covered_m2=0.2).fits
    (True, False)
    """
    rows = _rows("check")
    leaf = _positive(_("leaf area"), leaf_m2)
    layers = None if covered_m2 is None else leaf / _positive(_("ground below the crown"), covered_m2)
    most = None
    if trunk_mm is not None:
        radius = _positive(_("trunk"), trunk_mm) / 2.0
        heart = max(radius - rows["sapwood_mm"].number, 0.0)
        sapwood_mm2 = math.pi * (radius**2 - heart**2)
        most = sapwood_mm2 / (rows["sapwood_mm2_cm2"].low or math.nan) / _CM2_PER_M2
    low, high = rows["least_layers"].number, rows["most_layers"].number
    fits = (layers is None or low <= layers <= high) and (most is None or leaf <= most)
    return LeafCheck(layers, most, fits)


def leaf_share_frac(
    days: FloatArray, stage_days: FloatArray, codes: Sequence[str], *, evergreen: bool = False
) -> FloatArray:
    """The share of the full leaf that is at work on each day.

    Parameters
    ----------
    days : (d,) float
        Day indices of one growing year.
    stage_days : (..., k) float
        Day index of each stage, one row a sample; not falling along the codes.
    codes : sequence of str
        The stages; those that say nothing about leaf are passed over.
    evergreen : bool
        In leaf all year.

    Returns
    -------
    (..., d) float
        0 before the buds open, 1 when hardened, falling in autumn.

    Raises
    ------
    InputError
        If a stage has no day, stages go backwards, or none of them tells about leaf.

    Source
    ------
    own: rows stage_* of leaf_area.csv; straight lines between.

    Examples
    --------
    >>> codes, when = ("07", "H1", "93", "97"), np.array([90.0, 130.0, 290.0, 310.0])
    >>> leaf_share_frac(np.array([60.0, 110.0, 130.0, 310.0]), when, codes).tolist()
    [0.0, 0.5, 1.0, 0.0]
    """
    asked, given = np.asarray(days, dtype=np.float64), np.asarray(stage_days, dtype=np.float64)
    if evergreen:
        return np.ones((*given.shape[:-1], asked.size))
    table = load_table(ROOM, "leaf_area")
    told = [at for at, code in enumerate(codes) if table.has(f"stage_{code}", "share")]
    if not told:
        raise InputError(_("none of the stages tells how much leaf there is"))
    shares = np.array([table.get(f"stage_{codes[at]}", "share").number for at in told])
    rows = given[..., told].reshape(-1, len(told))
    if np.isnan(rows).any() or bool((np.diff(rows, axis=-1) < 0).any()):
        raise InputError(_("days of the stages are missing or go backwards"))
    full = int(np.argmax(shares))
    if full + 1 < shares.size:  # leaf stays full until shortly before autumn
        lead = table.get("autumn", "lead_days").number
        until = np.maximum(rows[:, full + 1] - lead, rows[:, full])
        rows, shares = np.insert(rows, full + 1, until, axis=1), np.insert(shares, full + 1, shares[full])
    found = np.stack([np.interp(asked, row, shares, left=0.0) for row in rows])
    return found.reshape(*given.shape[:-1], asked.size)
