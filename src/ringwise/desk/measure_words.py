"""Measures, faults and proportions in the reader's words and units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from ringwise.kit import show
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.structure.faults import Fault
    from ringwise.structure.standing import Standing

_UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}


def span_words(value: float, sd: float | None, shown: Callable[[float], str]) -> str:
    """One in ten to nine in ten of an amount that is not below nothing.

    Parameters
    ----------
    value : float
        Any.
    sd : float or None
        Its standard deviation; None or NaN where nobody can say.
    shown : callable
        Puts a value into words.

    Returns
    -------
    str
        Blank where no spread is known or it is not to be seen.

    Examples
    --------
    >>> span_words(440.0, 8.0, show.length), span_words(440.0, None, show.length)
    ('43 to 45 cm', '')
    """
    if sd is None or not sd > 0.0:
        return ""
    low, high = shown(max(0.0, value - SDS_OF_80 * sd)), shown(value + SDS_OF_80 * sd)
    return "" if low == high else show.spanned(low, high)


def _with_span(value: float, sd: float | None, shown: Callable[[float], str]) -> str:
    span = span_words(value, sd, shown)
    return f"{shown(value)} ({span})" if span else shown(value)


def _ratio(value: float) -> str:
    return show.number(value, 2)


def length_with(value_mm: float, sd_mm: float | None) -> str:
    """A length with its span from one in ten to nine in ten.

    Parameters
    ----------
    value_mm : float
        In mm.
    sd_mm : float or None
        Its standard deviation; None where nobody can say.

    Returns
    -------
    str
        The length alone where no spread is known or it is not to be seen.

    Examples
    --------
    >>> length_with(440.0, 8.0), length_with(440.0, None)
    ('44 cm (43 to 45 cm)', '44 cm')
    """
    return _with_span(value_mm, sd_mm, show.length)


def length_give(value_mm: float, sd_mm: float | None) -> str:
    """A length with how much it may be off, short enough for a table: four in five lie within.

    Parameters
    ----------
    value_mm : float
        In mm.
    sd_mm : float or None
        Its standard deviation; None where nobody can say.

    Returns
    -------
    str
        Such as "44 ± 1 cm".

    Examples
    --------
    >>> length_give(440.0, 8.0), length_give(440.0, None)
    ('44 ± 1 cm', '44 cm')
    """
    told = show.length(value_mm)
    if not sd_mm:
        return told
    size, _space, unit = told.rpartition(" ")
    if unit not in _UNIT_MM:  # inches are told by fractions
        return f"{told} ± {show.length(SDS_OF_80 * sd_mm)}"
    return f"{size} ± {show.number(SDS_OF_80 * sd_mm / _UNIT_MM[unit], 1)} {unit}"


def ratio_with(value: float, sd: float | None) -> str:
    """A plain number with its span from one in ten to nine in ten.

    Parameters
    ----------
    value : float
        Any.
    sd : float or None
        Its standard deviation; None where nobody can say.

    Returns
    -------
    str
        Two digits.

    Examples
    --------
    >>> ratio_with(8.4, 0.5), ratio_with(8.4, None)
    ('8.4 (7.8 to 9)', '8.4')
    """
    return _with_span(value, sd, _ratio)


def share_with(frac: float, sd: float | None) -> str:
    """A share with its span from one in ten to nine in ten.

    Parameters
    ----------
    frac : float
        0 to 1.
    sd : float or None
        Its standard deviation; None where nobody can say.

    Returns
    -------
    str
        In percent.

    Examples
    --------
    >>> share_with(0.33, 0.02), share_with(0.33, None)
    ('33% (30 to 36%)', '33%')
    """
    return _with_span(frac, sd, show.percent)


def size_lines(told: Mapping[str, Any]) -> list[str]:
    """The sizes of a tree, a line each.

    Parameters
    ----------
    told : mapping
        The sheet under its documented keys.

    Returns
    -------
    list of str
        In the reader's units.
    """
    sd = told["sd"]

    def long(key: str) -> str:
        return length_with(told[key], sd.get(key))

    lines = [
        _("height {size}").format(size=long("height_mm")),
        _("spread {size}, from the front {front}").format(
            size=long("spread_mm"), front=long("spread_front_mm")
        ),
        _("girth at the soil {soil}, above the flare {base}").format(
            soil=long("nebari_girth_mm"), base=long("base_girth_mm")
        ),
        _("height to trunk {ratio}; trunk at half height {share} of its base").format(
            ratio=ratio_with(told["height_to_base_ratio"], sd.get("height_to_base_ratio")),
            share=share_with(told["taper_ratio"], sd.get("taper_ratio")),
        ),
        _("movement {share} of the height").format(
            share=share_with(told["movement_frac"], sd.get("movement_frac"))
        ),
    ]
    if told["first_branch_frac"] is not None:
        share = share_with(told["first_branch_frac"], sd.get("first_branch_frac"))
        lines.append(_("first branch at {share} of the height").format(share=share))
    for each in told["girths"]:
        lines.append(
            _("girth at {height}: {size}").format(
                height=show.length(each["height_mm"]), size=length_with(each["girth_mm"], each["girth_sd_mm"])
            )
        )
    return lines


def clock_words(clock: float) -> str:
    """A direction by the clock, to the half hour.

    Parameters
    ----------
    clock : float
        Hours, 0 to 12.

    Returns
    -------
    str
        Such as "3:30".

    Examples
    --------
    >>> clock_words(3.4), clock_words(12.1), clock_words(0.2)
    ('3:30', '12:00', '12:00')
    """
    halves = round(clock * 2.0) % 24
    hour, half = divmod(halves, 2)
    return f"{hour or 12}:{'30' if half else '00'}"


def fault_kind_words(kind: str) -> str:
    """What a kind of fault is called."""
    names = {
        "bar": _("bar branches: two opposite each other on one level"),
        "wheel": _("wheel branches: three or more on one level"),
        "parallel": _("parallel branches: one close above the other"),
        "crossing": _("branches that touch or cross"),
        "inner": _("branch on the inside of a bend"),
        "against_style": _("branch that rises or drops against its neighbours"),
        "thick_high": _("branch thicker than one below it"),
        "thick_branch": _("branch thicker than half the trunk there"),
        "inverse_taper": _("trunk thickens upwards"),
        "straight": _("long stretch of trunk without a change of direction"),
        "front_scar": _("open wound that faces the viewer"),
        "one_sided": _("no roots on one side"),
        "reverse_root": _("reverse root: it runs back towards the trunk or across it"),
    }
    return names.get(kind, kind)


def fault_threshold_words() -> dict[tuple[str, str], str]:
    """What each threshold of a rule is called, by its row of the table `faults`."""
    return {
        ("bar", "level_frac"): _("on one level within this share of the height"),
        ("bar", "opposite_deg"): _("opposite from this angle between them on"),
        ("bar", "top_frac"): _("judged up to this share of the height"),
        ("wheel", "branches"): _("from this many branches on one level"),
        ("parallel", "apart_deg"): _("in one direction within this angle"),
        ("parallel", "gap_frac"): _("close above within this share of the height"),
        ("parallel", "tilt_deg"): _("with angles to the upright this near"),
        ("crossing", "gap_mm"): _("wood nearer than this touches"),
        ("crossing", "least_frac"): _("thinner wood is left out, against the trunk"),
        ("inner", "turn_deg"): _("a bend from this change of direction on"),
        ("inner", "near_frac"): _("near to the bend within this share of the height"),
        ("inner", "within_deg"): _("on its inside within this angle"),
        ("against_style", "off_deg"): _("off the middle of its neighbours by more than"),
        ("against_style", "neighbours"): _("neighbours it is held against"),
        ("thick_high", "over_ratio"): _("thicker than one below it by this factor"),
        ("thick_high", "main_frac"): _("held against branches of at least this share of the middle one"),
        ("thick_branch", "to_trunk_ratio"): _("thicker than this share of the trunk there"),
        ("inverse_taper", "least_frac"): _("thicker above than below by this share and beyond its spread"),
        ("straight", "stretch_frac"): _("longer than this share of the height"),
        ("front_scar", "within_clock"): _("hours to either side of the front"),
        ("one_sided", "empty_sectors"): _("hours in a row without a root"),
        ("reverse_root", "turned_deg"): _("turned off the way out from the trunk by this angle or more"),
        ("reverse_root", "least_ratio"): _("from base to end at least this share of the trunk"),
    }


def fault_words(fault: Fault) -> str:
    """A fault with its place.

    Parameters
    ----------
    fault : Fault
        By a rule.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.structure.faults import Fault
    >>> fault_words(Fault("thick_branch", (7,), 140.0, 3.0))
    "branch thicker than half the trunk there, at 14 cm, 3:00 o'clock"
    """
    told = fault_kind_words(fault.kind)
    if fault.kind not in ("one_sided", "reverse_root"):  # at the soil
        at = _("at {height}").format(height=show.length(fault.height_mm))
        told += ", " + (at if fault.height_mm > 0.0 else _("at the soil"))
    if fault.clock is not None:
        told += ", " + _("{clock} o'clock").format(clock=clock_words(fault.clock))
    return told


def proportion_name(key: str) -> str:
    """What a proportion of the trade is called."""
    names = {
        "height_to_base.ratio": _("height to trunk"),
        "first_branch.height_frac": _("first branch, share of the height"),
        "branch_to_trunk.ratio": _("thickest branch against the trunk there"),
        "taper.half_to_base_ratio": _("trunk at half height against its base"),
        "movement.offset_frac": _("movement against the height"),
        "ramification.strahler_order": _("order of branching (Strahler)"),
        "root_sectors.filled_of_twelve": _("hours of the clock with a surface root"),
        "pot.length_to_height_ratio": _("pot length against height or spread"),
        "pot.depth_to_base_ratio": _("pot depth against the trunk"),
    }
    return names.get(key, key)


def proportion_words(standing: Standing) -> str:
    """A proportion of a tree beside the trade's range.

    Parameters
    ----------
    standing : Standing
        Of a tree.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.structure.measures import measures
    >>> from ringwise.structure.standing import standings
    >>> from ringwise.structure.table import single_segment
    >>> proportion_words(standings(measures(single_segment(length_mm=400.0, diameter_mm=50.0)), ())[0])
    'height to trunk 8: usual 4 to 12'
    """
    told = _("{what} {n}: usual {span}").format(
        what=proportion_name(standing.key),
        n=found_words(standing),
        span=usual_words(standing),
    )
    place = place_words(standing)
    return f"{told}, {place}" if place else told


def found_words(standing: Standing) -> str:
    """A proportion of a tree; a digit more where it would read like the end of the range it lies outside."""
    told = show.number(standing.found_ratio, 2)
    if standing.place != "within" and told in _ends(standing):
        return show.number(standing.found_ratio, 3)
    return told


def usual_words(standing: Standing) -> str:
    """The trade's range of a proportion."""
    return show.spanned(*_ends(standing))


def _ends(standing: Standing) -> tuple[str, str]:
    row = standing.row
    return show.number(row.low or 0.0, 2), show.number(row.high or row.number, 2)


def place_words(standing: Standing) -> str:
    """Whether a tree lies below or above the trade's range; blank where it lies within."""
    return {"below": _("below"), "above": _("above"), "within": ""}[standing.place]
