"""In how many weather years frost would follow root work, with the nights and degrees of the trade's rule."""

from __future__ import annotations

from datetime import date

from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.weather.frost import FrostYears
from ringwise.weather.frost import frost_years as count_frost_years
from ringwise.weather.years import WeatherMembers

ROOM = "ringwise.season"


def frost_after(members: WeatherMembers, work: date) -> FrostYears:
    """Count the weather years with frost in the nights after a day of root work.

    Parameters
    ----------
    members : WeatherMembers
        Past years' weather laid over this one.
    work : date
        The day of the work, such as the median opening of a window.

    Returns
    -------
    FrostYears
        For as many nights, and below such a bench air, as the table of cues says.

    Source
    ------
    practice: 14 nights, bench air at 0 degrees C where the pot's core is not modelled.

    Examples
    --------
    >>> round(load_table(ROOM, "cues").get("frost", "nights").number)
    14
    """
    cues = load_table(ROOM, "cues")
    return count_frost_years(
        members,
        after=work,
        within_days=round(cues.get("frost", "nights").number),
        below_degC=cues.get("frost", "at_degC").number,
    )


def frost_words(frost: FrostYears) -> str:
    """The count of frosty years in words.

    Parameters
    ----------
    frost : FrostYears
        From `frost_after`.

    Returns
    -------
    str
        Such as "frost within 14 nights in 9 of 12 weather years".

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> frost_words(FrostYears(9, 12, 1.5, 0.0, -4.0))
    'frost within 14 nights in 9 of 12 weather years'
    """
    nights = round(load_table(ROOM, "cues").get("frost", "nights").number)
    return _("frost within {nights} nights in {frosty} of {years} weather years").format(
        nights=nights, frosty=frost.years, years=frost.of_years
    )
