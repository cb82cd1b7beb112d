"""The wish for how fast a soaked pot drains."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.desk.calc_curve import CurveWish, NamedCurve, read_curve
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_MOST_TIMES = 200
_TOLD_CM = 0.005  # less than the digits of the lines show


@dataclass(frozen=True)
class DrainWish:
    """A curve, a height, the conductivity and times, as typed for `ringwise calc drain`."""

    curve: CurveWish
    height: str | None
    ks: str | None = None
    at: str = "30s,120s,600s"


def calc_drain(wish: DrainWish) -> Shape:
    """Water gone from a soaked pot with straight walls, by time.

    Parameters
    ----------
    wish : DrainWish
        What was typed.

    Returns
    -------
    dict
        Keys at_s, drained_cm, finer_cm, theta_at_v, end_cm, end_theta_v, ks_cm_s and lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> curve = CurveWish("0.045", "0.43", "0.145", "2.68")
    >>> round(calc_drain(DrainWish(curve, "10cm", "712.8cm/d", "3600s"))["drained_cm"][0], 2)
    0.87
    """
    from ringwise.rootzone.drain import pot_drainage

    named = read_curve(wish.curve)
    if not wish.height:
        raise MissingFieldError(_("--height is missing. Give the height of the substrate, such as 7cm."))
    with at_field("height"):
        height_cm = parse_quantity(wish.height, "length", field="--height", default_unit="cm") / 10
    ks_cm_s = _ks_cm_s(wish.ks, named)
    times = _times_s(wish.at)
    ran = pot_drainage(named.curve, height_cm, ks_cm_s, times)
    lines = [
        _("{time}: {water} drained, {theta} left by volume").format(
            time=_time(at), water=show.length(drained * 10), theta=show.number(theta, 3)
        )
        for at, drained, theta in zip(times, ran.drained_cm.tolist(), ran.theta_v.tolist(), strict=True)
    ]
    lines.append(
        _("in the end: {water} drained, {theta} left by volume").format(
            water=show.length(ran.end_cm * 10), theta=show.number(ran.end_theta_v, 3)
        )
    )
    if np.abs(ran.finer_cm - ran.drained_cm).max() > _TOLD_CM:
        lines.append(
            _("reckoned in long steps of time; finer ones give {water}").format(
                water=", ".join(show.length(cm * 10) for cm in ran.finer_cm.tolist())
            )
        )
    return {
        "at_s": times,
        "drained_cm": ran.drained_cm.tolist(),
        "finer_cm": ran.finer_cm.tolist(),
        "theta_at_v": ran.theta_v.tolist(),
        "end_cm": ran.end_cm,
        "end_theta_v": ran.end_theta_v,
        "ks_cm_s": ks_cm_s,
        "height_cm": height_cm,
        "open_cm": ran.open_cm,
        "lines": lines,
    }


def _ks_cm_s(text: str | None, named: NamedCurve) -> float:
    if text:
        with at_field("ks"):
            return parse_quantity(text, "water_speed", field="--ks", default_unit="cm/s")
    if named.ks_cm_s is None:
        raise MissingFieldError(
            _(
                "--ks is missing. Give the conductivity when soaked, such as 712.8cm/d;"
                " granules have 0.6 to 1.5cm/s."
            )
        )
    return named.ks_cm_s


def _times_s(text: str) -> list[float]:
    items = text.split(",")
    if len(items) > _MOST_TIMES:
        raise InputError(_("give {n} times at most.").format(n=_MOST_TIMES))
    with at_field("at"):
        return [parse_quantity(item, "time", field="--at", default_unit="s") for item in items]


def _time(at_s: float) -> str:
    if at_s < 60:
        return _("{n} s").format(n=show.number(at_s, 3))
    if at_s < 3600:
        return _("{n} min").format(n=show.number(at_s / 60, 3))
    return _("{n} h").format(n=show.number(at_s / 3600, 3))
