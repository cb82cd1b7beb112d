"""The only place that reads the clock."""

from __future__ import annotations

from datetime import UTC, date, datetime, time


def system_date() -> date:
    """Today's local civil date.

    Returns
    -------
    date
        Of the machine.

    Examples
    --------
    >>> system_date() >= date(2026, 1, 1)
    True
    """
    return now().date()


def now() -> datetime:
    """This moment with the machine's offset.

    Returns
    -------
    datetime
        With seconds, aware.

    Examples
    --------
    >>> now().tzinfo is not None
    True
    """
    # From UTC: the offset is then the one of this very moment, also in the hour that comes twice.
    return datetime.now(UTC).astimezone().replace(microsecond=0)


def moment(today: date) -> datetime:
    """The moment recorded for an entry: the real one today, noon UTC of a pinned day otherwise.

    Parameters
    ----------
    today : date
        The day that counts as today.

    Returns
    -------
    datetime
        Aware.

    Examples
    --------
    >>> moment(date(2027, 3, 7)).date()
    datetime.date(2027, 3, 7)
    """
    real = now()
    if real.date() == today:
        return real
    return datetime.combine(today, time(12, 0), tzinfo=UTC)


def monotonic_s() -> float:
    """Seconds of a clock that never runs backwards, for progress and log lines.

    Returns
    -------
    float
        Seconds.

    Examples
    --------
    >>> monotonic_s() <= monotonic_s()
    True
    """
    import time as _time

    return _time.monotonic()
