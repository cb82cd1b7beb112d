"""Wind at the bench from wind at a gauge, by the logarithmic profile; a gust over the mean."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.bounds import within
from ringwise.kit.errors import InputError, unknown_name
from ringwise.kit.show import number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _

ROOM = "rootzone.wind"
GROUNDS = ("open", "suburb")
LOG_LAW = "U(z) = U(gauge) ln(z / z0) / ln(gauge / z0)"


@dataclass(frozen=True)
class BenchWind:
    """Mean and gust at the height of a crown, with their chain."""

    mean_m_s: float
    gust_m_s: float
    gust_factor: float
    trace: Trace


def _row(key: str, parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "wire").get(key, parameter)


def bounded(parameter: str, value: float, *, field: str, unit: str = "") -> float:
    """A value inside the bounds that the table sets for it.

    Parameters
    ----------
    parameter : str
        Row of the table under `accepted`.
    value : float
        In the row's unit.
    field : str
        What it is, in the user's words.
    unit : str
        As shown behind the numbers.

    Returns
    -------
    float
        The value itself.

    Raises
    ------
    RangeError
        If it lies outside.

    Source
    ------
    own: bounds of `data/wire.csv`.

    Examples
    --------
    >>> bounded("gust_m_s", 18.0, field="gust", unit="m/s")
    18.0
    """
    return within(_row("accepted", parameter), value, field=field, unit=f" {unit}" if unit else "")


def roughness_m(ground: str) -> float:
    """The roughness length of the ground round the bench.

    Parameters
    ----------
    ground : str
        open or suburb.

    Returns
    -------
    float
        Length, in m.

    Raises
    ------
    UnknownNameError
        If no ground has that name.

    Source
    ------
    own: recalled lengths; rows of `data/wire.csv`.

    Examples
    --------
    >>> roughness_m("open"), roughness_m("suburb")
    (0.03, 0.3)
    """
    if ground not in GROUNDS:
        raise unknown_name(_("ground"), ground, GROUNDS)
    return _row(f"ground_{ground}", "roughness_m").number


def profile_ratio(height_m: float, gauge_m: float, rough_m: float) -> float:
    """Wind at one height as a multiple of the wind at a gauge's height.

    Parameters
    ----------
    height_m, gauge_m : float
        Height of the crown and of the gauge, in m.
    rough_m : float
        Roughness length of the ground, in m.

    Returns
    -------
    float
        ln(z / z0) / ln(gauge / z0).

    Raises
    ------
    InputError
        If a height lies at or below the roughness length, where the law says nothing.

    Source
    ------
    own: logarithmic wind profile over uniform ground.

    Examples
    --------
    >>> round(profile_ratio(1.2, 10.0, 0.03), 3), round(profile_ratio(1.2, 10.0, 0.3), 3)
    (0.635, 0.395)
    """
    for field, value in ((_("height of the crown"), height_m), (_("height of the gauge"), gauge_m)):
        if not value > rough_m:
            raise InputError(
                _(
                    "{field} is {value} m; the wind law needs more than the roughness of {rough} m. "
                    "Give the gust at the bench itself."
                ).format(field=field, value=number(value, 3), rough=number(rough_m, 3))
            )
    return math.log(height_m / rough_m) / math.log(gauge_m / rough_m)


def bench_wind(
    wind_m_s: float,
    *,
    ground: str = "open",
    gauge_m: float | None = None,
    height_m: float | None = None,
    gust_factor: float | None = None,
) -> BenchWind:
    """Mean and gust at the bench from a mean wind at a gauge.

    Parameters
    ----------
    wind_m_s : float
        Mean wind at the gauge, in m/s.
    ground : str
        open or suburb.
    gauge_m, height_m : float, optional
        Height of the gauge and of the middle of the crown, in m; 10 m and 1.2 m by default.
    gust_factor : float, optional
        Gust over mean; the row of `data/wire.csv` by default.

    Returns
    -------
    BenchWind
        In m/s.

    Raises
    ------
    RangeError
        If a value is out of bounds.
    UnknownNameError
        If no ground has that name.

    Source
    ------
    own: logarithmic wind profile; roughness and gust factor recalled. Walls and hedges are not in it.

    Examples
    --------
    >>> there = bench_wind(10.0, gust_factor=1.5)
    >>> round(there.mean_m_s, 2), round(there.gust_m_s, 2)
    (6.35, 9.53)
    """
    wind = bounded("gust_m_s", wind_m_s, field=_("wind at the gauge"), unit="m/s")
    gauge_row, bench_row, gust_row = (
        _row("wind", name) for name in ("gauge_height_m", "bench_height_m", "gust_factor")
    )
    gauge = gauge_row.number if gauge_m is None else gauge_m
    height = bench_row.number if height_m is None else height_m
    factor = gust_row.number if gust_factor is None else gust_factor
    factor = bounded("gust_factor", factor, field=_("gust factor"))
    rough = roughness_m(ground)
    mean_m_s = wind * profile_ratio(height, gauge, rough)
    gust_m_s = mean_m_s * factor
    below = (
        Trace(_("wind at the gauge"), _("{n} m/s").format(n=number(wind, 3)), "given"),
        trace_parameter(gauge_row) if gauge_m is None else Trace(_("height of the gauge"), f"{gauge:g} m"),
        trace_parameter(bench_row) if height_m is None else Trace(_("height of the crown"), f"{height:g} m"),
        trace_parameter(_row(f"ground_{ground}", "roughness_m")),
        trace_parameter(gust_row) if gust_factor is None else Trace(_("gust factor"), f"{factor:g}", "given"),
    )
    shown = _("{n} m/s").format(n=number(gust_m_s, 3))
    trace = Trace(_("gust at the bench"), shown, ROOM, LOG_LAW, "own", "assumed", below)
    return BenchWind(mean_m_s, gust_m_s, factor, trace)


def design_gust(*, windy: bool) -> tuple[float, Trace]:
    """The gust to tie for where none was named.

    Parameters
    ----------
    windy : bool
        Whether the place is a windy one.

    Returns
    -------
    float, Trace
        In m/s, and its row.

    Source
    ------
    own: judged rows of `data/wire.csv`; name your own gust instead.

    Examples
    --------
    >>> design_gust(windy=False)[0], design_gust(windy=True)[0]
    (15.0, 18.0)
    """
    row = _row("wind", "windy_gust_m_s" if windy else "design_gust_m_s")
    return row.number, trace_parameter(row, _("gust to tie for"))
