"""Settings in rising order: `collection.toml` in the folder, `RINGWISE_*` variables, flags."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from pathlib import Path

from ringwise.kit.days import parse_date
from ringwise.kit.errors import FileFormatError, InputError, out_of_range, unknown_name
from ringwise.kit.reading import UNITS, Reading, Units, language_of, languages, process_reading
from ringwise.kit.words import _

FILE_NAME = "collection.toml"


@dataclass(frozen=True)
class Settings:
    """What holds for a collection: its place, people, units and the day that counts as today."""

    name: str = ""
    owner: str = "owner"
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_m: float = 0.0
    station: str = ""
    borrowed_station: str = ""
    yard_above_borrowed_m: float | None = None
    weather_address: str = ""
    weather_columns: str = ""
    today: date | None = None
    seed: int = 20270307
    invented: bool = False
    workers: int = 2
    units: Units = "metric"
    language: str = ""

    @property
    def south(self) -> bool:
        """Whether the yard lies south of the equator; unknown latitude counts as north and is said so."""
        return self.latitude_deg is not None and self.latitude_deg < 0

    @property
    def reading(self) -> Reading:
        """How its people read; without a language of its own, in that of the environment."""
        return Reading(self.language or process_reading().language, self.units)


_NUMBERS = {
    "latitude_deg": (-90.0, 90.0),
    "longitude_deg": (-180.0, 180.0),
    "elevation_m": (-450.0, 6000.0),
    "yard_above_borrowed_m": (-5000.0, 5000.0),
}
_WHOLE = {"seed": (0, 2**63 - 1), "workers": (1, 64)}


def _bounded(name: str, value: object, low: float, high: float) -> float:
    try:
        number = float(str(value))
    except ValueError:
        raise InputError(
            _('setting {name} is "{value}", which is no number; accepted: {low:g} to {high:g}').format(
                name=name, value=value, low=low, high=high
            )
        ) from None
    if not low <= number <= high:
        raise out_of_range(
            _("setting {name}").format(name=name),
            str(value),
            _("{low} to {high}").format(low=f"{low:g}", high=f"{high:g}"),
        )
    return number


def _converted(name: str, value: object) -> object:
    if name in _NUMBERS:
        return _bounded(name, value, *_NUMBERS[name])
    if name in _WHOLE:
        return int(_bounded(name, value, *_WHOLE[name]))
    if name == "today":
        return (
            value
            if isinstance(value, date)
            else parse_date(str(value), field=_("setting {name}").format(name=name))
        )
    if name == "invented":
        return str(value).lower() in {"true", "yes", "1"}
    if name == "units":
        return _one_of(name, str(value), UNITS)
    if name == "language" and value != "":
        return _one_of(name, _language(str(value)), languages())
    return str(value)


def _one_of(name: str, value: str, known: Sequence[str]) -> str:
    if value not in known:
        raise unknown_name(_("setting {name}").format(name=name), value, known)
    return value


def _language(typed: str) -> str:
    """A locale such as "de_DE.UTF-8" names its language; what has no catalogue stays as typed."""
    found = language_of(typed)
    english = typed.split("_")[0].split(".")[0] in {"C", "POSIX"} or typed.lower().startswith(found)
    return found if english else typed


def _merge(base: Settings, values: Mapping[str, object], where: str) -> Settings:
    known = {f.name for f in fields(Settings)}
    changes: dict[str, object] = {}
    for name, value in values.items():
        if name not in known:
            raise unknown_name(_("setting in {where}").format(where=where), name, known)
        changes[name] = _converted(name, value)
    return replace(base, **changes)  # type: ignore[arg-type]


def load_settings(folder: Path, environment: Mapping[str, str] | None = None) -> Settings:
    """The settings of a collection, with the environment's on top.

    Parameters
    ----------
    folder : Path
        The collection's folder; its `collection.toml` may be missing.
    environment : mapping of str to str, optional
        By default the process environment; `RINGWISE_TODAY` overrides `today` and so on.

    Returns
    -------
    Settings
        Checked.

    Raises
    ------
    FileFormatError
        If the file is no TOML.

    Examples
    --------
    >>> load_settings(Path("/nowhere"), {"RINGWISE_LATITUDE_DEG": "-33.9"}).south
    True
    """
    settings = Settings()
    file = folder / FILE_NAME
    if file.is_file():
        try:
            values = tomllib.loads(file.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as wrong:
            raise FileFormatError(
                _("does not read as TOML: {why}").format(why=wrong), where=str(file)
            ) from None
        settings = _merge(settings, values, FILE_NAME)
    source = os.environ if environment is None else environment
    names = {f"RINGWISE_{f.name.upper()}": f.name for f in fields(Settings)}
    chosen = {names[key]: value for key, value in source.items() if key in names}
    return _merge(settings, chosen, _("the environment"))


def write_settings(folder: Path, values: Mapping[str, object]) -> None:
    """Write `collection.toml`, checked first, in one step (a kill leaves the old file or the new one).

    Parameters
    ----------
    folder : Path
        The collection's folder.
    values : mapping of str to object
        Settings to write: text, numbers, dates, yes or no.

    Raises
    ------
    InputError
        If a setting is unknown or out of range.

    Examples
    --------
    >>> import tempfile
    >>> here = Path(tempfile.mkdtemp())
    >>> write_settings(here, {"latitude_deg": 52.4, "today": date(2027, 3, 7)})
    >>> load_settings(here, {}).today
    datetime.date(2027, 3, 7)
    """
    _merge(Settings(), values, FILE_NAME)
    lines = ["# Settings of this collection. Environment variables RINGWISE_* and flags win over this file."]
    for name, value in values.items():
        if isinstance(value, bool):
            lines.append(f"{name} = {'true' if value else 'false'}")
        elif isinstance(value, int | float):
            lines.append(f"{name} = {value!r}")
        elif isinstance(value, date):
            lines.append(f"{name} = {value.isoformat()}")
        else:
            text = str(value).replace("\\", "\\\\").replace('"', '\\"')
            lines.append(f'{name} = "{text}"')
    folder.mkdir(parents=True, exist_ok=True)
    draft = folder / (FILE_NAME + ".new")
    draft.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with draft.open("rb") as handle:
        os.fsync(handle.fileno())
    draft.replace(folder / FILE_NAME)
