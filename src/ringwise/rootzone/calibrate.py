"""The pot's own curve from a kitchen scale: of its mix those draws are kept that foretell the weighings.

Only differences between weighings speak, since nobody knows what the tree weighs; where the empty pot was
weighed its mass speaks too, as far as a tree's mass can be reckoned. A tree is never dried to measure.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.chance import Purpose, uniform
from ringwise.kit.errors import out_of_range
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.show import mass
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.blend import Blend
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.sections import pot_sections
from ringwise.rootzone.spread import amount_of, drawn
from ringwise.rootzone.tilt import tilted
from ringwise.rootzone.water_at_rest import water_at_rest_cm3

LEVEL, TILTED, TEN_MIN, DAY, DRY = "level", "tilted", "ten_min", "day", "dry"
MOMENTS = (LEVEL, TEN_MIN, TILTED, DAY, DRY)  # in the order of what a pot does after watering
KEPT = 200  # draws that are kept
_UNKNOWN_G = 1e5  # sd of a mass that nobody knows
_DRY_END_CM = 50.0  # suction at which watering is due, for the mean use of a day


@dataclass(frozen=True)
class Weighing:
    """One weighing; those of one session share the mass of pot and tree."""

    moment: str
    mass_g: float
    tilt_deg: float = 0.0
    session: int = 0


@dataclass(frozen=True)
class DryMass:
    """Mass of pot and tree without the soil, in g, with its standard deviation."""

    mass_g: float
    sd_g: float


@dataclass(frozen=True)
class Measured:
    """What was measured on a pot since it was filled; weights of a day later of one season alone.

    `drain_ratio` is the newest drain time over the first of this filling, of equal amounts of water.
    """

    weighings: tuple[Weighing, ...] = ()
    dry_days: float | None = None
    dry_mass: DryMass | None = None
    drain_ratio: float | None = None


@dataclass(frozen=True)
class PotPrior:
    """What a pot is taken for before it is weighed: its mix in draws, and how each draw slows the drain test.

    `slowing_log` is the logarithm of newest over first drain time that each draw foretells.
    """

    pot: PotShape
    blend: Blend
    slowing_log: FloatArray | None = None

    @property
    def draws(self) -> int:
        """How many."""
        return self.blend.curve.draws


@dataclass(frozen=True)
class Drop:
    """What a weighing lost against the full pot of its session, and what was foretold before and after."""

    moment: str
    tilt_deg: float
    session: int
    measured_g: float
    before: Ranged
    after: Ranged


@dataclass(frozen=True)
class Fit:
    """Which draws are kept, which share of all still counts, and how well all fits what was taken before.

    `fit_prob` is the chance that weighings of the mix as it was taken lie as far off as these. `told` says
    whether the measurements preferred any draw.
    """

    picked: NDArray[np.intp]
    counting_frac: float
    fit_prob: float
    trusted_frac: float
    drops: tuple[Drop, ...]
    told: bool = True

    @property
    def contradicts(self) -> bool:
        """Whether the weighings do not fit what the pot was taken for."""
        return self.fit_prob < calibrate_row("fit", "contradicts_prob").number


def calibrate_row(key: str, parameter: str) -> Parameter:
    """A row of `data/calibrate.csv`.

    Parameters
    ----------
    key, parameter : str
        As in the table.

    Returns
    -------
    Parameter
        With its range and basis.

    Source
    ------
    own: the table names basis and source of each row.

    Examples
    --------
    >>> calibrate_row("scale", "mass_g").number
    10.0
    """
    return load_table("ringwise.rootzone", "calibrate").get(key, parameter)


def calibrate(prior: PotPrior, measured: Measured, *, seed: int, keep: int = KEPT) -> Fit:
    """Keep those draws of a pot's mix that its weighings speak for.

    Parameters
    ----------
    prior : PotPrior
        The pot with draws of its mix; ten times as many as are kept, or more.
    measured : Measured
        Weighings, days to dry, drain times.
    seed : int
        Of the draws of what is not known about the weighings, and of the choice.
    keep : int
        How many draws to keep.

    Returns
    -------
    Fit
        Without a measurement the first draws, none preferred. The order of weighings is of no account.

    Raises
    ------
    RangeError
        If a mass is not above zero, or there are fewer draws than are to be kept.

    Source
    ------
    own: draws weighted by the likelihood of the differences, with errors of scale and model from
    `data/calibrate.csv`; the masses of pot and tree as unknown offsets.

    Examples
    --------
    >>> from ringwise.rootzone.blend import blend
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(300, 200, 60))
    >>> prior = PotPrior(tray, blend(recipe("D"), draws=1000, seed=1))
    >>> fit = calibrate(prior, Measured((Weighing(LEVEL, 5200.0), Weighing(TILTED, 4700.0, 30.0))), seed=1)
    >>> fit.picked.size, fit.drops[0].measured_g, fit.drops[0].before.high - fit.drops[0].before.low > 200
    (200, 500.0, True)
    """
    if prior.draws < keep:
        raise out_of_range(_("draws of the mix"), str(prior.draws), _("{n} or more").format(n=keep))
    for each in measured.weighings:
        if not each.mass_g > 0:
            raise out_of_range(_("weight"), mass(each.mass_g), _("more than 0"))
    weighings = sorted(measured.weighings, key=_order)
    foretold = _foretold(prior, weighings, measured, seed)
    log_chance, fit_prob = _log_chance(prior, weighings, foretold, measured, seed)
    if measured.drain_ratio is not None and prior.slowing_log is not None:
        log_chance = log_chance + _drain_chance(prior.slowing_log, measured.drain_ratio)
    if not log_chance.any():
        return Fit(np.arange(keep), 1.0, 1.0, 1.0, (), told=False)
    weights, trusted = _weights(log_chance)
    picked = _resampled(weights, keep, seed)
    drops = _drops(weighings, foretold, picked)
    counting_frac = float(1.0 / np.sum(weights**2)) / prior.draws
    return Fit(picked, counting_frac, fit_prob, trusted, drops)


def _order(each: Weighing) -> tuple[int, int, float, float]:
    return each.session, MOMENTS.index(each.moment), each.tilt_deg, each.mass_g


def _fill_factor(draws: int, seed: int) -> FloatArray:
    """Soil that is in the pot over the reckoned fill, one value a draw: its water and its mass go with it."""
    return drawn(amount_of(calibrate_row("fill", "volume_factor")), "fill.volume_factor", draws, seed)


def _foretold(prior: PotPrior, weighings: Sequence[Weighing], measured: Measured, seed: int) -> FloatArray:
    """Water in the pot at each weighing as each draw has it, (draws, weighings), in g."""
    curve, pot, n = prior.blend.curve, prior.pot, prior.draws
    if not weighings:
        return np.zeros((n, 0))

    def luck(key: str, parameter: str) -> FloatArray:
        return drawn(amount_of(calibrate_row(key, parameter)), f"{key}.{parameter}", n, seed)

    factor = _fill_factor(n, seed)
    full = water_at_rest_cm3(pot_sections(pot), curve) * factor
    volume = pot.volume_cm3 * factor
    wilting_cm = load_table("ringwise.rootzone", "balance").get("any", "wilting_cm").number
    found: dict[tuple[str, float], FloatArray] = {}
    for each in weighings:
        key = (each.moment, each.tilt_deg)
        if key in found:
            continue
        if each.moment == LEVEL:
            water = full
        elif each.moment == TILTED:
            water = np.minimum(water_at_rest_cm3(tilted(pot, each.tilt_deg), curve) * factor, full)
        elif each.moment == TEN_MIN:
            late = np.minimum(luck("ten_min", "late_frac"), 1.0)
            water = full + late * np.maximum(curve.saturated_v * volume - full, 0.0)
        elif each.moment == DAY:
            if measured.dry_days is None:
                use = luck("day", "use_mm") * pot.area_mm2 / 1000.0
            else:
                due = np.maximum(full - curve.theta_v(_DRY_END_CM) * volume, 0.0)
                use = due / measured.dry_days * luck("day", "use_factor")
            water = full - np.minimum(use, np.maximum(full - curve.theta_v(wilting_cm) * volume, 0.0))
        else:
            water = np.minimum(_theta_each_v(curve, luck("dry", "suction_cm")) * volume, full)
        found[key] = water
    return np.stack([found[each.moment, each.tilt_deg] for each in weighings], axis=-1)


def _theta_each_v(curve: RetentionCurve, suction_cm: FloatArray) -> FloatArray:
    """Water content of each draw at a suction of its own."""
    x = (curve.alphas_per_cm * suction_cm[..., None]) ** curve.ns
    full = np.sum(curve.shares * (1.0 + x) ** (1.0 / curve.ns - 1.0), axis=-1)
    return np.asarray(curve.residual_v + curve.span_v * full)


def _log_chance(
    prior: PotPrior, weighings: Sequence[Weighing], foretold: FloatArray, measured: Measured, seed: int
) -> tuple[FloatArray, float]:
    """Logarithm of each draw's likelihood, and the chance of weighings so far off under all draws."""
    if not weighings:
        return np.zeros(prior.draws), 1.0
    masses = np.array([each.mass_g for each in weighings])
    errors = _errors(weighings, foretold, masses, measured.dry_mass)
    off = masses - foretold
    if measured.dry_mass is not None:
        soil = prior.blend.bulk_kg_l * prior.pot.volume_cm3 * _fill_factor(prior.draws, seed)
        off = off - measured.dry_mass.mass_g - soil[:, None]
        free = len(weighings)
    else:
        off = off - off.mean()  # the unknown mass: only a number near zero is kept for the arithmetic
        free = len(weighings) - 1
    quadratic = np.einsum("ni,ij,nj->n", off, np.linalg.inv(errors), off)
    if free == 0:
        return np.zeros(prior.draws), 1.0
    spread = errors + np.atleast_2d(np.cov(foretold, rowvar=False))
    if measured.dry_mass is not None:
        spread = errors + np.atleast_2d(np.cov(off, rowvar=False))
    mean = off.mean(axis=0)
    return np.asarray(-0.5 * quadratic), _fit_prob(weighings, mean, spread, len(weighings) - free)


def _fit_prob(weighings: Sequence[Weighing], mean: FloatArray, spread: FloatArray, lost: int) -> float:
    """Chance of a misfit as large, of each weighing and of the means of like ones: scatter hides no bias."""
    kinds = sorted({(each.moment, each.tilt_deg) for each in weighings})
    like = np.array([[(each.moment, each.tilt_deg) == kind for each in weighings] for kind in kinds], float)
    like /= like.sum(axis=1, keepdims=True)
    chances = []
    for rows in (np.eye(len(weighings)), like):
        if len(rows) > lost:
            off, own = rows @ mean, rows @ spread @ rows.T
            chances.append(_chance_beyond(float(off @ np.linalg.solve(own, off)), len(rows) - lost))
    return min(1.0, len(chances) * min(chances)) if len(kinds) < len(weighings) else chances[0]


def _chance_beyond(misfit_ratio: float, free: int) -> float:
    """Chance that the sum of so many squared standard normals is larger: the closed form of chi-squared."""
    half = misfit_ratio / 2
    if free % 2 == 0:
        terms = (half**i / math.factorial(i) for i in range(free // 2))
        return math.exp(-half) * math.fsum(terms)
    terms = (half ** (i + 0.5) / math.gamma(i + 1.5) for i in range(free // 2))
    return math.erfc(math.sqrt(half)) + math.exp(-half) * math.fsum(terms)


def _errors(
    weighings: Sequence[Weighing], foretold: FloatArray, masses: FloatArray, dry: DryMass | None
) -> FloatArray:
    """Covariance of what a draw does not foretell: scale, model, mass of a session, mass of pot and tree."""
    own = (calibrate_row("scale", "mass_g").number ** 2) + (
        calibrate_row("scale", "mass_frac").number * masses
    ) ** 2
    lost = np.median(foretold.max(axis=1)[:, None] - foretold, axis=0)
    moments = np.array([each.moment for each in weighings])

    def model(key: str, moment: str) -> FloatArray:
        return np.where(moments == moment, calibrate_row(key, "model_frac").number * lost, 0.0)

    own = own + model("day", DAY) ** 2 + model("dry", DRY) ** 2
    tilt = model("tilt", TILTED)  # the pot's own, the same however often it is tilted
    session = np.array([each.session for each in weighings])
    shared = (calibrate_row("scale", "session_frac").number * float(masses.mean())) ** 2
    offset = (_UNKNOWN_G if dry is None else dry.sd_g) ** 2
    same = session[:, None] == session[None, :]
    return np.asarray(np.diag(own) + np.outer(tilt, tilt) + shared * same + offset)


def _drain_chance(slowing_log: FloatArray, ratio: float) -> FloatArray:
    sd = calibrate_row("drain", "ratio_sd_log").number
    return np.asarray(-0.5 * ((np.log(ratio) - slowing_log) / sd) ** 2)


def _weights(log_chance: FloatArray) -> tuple[FloatArray, float]:
    """Weights that sum to 1, and how far the measurements are trusted so that enough draws count."""
    least = calibrate_row("fit", "least_draws").number
    centred = log_chance - log_chance.max()

    def at(trust_frac: float) -> FloatArray:
        raw = np.exp(trust_frac * centred)
        return np.asarray(raw / raw.sum())

    if 1.0 / np.sum(at(1.0) ** 2) >= least:
        return at(1.0), 1.0
    low, high = 0.0, 1.0
    for _halving in range(30):
        middle = (low + high) / 2
        enough = 1.0 / np.sum(at(middle) ** 2) >= least
        low, high = (middle, high) if enough else (low, middle)
    return at(low), low


def _resampled(weights: FloatArray, keep: int, seed: int) -> NDArray[np.intp]:
    """Places of the kept draws: each as often as its weight asks, to less than one."""
    start = float(uniform(seed, 0, 0, 0, Purpose.SUBSTRATE, crc32(b"calibrate.kept"))[0])
    steps = (np.arange(keep) + start) / keep
    return np.minimum(np.searchsorted(np.cumsum(weights), steps), weights.size - 1)


def _drops(weighings: Sequence[Weighing], foretold: FloatArray, picked: NDArray[np.intp]) -> tuple[Drop, ...]:
    found = []
    for session in dict.fromkeys(each.session for each in weighings):
        places = [i for i, each in enumerate(weighings) if each.session == session]
        full = [i for i in places if weighings[i].moment in {LEVEL, TEN_MIN}] or places[:1]
        full_g = float(np.mean([weighings[i].mass_g for i in full]))
        water_g = foretold[:, full].mean(axis=1)
        for i in places:
            each = weighings[i]
            if i in full or each.moment == weighings[full[0]].moment:
                continue
            lost = water_g - foretold[:, i]
            found.append(
                Drop(
                    each.moment,
                    each.tilt_deg,
                    session,
                    full_g - each.mass_g,
                    ranged(lost),
                    ranged(lost[picked]),
                )
            )
    return tuple(found)
