"""Dates as growers know them: exact, partial, about or unknown; kept as typed and as a closed interval."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from ringwise.kit.days import days_in_month
from ringwise.kit.errors import DateError
from ringwise.kit.words import _
from ringwise.records.date_words import in_english

PRECISIONS = ("day", "month", "season", "year", "circa", "before", "after", "unknown")

_CIRCA_YEARS = 2  # "about 1990" is read as 1988 to 1992: the reach of a grower's memory, a convention of ours
_CENTURY_TURN = 69  # two-digit years 69 to 99 are 19xx and 00 to 68 are 20xx, as in POSIX strptime
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_MONTH_NUMBER = (
    {name: i + 1 for i, name in enumerate(_MONTHS)}
    | {name[:3]: i + 1 for i, name in enumerate(_MONTHS)}
    | {"sept": 9}
)
_SEASON_START_NORTH = {"spring": 3, "summer": 6, "autumn": 9, "fall": 9, "winter": 12}
_SEASON_MONTHS = 3
_UNKNOWN = {"unknown", "not known", "no idea", "don't know", "dont know", "?", "??", "???"}

_YEAR = r"(?P<year>[12]\d{3})"
_SHORT_YEAR = r"(?P<year>[12]\d{3}|'?\d{2})"
_WORD = r"(?P<word>[a-z]+)\.?"
_ISO_DAY = re.compile(rf"{_YEAR}-(?P<month>\d{{1,2}})-(?P<day>\d{{1,2}})")
_DAY_FIRST = re.compile(rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\s+{_WORD},?\s+{_YEAR}")
_DAY_SECOND = re.compile(rf"{_WORD}\s+(?P<day>\d{{1,2}})(?:st|nd|rd|th)?,?\s+{_YEAR}")
_ISO_MONTH = re.compile(rf"{_YEAR}-(?P<month>\d{{1,2}})")
_WORD_YEAR = re.compile(rf"{_WORD}\s+{_SHORT_YEAR}(?:\s*[/–-]\s*(?P<next>\d{{4}}|\d{{2}}))?")
_YEAR_ONLY = re.compile(r"(?P<year>[12]\d{3}|'\d{2})")
_CIRCA = re.compile(r"(?:about|around|roughly|circa|ca\.?|c\.?|~)\s*(?P<rest>.+)")
_BOUND = re.compile(r"(?P<side>before|after|since)\s+(?P<rest>.+)")


@dataclass(frozen=True)
class FuzzyDate:
    """A date as typed and the closed interval it means; an open or unknown end is None."""

    typed: str
    earliest: date | None
    latest: date | None
    precision: str

    @property
    def known(self) -> bool:
        """Whether at least one end is known."""
        return self.earliest is not None or self.latest is not None

    @property
    def middle(self) -> date | None:
        """The day half-way between both ends (the earlier of two); None where an end is open."""
        if self.earliest is None or self.latest is None:
            return None
        return self.earliest + (self.latest - self.earliest) // 2

    @property
    def by(self) -> date | None:
        """The day by which it had happened: the latest, or the earliest where the latest is open."""
        return self.latest or self.earliest


UNKNOWN = FuzzyDate("unknown", None, None, "unknown")


def exact_day(when: date) -> FuzzyDate:
    """The fuzzy date that is one day and no more.

    Parameters
    ----------
    when : date
        The day.

    Returns
    -------
    FuzzyDate
        With both ends on that day.

    Examples
    --------
    >>> exact_day(date(2027, 3, 7)).typed
    '2027-03-07'
    """
    return FuzzyDate(when.isoformat(), when, when, "day")


def parse_fuzzy_date(text: str, *, field: str, south: bool = False) -> FuzzyDate:
    """A date as a grower types it, kept as typed and as an interval; nothing is made more exact than it was.

    The rules, tried in this order, upper and lower case alike:

    - "unknown", "no idea", "not known", "don't know", "?": no interval; unknown stays unknown.
    - "about 1990", "around", "roughly", "circa", "c.", "ca.", "~" before a year: two years either way.
    - "before X": up to the eve of X. "after X": from the day after X. "since X": from the first day of X.
      X is any form below; the other end stays open.
    - "2021-03-14", "14 March 2021", "14 Mar 2021", "March 14, 2021": that day.
    - "2021-03", "March 2021", "Mar 2021": that month.
    - "spring 2021", "autumn 19", "fall 2019": three months, in the north from 1 March (spring), 1 June
      (summer), 1 September (autumn) and 1 December (winter), in the south half a year later. A season that
      crosses the new year is named by the year in which it begins; "winter 2020/21" says so itself.
    - "2021", "'21": that year. Two digits mean 1969 to 2068. Two digits after a month ("March 21") or on
      their own could be a day or a year and are refused.
    - German words stand for the English ones ("Frühjahr 2019", "um 1990", "unbekannt"), and "14.3.2021" for
      14 March 2021.

    Parameters
    ----------
    text : str
        What was typed.
    field : str
        The field's name, for the error line.
    south : bool
        Whether the place lies south of the equator, which shifts the seasons.

    Returns
    -------
    FuzzyDate
        The text (outer blanks removed), the interval and its precision.

    Raises
    ------
    DateError
        If the text is no day of the calendar or can be read in two ways.

    Examples
    --------
    >>> found = parse_fuzzy_date("spring 21", field="last repot")
    >>> found.earliest.isoformat(), found.latest.isoformat(), found.typed
    ('2021-03-01', '2021-05-31', 'spring 21')
    >>> parse_fuzzy_date("no idea", field="last repot").known
    False
    """
    typed = text.strip()
    folded = in_english(" ".join(typed.lower().replace("’", "'").split()))
    if folded in _UNKNOWN:
        return FuzzyDate(typed, None, None, "unknown")
    try:
        earliest, latest, precision = _interval(folded, south)
    except _Unreadable as reason:
        raise DateError(
            _('{field} is "{typed}", {reason}').format(
                field=field, typed=" ".join(typed.split()), reason=reason
            )
        ) from None
    return FuzzyDate(typed, earliest, latest, precision)


class _Unreadable(Exception):
    """Why a text is no date, as the second half of the error line."""


def _interval(text: str, south: bool) -> tuple[date | None, date | None, str]:
    if bound := _BOUND.fullmatch(text):
        return _bounded(bound["side"], bound["rest"], south)
    if circa := _CIRCA.fullmatch(text):
        year = _YEAR_ONLY.fullmatch(circa["rest"])
        if year is None:
            raise _Unreadable(_('but "about" goes with a year, such as "about 1990".'))
        middle = _full_year(year["year"])
        return date(middle - _CIRCA_YEARS, 1, 1), date(middle + _CIRCA_YEARS, 12, 31), "circa"
    return _closed(text, south)


def _bounded(side: str, rest: str, south: bool) -> tuple[date | None, date | None, str]:
    first, last, _precision = _closed(rest, south)
    if side == "before":
        return None, first - timedelta(days=1), "before"
    return (last + timedelta(days=1) if side == "after" else first), None, "after"


def _closed(text: str, south: bool) -> tuple[date, date, str]:
    for pattern in (_ISO_DAY, _DAY_FIRST, _DAY_SECOND):
        if match := pattern.fullmatch(text):
            parts = match.groupdict()
            month = int(parts["month"]) if "month" in parts else _month(parts["word"])
            when = _day(int(parts["year"]), month, int(parts["day"]))
            return when, when, "day"
    if match := _ISO_MONTH.fullmatch(text):
        return *_whole_month(int(match["year"]), int(match["month"])), "month"
    if match := _YEAR_ONLY.fullmatch(text):
        year = _full_year(match["year"])
        return date(year, 1, 1), date(year, 12, 31), "year"
    if match := _WORD_YEAR.fullmatch(text):
        return _named(match, south)
    raise _Unreadable(
        _(
            "which is no date. Write 2021-03-14, March 2021, spring 2021, 2021, about 1990,"
            " before 2019 or unknown."
        )
    )


def _named(match: re.Match[str], south: bool) -> tuple[date, date, str]:
    word, typed_year = match["word"], match["year"]
    if word in _SEASON_START_NORTH:
        return *_season(word, _full_year(typed_year), match["next"], south), "season"
    month = _month(word)
    if match["next"] is not None:
        raise _Unreadable(_("but only a season can span two years."))
    if len(typed_year) == 2:
        raise _Unreadable(_("which could be a day or a year. Write the year in full, such as March 2021."))
    return *_whole_month(_full_year(typed_year), month), "month"


def _season(word: str, year: int, following: str | None, south: bool) -> tuple[date, date]:
    month = (_SEASON_START_NORTH[word] - 1 + (6 if south else 0)) % 12 + 1
    last_month = (month + _SEASON_MONTHS - 2) % 12 + 1
    crosses = last_month < month
    if following is not None and (not crosses or int(following) % 100 != (year + 1) % 100):
        raise _Unreadable(_("but that season does not span those two years."))
    first = date(year, month, 1)
    return first, _whole_month(year + (1 if crosses else 0), last_month)[1]


def _whole_month(year: int, month: int) -> tuple[date, date]:
    first = _day(year, month, 1)
    return first, first.replace(day=days_in_month(year, month))


def _day(year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise _Unreadable(
            _("which is no day of the calendar. Write YYYY-MM-DD, such as 2021-03-14.")
        ) from None


def _month(word: str) -> int:
    if word not in _MONTH_NUMBER:
        raise _Unreadable(
            _('but "{word}" is no month or season. Write March 2021 or spring 2021.').format(word=word)
        )
    return _MONTH_NUMBER[word]


def _full_year(text: str) -> int:
    digits = text.lstrip("'")
    if len(digits) == 4:
        return int(digits)
    return int(digits) + (1900 if int(digits) >= _CENTURY_TURN else 2000)
