"""Heat in a pot in words, and the chain behind it."""

from __future__ import annotations

from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.rootzone.core import core_trace
from ringwise.rootzone.heat import ACT, ALARM, WARN
from ringwise.rootzone.skin import PotHeat, heat_row, tone_words

_EIGHTH_DEG = 45.0  # of a full turn


def heat_trace(pot: PotHeat, kind: str) -> Trace:
    """Where the temperature of a pot comes from: lag, colour, sun, sky and wind of its place.

    Parameters
    ----------
    pot : PotHeat
        From `skin.pot_heat`.
    kind : str
        Of `weather.microsite.KINDS`.

    Returns
    -------
    Trace
        With its rows.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.skin import pot_heat
    >>> tray = pot_heat(pot_shape("rectangle", PotLengths(300, 200, 70)), colour="black")
    >>> heat_trace(tray, "open_bench").value
    'dark in colour'
    """
    skin = pot.skin
    rows = {
        (skin.tone, "absorbed_frac"): _("sun that the wall takes up"),
        **({("terracotta", "kept_frac"): _("share of it not spent on drying")} if skin.kept_frac < 1 else {}),
        (kind, "sun_frac"): _("sun of the place"),
        (kind, "sky_frac"): _("open sky of the place"),
        (kind, "wind_frac"): _("wind of the place"),
        ("exchange", "calm_w_m2_k"): _("heat exchanged with still air"),
        ("exchange", "rise_w_m2_k"): _("what each m/s of wind adds"),
        ("top", "open_frac"): _("surface open to sun and sky"),
        ("top", "kept_frac"): _("share of its sun that warms the mix"),
        ("wall", "inward_w_m2_k"): _("heat passed on from wall to core"),
        ("wall", "behind_frac"): _("share of the fall before the outermost roots"),
    }
    told = "" if skin.told else _(", colour not noted")
    return Trace(
        label=_("heat of the pot in sun and wind"),
        value=tone_words(skin.tone) + told,
        room="rootzone.heat",
        formula=_(
            "the core lags behind the air, warmed by the sun on wall and surface, cooled by the open sky"
        ),
        source="own",
        basis="assumed",
        inputs=(
            core_trace(pot.core),
            *(trace_parameter(heat_row(*row), words) for row, words in rows.items()),
        ),
    )


def side_words(side_deg: float) -> str:
    """A side of a pot in words.

    Parameters
    ----------
    side_deg : float
        From north over east.

    Returns
    -------
    str
        One of eight.

    Source
    ------
    own.

    Examples
    --------
    >>> side_words(230.0), side_words(359.0)
    ('south-west', 'north')
    """
    sides = (
        _("north"),
        _("north-east"),
        _("east"),
        _("south-east"),
        _("south"),
        _("south-west"),
        _("west"),
        _("north-west"),
    )
    return sides[round(side_deg / _EIGHTH_DEG) % len(sides)]


def heat_advice(level: str) -> str:
    """What to do about heat in a pot.

    Parameters
    ----------
    level : str
        One of `heat.LEVELS`.

    Returns
    -------
    str
        Empty where nothing is to be done.

    Source
    ------
    practice.

    Examples
    --------
    >>> heat_advice("")
    ''
    """
    return {
        WARN: _("Roots stop growing behind the sunny wall; shade it when the sun stands on it."),
        ACT: _(
            "Shade the pot wall with cloth or a board, move it or set pots close together, and water in the "
            "morning. Never spray cold water on a hot pot as a cure."
        ),
        ALARM: _(
            "Roots at the wall may be injured: out of the sun first, then shade the wall or set pots close "
            "together, and water in the morning. Never spray cold water on a hot pot as a cure."
        ),
    }.get(level, "")
