"""What a grower says of a climate, two monthly means or twelve, and usual frost days; not yet weather."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ringwise.kit.errors import out_of_range
from ringwise.kit.words import _
from ringwise.weather.normals import MEAN_DEGC, Normals, checked_normals


@dataclass(frozen=True)
class ClimateWords:
    """What a grower says of a place; of a frost day only month and day count.

    With twelve normals, the coldest and the warmest month are those among them.
    """

    latitude_deg: float
    coldest_month_degC: float
    warmest_month_degC: float
    last_frost: date | None = None
    first_frost: date | None = None
    normals: Normals | None = None

    @property
    def south(self) -> bool:
        """Whether the place lies south of the equator."""
        return self.latitude_deg < 0


def checked_words(words: ClimateWords) -> ClimateWords:
    """The words themselves, if they can be a climate.

    Parameters
    ----------
    words : ClimateWords
        As stated.

    Returns
    -------
    ClimateWords
        The same.

    Raises
    ------
    RangeError
        If a mean or the latitude is out of range, or the coldest month is warmer than the warmest.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> checked_words(ClimateWords(95.0, 1.0, 19.0))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.RangeError: latitude is 95; accepted: -90 to 90 degrees.
    """
    if words.normals is not None:
        _check_normals(words, checked_normals(words.normals))
    low, high = MEAN_DEGC
    if not -90.0 <= words.latitude_deg <= 90.0:
        raise out_of_range(_("latitude"), f"{words.latitude_deg:g}", _("-90 to 90 degrees"))
    for field, value in (
        (_("coldest month"), words.coldest_month_degC),
        (_("warmest month"), words.warmest_month_degC),
    ):
        if not low <= value <= high:
            raise out_of_range(
                field,
                f"{value:.3g} degC",
                _("{low:g} to {high:g} degC").format(low=low, high=high),
                way_out=_("Give the mean of day and night over that month."),
            )
    if words.coldest_month_degC > words.warmest_month_degC:
        raise out_of_range(
            _("coldest month"),
            f"{words.coldest_month_degC:.3g} degC",
            _("at most the warmest month, {warm:.3g} degC").format(warm=words.warmest_month_degC),
            way_out=_("Exchange the two."),
        )
    return words


def _check_normals(words: ClimateWords, normals: Normals) -> None:
    for field, stated, mean in (
        (_("coldest month"), words.coldest_month_degC, normals.coldest_degC),
        (_("warmest month"), words.warmest_month_degC, normals.warmest_degC),
    ):
        if stated != mean:
            raise out_of_range(
                field, f"{stated:.3g} degC", _("that of the twelve, {mean:.3g}").format(mean=mean)
            )


def words_of_normals(
    latitude_deg: float, normals: Normals, *, last_frost: date | None = None, first_frost: date | None = None
) -> ClimateWords:
    """A climate told by twelve monthly normals.

    Parameters
    ----------
    latitude_deg : float
        Of the place; south is negative.
    normals : Normals
        January first in both hemispheres.
    last_frost, first_frost : date, optional
        Usual frost days, a check only.

    Returns
    -------
    ClimateWords
        Not checked yet.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> months = (1.0, 2.0, 5.0, 9.0, 14.0, 17.0, 19.0, 18.5, 14.5, 9.5, 5.0, 2.0)
    >>> words_of_normals(52.4, Normals(months)).warmest_month_degC
    19.0
    """
    coldest, warmest = min(normals.mean_degC, default=0.0), max(normals.mean_degC, default=0.0)
    return ClimateWords(latitude_deg, coldest, warmest, last_frost, first_frost, normals)
