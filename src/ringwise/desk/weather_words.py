"""The measures of a day's weather in the grower's words."""

from __future__ import annotations

from ringwise.kit.words import _


def measure_words(ours: str) -> str:
    """A column of ours in words.

    Parameters
    ----------
    ours : str
        Such as "tmin_degC", or "date".

    Returns
    -------
    str
        In the reader's language; a name that is not known as it is.

    Examples
    --------
    >>> measure_words("tmin_degC"), measure_words("rain_mm")
    ('lowest temperature', 'rain')
    """
    words = {
        "date": _("day"),
        "tmin_degC": _("lowest temperature"),
        "tmax_degC": _("highest temperature"),
        "tmean_degC": _("mean temperature"),
        "rh_min_pct": _("lowest humidity"),
        "rh_max_pct": _("highest humidity"),
        "rain_mm": _("rain"),
        "wind_2m_m_s": _("wind"),
        "radiation_mj_m2": _("radiation"),
        "sunshine_h": _("hours of sun"),
    }
    return words.get(ours, ours)
