"""Doses, salts and water: what a feed brings, what runs out again, what hard water needs.

Every figure here is arithmetic on a label and a measurement. The label's own dose is the upper bound, and no
feed at all is the rule after root work until leaves are hard; that rule is the season's (`season.feeding`).
"""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.bounds import within
from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.show import number, percent
from ringwise.kit.tables import Table, load_table
from ringwise.kit.words import _

PPM_PER_G_L_AND_PCT = 10.0  # 1 g/L of 1 % is 10 mg/L; exact
MG_PER_G = 1000.0
TREATED_L = 1000.0  # acid is measured out for so much water


@dataclass(frozen=True)
class Label:
    """What stands on a feed: percent by weight of nitrogen, phosphate (P2O5) and potash (K2O)."""

    n_pct: float
    p2o5_pct: float = 0.0
    k2o_pct: float = 0.0


@dataclass(frozen=True)
class Nutrients:
    """What a litre of solution holds, in mg/L (ppm) of the elements."""

    n_mg_l: float
    p_mg_l: float
    k_mg_l: float


@dataclass(frozen=True)
class Watering:
    """What to pour so that a deficit is filled and a share runs out."""

    applied_cm3: float
    leached_cm3: float


@dataclass(frozen=True)
class PourThrough:
    """How to draw a sample of what runs out, for one pot."""

    wait_low_min: float
    wait_high_min: float
    pour_cm3: float
    collect_cm3: float
    is_printed_pot: bool


@dataclass(frozen=True)
class Acid:
    """Acid that takes alkalinity down: milliequivalents, mass of pure sulphuric acid, and volume as sold."""

    meq_l: float
    sulphuric_mg_l: float
    ml_per_1000_l: float


def feed_table() -> Table:
    """The rows of `data/feed.csv`.

    Returns
    -------
    Table
        As the kit reads it.

    Source
    ------
    own: bookkeeping.

    Examples
    --------
    >>> feed_table().get("leach", "frac").basis
    'practice'
    """
    return load_table("ringwise.rootzone", "feed")


def feed_number(key: str, parameter: str) -> float:
    """One number of the table.

    Parameters
    ----------
    key, parameter : str
        Its row.

    Returns
    -------
    float
        In the row's unit.

    Raises
    ------
    UnknownNameError
        If there is no such row.

    Source
    ------
    own: bookkeeping.

    Examples
    --------
    >>> feed_number("leach", "frac")
    0.15
    """
    return feed_table().get(key, parameter).number


def accepted(parameter: str, value: float, *, field: str, shown: str, unit: str, hint: str = "") -> float:
    """The value itself, if it lies in its row of accepted values.

    Parameters
    ----------
    parameter : str
        Row of `accepted` in `data/feed.csv`.
    value : float
        In the row's unit.
    field, shown, unit : str
        The field and the value as typed, and the unit to write behind the bounds.
    hint : str
        What to write instead.

    Returns
    -------
    float
        `value`.

    Raises
    ------
    RangeError
        If it lies outside.

    Source
    ------
    own: bounds of `data/feed.csv`.

    Examples
    --------
    >>> accepted("share_pct", 20.0, field="--n", shown="20 %", unit="%")
    20.0
    """
    row = feed_table().get("accepted", parameter)
    behind = f" {unit}" if unit else ""
    return within(row, value, field=field, unit=behind, shown=shown, way_out=hint)


def nutrients(label: Label, dose_g_l: float) -> Nutrients:
    """What a litre of solution holds.

    Parameters
    ----------
    label : Label
        What stands on the feed, in percent.
    dose_g_l : float
        Feed in a litre of water, in g.

    Returns
    -------
    Nutrients
        mg/L of N, P and K.

    Source
    ------
    own: ppm = g/L x percent x 10; P and K of the oxides by molar masses.

    Examples
    --------
    >>> held = nutrients(Label(20, 10, 20), 1.0)
    >>> held.n_mg_l, round(held.p_mg_l, 1), round(held.k_mg_l, 1)
    (200.0, 43.6, 166.0)
    """
    per_pct = dose_g_l * PPM_PER_G_L_AND_PCT
    return Nutrients(
        label.n_pct * per_pct,
        label.p2o5_pct * per_pct * feed_number("nutrient", "p_per_p2o5_ratio"),
        label.k2o_pct * per_pct * feed_number("nutrient", "k_per_k2o_ratio"),
    )


def dose_g_l(label: Label, n_mg_l: float) -> float:
    """Feed in a litre of water for a wanted strength of nitrogen.

    Parameters
    ----------
    label : Label
        What stands on the feed.
    n_mg_l : float
        Wanted nitrogen, in mg/L.

    Returns
    -------
    float
        g of feed in a litre.

    Raises
    ------
    InputError
        If the feed holds no nitrogen.

    Source
    ------
    own: ppm = g/L x percent x 10.

    Examples
    --------
    >>> dose_g_l(Label(20), 100.0)
    0.5
    """
    if label.n_pct <= 0:
        raise InputError(_("this feed holds no nitrogen. Give --dose in g/L instead of a wanted strength."))
    return n_mg_l / (label.n_pct * PPM_PER_G_L_AND_PCT)


def watering(deficit_cm3: float, leached_frac: float | None = None) -> Watering:
    """What to pour so that a deficit is filled and a share runs out again.

    Parameters
    ----------
    deficit_cm3 : float
        What the pot has lost, in cm3.
    leached_frac : float, optional
        Share of what is poured that runs out; by default the trade's.

    Returns
    -------
    Watering
        What is poured and what runs out.

    Source
    ------
    own: applied = deficit / (1 - leaching fraction).

    Examples
    --------
    >>> round(watering(800.0, 0.15).applied_cm3)
    941
    """
    frac = feed_number("leach", "frac") if leached_frac is None else leached_frac
    applied = deficit_cm3 / (1.0 - frac)
    return Watering(applied, applied - deficit_cm3)


def steady_leachate_ms_cm(water_ms_cm: float, leached_frac: float | None = None) -> float:
    """Salts of what runs out once nothing more is gained or lost, if the tree took up none.

    Parameters
    ----------
    water_ms_cm : float
        Conductivity of what is poured, in mS/cm.
    leached_frac : float, optional
        Share that runs out; by default the trade's.

    Returns
    -------
    float
        mS/cm; an upper bound, since a tree in leaf takes salts up.

    Raises
    ------
    RangeError
        If nothing runs out: salts then only gather.

    Source
    ------
    own: salt in equals salt out.

    Examples
    --------
    >>> round(steady_leachate_ms_cm(0.6, 0.2), 3)
    3.0
    """
    frac = feed_number("leach", "frac") if leached_frac is None else leached_frac
    if not frac > 0:
        raise out_of_range(
            _("leached share"),
            percent(frac),
            _("more than 0"),
            way_out=_("If nothing runs out, salts gather without end; let some water through."),
        )
    return water_ms_cm / frac


def pour_through(pot_cm3: float) -> PourThrough:
    """How to draw a sample of what runs out of one pot.

    Parameters
    ----------
    pot_cm3 : float
        Substrate, in cm3.

    Returns
    -------
    PourThrough
        Wait after watering, what to pour and what to catch; scaled by volume from the printed pot.

    Source
    ------
    ncsu_pour_through: 120 mL on a 4 L pot, 50 mL caught; other pots by volume (own).

    Examples
    --------
    >>> pour_through(4000.0).pour_cm3, pour_through(1000.0).pour_cm3
    (120.0, 30.0)
    """
    wait = feed_table().get("pour_through", "wait_min")
    printed = feed_number("pour_through", "printed_pot_cm3")
    scale = pot_cm3 / printed
    return PourThrough(
        wait.low or wait.number,
        wait.high or wait.number,
        feed_number("pour_through", "poured_ml") * scale,
        feed_number("pour_through", "collected_ml") * scale,
        pot_cm3 == printed,
    )


def acid(alkalinity_mg_l: float, target_mg_l: float, *, strength_frac: float | None = None) -> Acid:
    """Sulphuric acid that takes a water's alkalinity down to a target.

    Parameters
    ----------
    alkalinity_mg_l, target_mg_l : float
        As calcium carbonate, in mg/L.
    strength_frac : float, optional
        Strength of the acid by weight; only the strength whose density is known gives a volume.

    Returns
    -------
    Acid
        None of any where the water is at the target already.

    Source
    ------
    own: one milliequivalent of acid for one of alkalinity; density of 93 % acid recalled.

    Examples
    --------
    >>> need = acid(200.0, 80.0)
    >>> round(need.meq_l, 2), round(need.sulphuric_mg_l, 1), round(need.ml_per_1000_l)
    (2.4, 117.7, 69)
    """
    meq_l = max(alkalinity_mg_l - target_mg_l, 0.0) / feed_number("alkalinity", "caco3_ppm_per_meq")
    mg_l = meq_l * feed_number("acid", "sulphuric_mg_per_meq")
    strength = feed_number("acid", "strength_frac") if strength_frac is None else strength_frac
    grams = mg_l / MG_PER_G * TREATED_L
    return Acid(meq_l, mg_l, grams / (strength * feed_number("acid", "density_kg_l")))


def checked_fraction(value: float, *, field: str, shown: str) -> float:
    """A share, with the way out where percent were meant.

    Parameters
    ----------
    value : float
        Share, 0 to 1.
    field, shown : str
        The field and the value as typed.

    Returns
    -------
    float
        `value`.

    Raises
    ------
    RangeError
        If it lies outside; the line asks whether percent were meant.

    Source
    ------
    own: bounds of `data/feed.csv`.

    Examples
    --------
    >>> checked_fraction(0.15, field="--leach", shown="15 %")
    0.15
    """
    hint = _("Did you enter percent? Write {n} %.").format(n=number(value, 3)) if 1 < value <= 100 else ""
    return accepted("leach_frac", value, field=field, shown=shown, unit="", hint=hint)
