"""What a weather file turned out to hold: the series, what was understood, and what was rejected and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ringwise.kit.errors import FileFormatError
from ringwise.weather.series import WeatherSeries


class UnknownTableError(FileFormatError):
    """A table of no format that is known; a mapping can say what its columns are."""


@dataclass(frozen=True)
class Understood:
    """One column of the file: its name there, ours, its unit there, and how many days it gave."""

    column: str
    ours: str
    unit: str
    values: int


@dataclass(frozen=True)
class Rejected:
    """One value that was not taken, as it stood in the file, and why."""

    day: date
    column: str
    text: str
    reason: str


@dataclass(frozen=True)
class WeatherRead:
    """A file as read. `forecast_from` is the first day that was not measured yet; None where all were."""

    series: WeatherSeries
    format: str
    understood: tuple[Understood, ...]
    rejected: tuple[Rejected, ...] = ()
    forecast_from: date | None = None
    notes: tuple[str, ...] = ()

    @property
    def forecast_days(self) -> int:
        """How many days of the series are forecast."""
        return 0 if self.forecast_from is None else (self.series.last - self.forecast_from).days + 1


@dataclass(frozen=True)
class Wish:
    """What the reader of a file is told beside its text."""

    file: str
    station: str = ""
    today: date | None = None  # None: nobody asks which days are forecast
    invented: bool = False
