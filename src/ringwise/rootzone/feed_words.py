"""What the figures of feed, salts and hard water mean, in words."""

from __future__ import annotations

from ringwise.kit.errors import unknown_name
from ringwise.kit.show import litres, number, spanned
from ringwise.kit.words import _
from ringwise.rootzone.feed import Watering, feed_number, feed_table

FEEDINGS = ("liquid", "slow", "none")


def alkalinity_words(alkalinity_mg_l: float) -> str:
    """What a water's alkalinity means for pots.

    Parameters
    ----------
    alkalinity_mg_l : float
        As calcium carbonate, in mg/L.

    Returns
    -------
    str
        One line.

    Source
    ------
    alkalinity_slides: below 100 wanted, acidify above 150 (second-hand).

    Examples
    --------
    >>> alkalinity_words(60.0)
    'soft enough: below 100 ppm'
    """
    wanted, acidify = (
        feed_number("alkalinity", "wanted_below_ppm"),
        feed_number("alkalinity", "acidify_above_ppm"),
    )
    if alkalinity_mg_l < wanted:
        return _("soft enough: below {n} ppm").format(n=number(wanted, 4))
    if alkalinity_mg_l <= acidify:
        return _("hard: rain water in turn keeps the pH down")
    return _("very hard: above {n} ppm; use rain water, or acidify as a last resort").format(
        n=number(acidify, 4)
    )


def salts_words(ec_ms_cm: float, feeding: str) -> str:
    """What the conductivity of a pour-through sample says.

    Parameters
    ----------
    ec_ms_cm : float
        In mS/cm.
    feeding : str
        liquid, slow or none.

    Returns
    -------
    str
        One line; the bands are for nursery mixes of bark and peat.

    Raises
    ------
    UnknownNameError
        If the way of feeding is none of the three.

    Source
    ------
    osu_fresh_media (second-hand) for unfed pots; working bands of the others recalled.

    Examples
    --------
    >>> salts_words(1.8, "liquid")
    'above the band of 0.5 to 1 mS/cm: water through until clear, then measure again'
    """
    if feeding not in FEEDINGS:
        raise unknown_name(_("way of feeding"), feeding, FEEDINGS)
    if feeding == "none":
        low, high = 0.0, feed_number("salts", "fresh_below_ms_cm")
    else:
        row = feed_table().get("salts", f"{feeding}_ms_cm")
        low, high = row.low or 0.0, row.high or 0.0
    band = spanned(number(low, 3), f"{number(high, 3)} mS/cm")
    if ec_ms_cm > high:
        return _("above the band of {band}: water through until clear, then measure again").format(band=band)
    if ec_ms_cm < low:
        return _("below the band of {band}: little feed is left").format(band=band)
    return _("in the band of {band}").format(band=band)


def poured_words(poured: Watering) -> str:
    """A watering in words.

    Parameters
    ----------
    poured : Watering
        What is poured and what runs out.

    Returns
    -------
    str
        One line.

    Source
    ------
    own: arithmetic.

    Examples
    --------
    >>> poured_words(Watering(941.2, 141.2))
    'pour 0.94 L, of which 140 cm³ runs out'
    """
    return _("pour {applied}, of which {leached} runs out").format(
        applied=litres(poured.applied_cm3, 2), leached=litres(poured.leached_cm3, 2)
    )
