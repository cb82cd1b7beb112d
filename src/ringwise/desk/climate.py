"""Wishes about a place without weather: say what its climate is like, and get weather years from that."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from ringwise.desk.climate_guess import guess_shape
from ringwise.desk.climate_months import (
    kept_months,
    months_line,
    months_shape,
    normals_of,
    turned_months,
    typed_mean,
)
from ringwise.desk.deeds import action
from ringwise.desk.shapes import Shape
from ringwise.desk.texts import one_line
from ringwise.kit import show
from ringwise.kit.errors import DateError, MissingFieldError, at_field
from ringwise.kit.reading import current_reading
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import Setting

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.weather.climate_words import ClimateWords
    from ringwise.weather.frost_words import FrostCheck
    from ringwise.weather.normals import Normals
    from ringwise.weather.series import WeatherSeries

SETTING = "climate"
DESCRIBED_YEARS = 20  # as many as the weather years of an outlook
_ANY_YEAR = 2001  # a frost day is a month and a day


@dataclass(frozen=True)
class ClimateGiven:
    """What was typed of a climate; a blank frost day is one that nobody knows.

    With twelve normals the coldest and the warmest month are theirs, and need not be typed.
    """

    coldest: str
    warmest: str
    last_frost: str = ""
    first_frost: str = ""
    normals: Normals | None = None


def describe_climate(workspace: Workspace, given: ClimateGiven, *, by: str | None = None) -> Shape:
    """Keep the grower's description of the climate as one step that can be taken back.

    Parameters
    ----------
    workspace : Workspace
        The collection; its latitude must be known.
    given : ClimateGiven
        As typed.
    by : str or None
        Who says so.

    Returns
    -------
    dict
        As `climate`, with action and line.

    Raises
    ------
    MissingFieldError
        If the latitude is not set, or one of the two means is blank.
    InputError
        If a mean or a day does not read, or they cannot be a climate; nothing is stored.
    """
    words = _read_words(workspace, given)
    kept = {
        "coldest_month_degC": words.coldest_month_degC,
        "warmest_month_degC": words.warmest_month_degC,
        "last_frost": _month_day(words.last_frost),
        "first_frost": _month_day(words.first_frost),
        "months": kept_months(words.normals),
        "typed": {
            "coldest": given.coldest.strip() or typed_mean(words.coldest_month_degC),
            "warmest": given.warmest.strip() or typed_mean(words.warmest_month_degC),
            "last_frost": given.last_frost.strip(),
            "first_frost": given.first_frost.strip(),
        },
    }
    saved = workspace.store.save(action(workspace, by, "weather describe"), [Setting(SETTING, kept)])
    line = _("the climate is described: coldest month {cold}, warmest month {warm}").format(
        cold=show.temperature(words.coldest_month_degC), warm=show.temperature(words.warmest_month_degC)
    )
    answer = climate(workspace)
    return answer | {"action": saved, "line": line}


def _read_words(workspace: Workspace, given: ClimateGiven) -> ClimateWords:
    from ringwise.weather.climate_words import ClimateWords, checked_words, words_of_normals

    with at_field("last_frost"):
        last_frost = month_and_day(given.last_frost, field=_("last frost"))
    with at_field("first_frost"):
        first_frost = month_and_day(given.first_frost, field=_("first frost"))
    if given.normals is not None:
        return checked_words(
            words_of_normals(
                _latitude_deg(workspace), given.normals, last_frost=last_frost, first_frost=first_frost
            )
        )
    means_degC: dict[str, float] = {}
    for key, field in (("coldest", _("coldest month")), ("warmest", _("warmest month"))):
        text = getattr(given, key)
        with at_field(key):
            if not text.strip():
                raise MissingFieldError(
                    _("{field} is blank; write its mean, such as 3 C").format(field=field)
                )
            means_degC[key] = parse_quantity(text, "temperature", field=field)
    with at_field("coldest"):  # what cannot be a climate is told where the means begin
        here, cold, warm = _latitude_deg(workspace), means_degC["coldest"], means_degC["warmest"]
        return checked_words(ClimateWords(here, cold, warm, last_frost, first_frost))


def climate(workspace: Workspace) -> Shape:
    """What was said of the climate, what stands against it, and where a newcomer may start.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict
        The stated means and frost days, a starting point by latitude, contradictions, why and lines.
    """
    words = stated_climate(workspace)
    kept = workspace.store.settings().get(SETTING)
    typed = kept.get("typed") if isinstance(kept, dict) else None
    against = contradictions(words, workspace.seed) if words else []
    if words is not None and words.normals is not None:
        against = [*against, *turned_months(words.normals, south=words.south)]
    guess = guess_shape(workspace)
    answer: Shape = {
        "described": words is not None,
        "coldest_month_degC": words.coldest_month_degC if words else None,
        "warmest_month_degC": words.warmest_month_degC if words else None,
        "coldest_shown": show.temperature(words.coldest_month_degC) if words else "",
        "warmest_shown": show.temperature(words.warmest_month_degC) if words else "",
        "last_frost": _month_day(words.last_frost) if words else None,
        "first_frost": _month_day(words.first_frost) if words else None,
        "last_frost_shown": _day_shown(words.last_frost) if words else "",
        "first_frost_shown": _day_shown(words.first_frost) if words else "",
        "months": months_shape(words.normals if words else None),
        "typed": typed,
        "contradictions": against,
        "guess": guess,
        "why": "yard:climate" if words else None,
    }
    return answer | {"lines": _lines(answer, guess)}


def _lines(answer: Shape, guess: Shape | None) -> list[str]:
    lines = []
    if answer["described"]:
        lines.append(
            _("Described: coldest month {cold}, warmest month {warm}.").format(
                cold=answer["coldest_shown"], warm=answer["warmest_shown"]
            )
        )
        if answer["months"]:
            lines.append(_("By twelve normals: {months}.").format(months=months_line(answer["months"])))
        if answer["last_frost_shown"]:
            lines.append(_("Usual last frost {day}.").format(day=answer["last_frost_shown"]))
        if answer["first_frost_shown"]:
            lines.append(_("Usual first frost {day}.").format(day=answer["first_frost_shown"]))
        lines += answer["contradictions"]
        lines.append(_("Windows stand on it until weather is imported: ringwise weather import FILE"))
    elif guess is None:
        lines.append(_("No climate is described, and the latitude is not set (collection.toml)."))
    else:
        lines.append(_("No climate is described yet."))
    if guess is not None and not answer["described"]:
        lines += [guess["line"], _("Say it with: ringwise weather describe --coldest '1 C' --warmest '19 C'")]
    return lines


def stated_climate(workspace: Workspace) -> ClimateWords | None:
    """What the grower said of the climate, None where nothing is kept.

    Parameters
    ----------
    workspace : Workspace
        The collection; without a latitude the north is assumed, as everywhere.

    Returns
    -------
    ClimateWords or None
        As kept in the history.
    """
    from ringwise.weather.climate_words import ClimateWords

    kept = workspace.store.settings().get(SETTING)
    if not isinstance(kept, dict):
        return None
    return ClimateWords(
        workspace.settings.latitude_deg or 0.0,
        float(str(kept["coldest_month_degC"])),
        float(str(kept["warmest_month_degC"])),
        _kept_day(kept.get("last_frost")),
        _kept_day(kept.get("first_frost")),
        normals_of(kept.get("months")),
    )


def described_series(workspace: Workspace, words: ClimateWords) -> WeatherSeries:
    """Past growing years as the description lets expect them; of the present one nothing is claimed.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    words : ClimateWords
        From `stated_climate`.

    Returns
    -------
    WeatherSeries
        Up to the eve of this growing year, so that no described day counts as one observed this year: windows
        then stay as wide as the years differ.
    """
    from ringwise.kit.days import GrowingYear

    # The latest year can lend no tail beyond its end, so one more is made than is wanted.
    begins = GrowingYear(workspace.year.label - DESCRIBED_YEARS - 1, workspace.year.south).start
    eve = workspace.year.start - timedelta(days=1)
    return _years(words, begins, eve, workspace.seed, current_reading().language)


@lru_cache(maxsize=4)
def _years(words: ClimateWords, first: date, last: date, seed: int, language: str) -> WeatherSeries:
    """Described years, made once in a language: the series carries its name in words."""
    from ringwise.weather.described import described_years

    return described_years(words, first=first, last=last, seed=seed)


def contradictions(words: ClimateWords, seed: int) -> list[str]:
    """Where a stated frost day does not go with the stated monthly means, one sentence each.

    Parameters
    ----------
    words : ClimateWords
        As stated.
    seed : int
        Of the described years.

    Returns
    -------
    list of str
        Empty where all agrees.
    """
    from ringwise.weather.frost_words import frost_checks

    return [_contradiction(check) for check in frost_checks(words, seed=seed) if not check.fits]


def _contradiction(check: FrostCheck) -> str:
    last = check.which == "last"
    if check.usual is None:
        text = (
            _("With these means most years have no spring frost; you said the last is usually {day}.")
            if last
            else _("With these means most years have no autumn frost; you said the first is usually {day}.")
        )
        return text.format(day=show.day(check.stated)) + " " + _("Check the means first, then the day.")
    text = (
        _("With these means the last frost comes about {usual} ({span}); you said {day}.")
        if last
        else _("With these means the first frost comes about {usual} ({span}); you said {day}.")
    )
    span = (
        show.span(check.earliest, check.latest)
        if check.earliest is not None and check.latest is not None
        else _("not every year")
    )
    return (
        text.format(usual=show.day(check.usual), span=span, day=show.day(check.stated))
        + " "
        + _("Check the means first, then the day.")
    )


def _latitude_deg(workspace: Workspace) -> float:
    if workspace.settings.latitude_deg is None:
        raise MissingFieldError(
            _(
                "the latitude of the yard is not set; it tells summer from winter. Write latitude_deg = 52.4 "
                "(south of the equator -52.4) into {file}"
            ).format(file=workspace.folder / "collection.toml")
        )
    return workspace.settings.latitude_deg


def month_and_day(text: str, *, field: str) -> date | None:
    """A day of any year as typed: "10 Apr", "Apr 10" or "04-10"; None where blank.

    Parameters
    ----------
    text : str
        As typed.
    field : str
        The field's name, for the error line.

    Returns
    -------
    date or None
        In a year that means nothing.

    Raises
    ------
    DateError
        If it is no such day.

    Examples
    --------
    >>> month_and_day("10 Apr", field="last frost"), month_and_day("04-10", field="last frost")
    (datetime.date(2001, 4, 10), datetime.date(2001, 4, 10))
    """
    from ringwise.records.dates import parse_fuzzy_date

    typed = text.strip()
    if not typed:
        return None
    for written in (f"{typed} {_ANY_YEAR}", f"{_ANY_YEAR}-{typed}"):
        try:
            read = parse_fuzzy_date(written, field=field)
        except DateError:
            continue
        if read.precision == "day":
            return read.earliest
    raise DateError(
        _(
            '{field} is "{text}", which is no day of the year. Write day and month, such as 10 Apr; '
            "leave it blank where nobody knows it."
        ).format(field=field, text=one_line(typed))
    )


def _month_day(day: date | None) -> str | None:
    return None if day is None else f"{day.month:02d}-{day.day:02d}"


def _kept_day(kept: object) -> date | None:
    return None if not kept else date.fromisoformat(f"{_ANY_YEAR}-{kept}")


def _day_shown(day: date | None) -> str:
    return "" if day is None else show.day(day)
