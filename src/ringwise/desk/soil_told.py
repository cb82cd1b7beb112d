"""What is told of a pot's soil: its numbers with their spread, before and after what was measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.words import _

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.pot_curves import PotCurve
    from ringwise.kit.types import FloatArray

LITRES = frozenset({"water", "available"})


def soil_labels() -> dict[str, str]:
    """The names of a soil's numbers, in the reader's language, in the order in which they are shown.

    Returns
    -------
    dict of str to str
        By key.

    Examples
    --------
    >>> soil_labels()["water"]
    'water when it has drained'
    """
    return {
        "water": _("water when it has drained"),
        "available": _("of it for the tree in this pot"),
        "air": _("air in the whole soil"),
        "wet_depth": _("share of the soil's depth with less than 10% air"),
        "fines": _("granules crumbled to fines"),
        "roots": _("voids filled by roots"),
    }


def _drawn(curve: PotCurve, key: str) -> FloatArray:
    of: dict[str, Callable[[], FloatArray]] = {
        "water": lambda: curve.state.water_cm3,
        "available": lambda: curve.state.available_water_cm3,
        "air": lambda: curve.state.air_filled_porosity_v,
        "wet_depth": lambda: curve.wet_depth_frac,
        "fines": lambda: curve.soil.ageing.broken_frac,
        "roots": lambda: curve.soil.ageing.root_frac,
    }
    return of[key]()


def soil_number(curve: PotCurve, key: str) -> Ranged:
    """A number of a soil with its 80 % band.

    Parameters
    ----------
    curve : PotCurve
        Of the pot.
    key : str
        Of `soil_labels`.

    Returns
    -------
    Ranged
        In cm3 or as a share.
    """
    return ranged(_drawn(curve, key))


def band_words(key: str, band: Ranged) -> str:
    """A number of a soil with its band.

    Parameters
    ----------
    key : str
        Of `soil_labels`.
    band : Ranged
        Its number.

    Returns
    -------
    str
        Such as "5.1 L (4.4 to 5.9 L)".

    Examples
    --------
    >>> band_words("wet_depth", Ranged(0.62, 0.41, 0.9)), band_words("water", Ranged(5100.0, 4400.0, 5900.0))
    ('62% (41 to 90%)', '5.1 L (4.4 to 5.9 L)')
    """
    shown = show.litres if key in LITRES else show.percent
    ends = shown(band.low), shown(band.high)
    if ends[0] == ends[1]:
        return shown(band.median)
    if "(" in shown(band.median):  # both kinds of units: no brackets within brackets
        return f"{shown(band.median)}, {show.spanned(*ends)}"
    return f"{shown(band.median)} ({show.spanned(*ends)})"


def band_shape(key: str, band: Ranged) -> Shape:
    """A band for JSON: its numbers and its words.

    Parameters
    ----------
    key : str
        Of `soil_labels`.
    band : Ranged
        Its number.

    Returns
    -------
    dict
        Keys median, low, high and shown.
    """
    return {"median": band.median, "low": band.low, "high": band.high, "shown": band_words(key, band)}


def learned(before: PotCurve, after: PotCurve) -> list[Shape]:
    """What measuring has told of a soil.

    Parameters
    ----------
    before, after : PotCurve
        Of one pot without the new entries and with them.

    Returns
    -------
    list of dict
        One a number: key, label, before, after and line.
    """
    found = []
    for key, label in soil_labels().items():
        old, new = soil_number(before, key), soil_number(after, key)
        line = _("{label}: {after}; before {before}").format(
            label=label, after=band_words(key, new), before=band_words(key, old)
        )
        found.append(
            {
                "key": key,
                "label": label,
                "before": band_shape(key, old),
                "after": band_shape(key, new),
                "line": line,
            }
        )
    return found


def soil_lines(curve: PotCurve) -> list[str]:
    """A pot's soil in lines: its numbers, then what they stand on.

    Parameters
    ----------
    curve : PotCurve
        Of the pot.

    Returns
    -------
    list of str
        In the reader's language.
    """
    numbers = [f"{label}: {band_words(key, soil_number(curve, key))}" for key, label in soil_labels().items()]
    return [*numbers, *curve.words, *([curve.contradicts] if curve.contradicts else [])]


def drops_told(curve: PotCurve, *, newest: bool = False) -> list[Shape]:
    """What each weighing lost against the full pot of its session, and what was foretold before and after.

    Parameters
    ----------
    curve : PotCurve
        After the weighings.
    newest : bool
        Only those of the newest session.

    Returns
    -------
    list of dict
        Newest session last: moment, tilt_deg, measured_g, before, after and line.
    """
    fit = curve.soil.fit
    found: list[Shape] = []
    drops = () if fit is None else fit.drops
    for drop in drops:
        if newest and drop.session != drops[-1].session:
            continue
        words = {
            "tilted": _("tilting by {angle} degrees let out").format(angle=show.number(drop.tilt_deg)),
            "day": _("in a day it lost"),
            "dry": _("from full to watering it lost"),
        }[drop.moment]
        line = _("{what} {measured}; its mix would give {before}, now {after}").format(
            what=words,
            measured=show.mass(drop.measured_g),
            before=_masses(drop.before),
            after=_masses(drop.after),
        )
        found.append(
            {
                "moment": drop.moment,
                "tilt_deg": drop.tilt_deg,
                "measured_g": drop.measured_g,
                "before": _grams(drop.before),
                "after": _grams(drop.after),
                "line": line,
            }
        )
    return found


def _masses(band: Ranged) -> str:
    return show.spanned(show.mass(band.low), show.mass(band.high))


def _grams(band: Ranged) -> Shape:
    return {"median": band.median, "low": band.low, "high": band.high, "shown": _masses(band)}
