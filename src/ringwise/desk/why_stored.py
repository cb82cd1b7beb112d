"""Why the weather under the windows is what it is: which series, what was measured, which imports."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.weather_under import station_of, stored_series
from ringwise.desk.weather_words import measure_words
from ringwise.kit import show
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def stored_trace(workspace: Workspace, station: str) -> Trace:
    """The chain behind the lines on a stored series.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    station : str
        Its name; blank for the yard's own.

    Returns
    -------
    Trace
        Its first link.

    Raises
    ------
    NotFoundError
        If nothing is stored for it.
    """
    import numpy as np

    from ringwise.weather.series import MEASURES

    series = stored_series(workspace, station_of(workspace, station or None))
    measures = tuple(
        Trace(measure_words(name), counted("{n} day", "{n} days", int(known)), "weather.series")
        for name in MEASURES
        for known in [np.count_nonzero(~np.isnan(series.column(name)))]
        if known
    )
    filled, missing = int(series.filled.sum()), int(np.isnan(series.tmean_degC).sum())
    return Trace(
        label=_("stored weather of {station}").format(station=series.station),
        value=_("{first} to {last}").format(
            first=show.day(series.first, year=True), last=show.day(series.last, year=True)
        ),
        room="records.store",
        formula=_("a later import counts over an earlier one, day by day"),
        basis="assumed" if series.invented else "measured",
        inputs=(
            Trace(_("days"), counted("{n} day", "{n} days", series.n), "weather.series"),
            Trace(_("read from"), series.source or _("unknown")),
            Trace(
                _("filled"),
                counted("{n} day", "{n} days", filled),
                "weather.series",
                _("a straight line over a gap of at most three days"),
                "own",
            ),
            Trace(
                _("without a daily mean"),
                counted("{n} day", "{n} days", missing),
                "weather.series",
                _("longer gaps stay open"),
            ),
            *measures,
        ),
    )
