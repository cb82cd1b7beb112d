"""Weeks after a root cut: how fast shoots grow again, and what a whole season of it comes to."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.growth.biology import growth_parameter, root_recovery_years
from ringwise.kit.errors import out_of_range

_FASTEST = 5.0  # score of root vigour that the row of weeks belongs to


@dataclass(frozen=True)
class RootRecovery:
    """How roots make a cut good: time constant in weeks, most uptake against an even share, exponent."""

    weeks: float
    compensation_ratio: float
    exponent_ratio: float


def root_recovery_rows(score: float = _FASTEST) -> RootRecovery:
    """The table's rows for a taxon.

    Parameters
    ----------
    score : float
        1 weak to 5 vigorous.

    Returns
    -------
    RootRecovery
        Slower roots need longer in proportion to their regrowth.

    Source
    ------
    ferree1989 for the weeks of a vigorous tree; the rest assumed (parameters.csv).

    Examples
    --------
    >>> root_recovery_rows(5.0).weeks
    2.1
    """
    slower = root_recovery_years(score) / root_recovery_years(_FASTEST)
    return RootRecovery(
        growth_parameter("held_weeks") * slower,
        growth_parameter("root_compensation"),
        growth_parameter("root_exponent"),
    )


def uptake_after_cut(cut_frac: float, *, weeks: float, recovery: RootRecovery) -> float:
    """What the roots take up some weeks after a share of them was cut, against before the cut.

    Parameters
    ----------
    cut_frac : float
        Share of the roots taken, 0 to below 1.
    weeks : float
        Weeks of growing time since.
    recovery : RootRecovery
        How they come back.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    RangeError
        If the cut is outside 0 to below 1 or the weeks are negative.

    Source
    ------
    own: logistic in closed form, R(t) = Rm / (1 + (Rm / R0 - 1) exp(-t / tau)); what is left of the roots
    bounds Rm, since a year's uptake of each root can rise only so far.

    Examples
    --------
    >>> round(uptake_after_cut(0.25, weeks=0.0, recovery=root_recovery_rows()), 2)
    0.75
    """
    if not 0 <= cut_frac < 1:
        raise out_of_range("share of the roots cut", f"{cut_frac}", "0 to below 1")
    if weeks < 0:
        raise out_of_range("weeks since the cut", f"{weeks}", "0 or more")
    start = max(1.0 - cut_frac, 0.01)
    most = max(min(1.0, recovery.compensation_ratio * start), start)
    return most / (1.0 + (most / start - 1.0) * math.exp(-weeks / recovery.weeks))


def shoot_rate_after_cut(cut_frac: float, *, weeks: float, recovery: RootRecovery) -> float:
    """Rate of shoot growth some weeks after a root cut, against a tree that was not cut.

    Parameters
    ----------
    cut_frac : float
        Share of the roots taken, 0 to below 1.
    weeks : float
        Weeks of growing time since.
    recovery : RootRecovery
        How they come back.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    RangeError
        If the cut is outside 0 to below 1 or the weeks are negative.

    Source
    ------
    ferree1989: potted apple back at the rate of the control in the fourth week; form own.

    Examples
    --------
    >>> shoot_rate_after_cut(0.3, weeks=4.0, recovery=root_recovery_rows()) > 0.95
    True
    """
    return float(uptake_after_cut(cut_frac, weeks=weeks, recovery=recovery) ** recovery.exponent_ratio)


def season_share_after_cut(cut_frac: float, *, weeks: int, recovery: RootRecovery) -> float:
    """Shoot growth of a whole season that begins with a root cut, against one without: its weeks summed.

    Parameters
    ----------
    cut_frac : float
        Share of the roots taken, 0 to below 1.
    weeks : int
        Weeks of the season.
    recovery : RootRecovery
        How they come back.

    Returns
    -------
    float
        0 to 1; the factor that a half-year step of growth uses.

    Raises
    ------
    RangeError
        If the cut is outside 0 to below 1 or there is no week.

    Source
    ------
    own: the mean over the middles of the weeks.

    Examples
    --------
    >>> season_share_after_cut(0.0, weeks=20, recovery=root_recovery_rows())
    1.0
    """
    if weeks < 1:
        raise out_of_range("weeks of a season", str(weeks), "1 or more")
    rates = [shoot_rate_after_cut(cut_frac, weeks=n + 0.5, recovery=recovery) for n in range(weeks)]
    return sum(rates) / weeks
