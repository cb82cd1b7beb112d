"""Wishes for one formula at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from ringwise.phenology.calc import StageDay


@dataclass(frozen=True)
class PotWish:
    """A pot as typed for `ringwise calc pot`; a bare number is mm."""

    shape: str
    depth: str
    length: str | None = None
    width: str | None = None
    bottom: str | None = None
    top: str | None = None
    rim: str = ""
    base_drop: str = ""
    taper: str = ""


def calc_pot(wish: PotWish) -> Shape:
    """Volume and area of a pot from its inside measures."""
    from ringwise.rootzone.pot_reading import PotWords, read_pot

    words = PotWords(
        wish.length or "",
        wish.width or "",
        wish.depth,
        wish.top or "",
        wish.bottom or "",
        wish.rim,
        wish.base_drop,
        wish.taper,
    )
    pot = read_pot(wish.shape, words)
    answer = {
        "shape": pot.shape,
        "length_mm": pot.length_mm,
        "width_mm": pot.width_mm,
        "depth_mm": pot.depth_mm,
        "rim_drop_mm": pot.rim_drop_mm,
        "base_drop_mm": pot.base_drop_mm,
        "taper_frac": pot.taper_frac,
        "area_cm2": pot.area_mm2 / 100,
        "volume_cm3": pot.volume_cm3,
        "volume_l": pot.volume_cm3 / 1000,
    }
    lines = [
        _("volume {volume} ({cm3} cm³)").format(
            volume=show.litres(pot.volume_cm3, 2), cm3=show.number(pot.volume_cm3, 5)
        ),
        _("surface {area}").format(area=show.area(pot.area_mm2)),
    ]
    return answer | {"lines": lines}


@dataclass(frozen=True)
class StageWish:
    """A published model on a weather file, as typed for `ringwise calc stage`."""

    species: str
    weather: Path
    year: int
    model: str = "menzel"
    columns: str | None = None
    stage: str | None = None
    parameters: str | None = None
    south: bool = False
    latitude_deg: float | None = None


def parse_overrides(text: str | None) -> dict[str, float]:
    """Parameter overrides typed as "a=1372,b=-246".

    Parameters
    ----------
    text : str or None
        What was typed.

    Returns
    -------
    dict of str to float
        By parameter name.

    Raises
    ------
    InputError
        If a part does not read.

    Examples
    --------
    >>> parse_overrides("a=1372,b=-246")
    {'a': 1372.0, 'b': -246.0}
    """
    values: dict[str, float] = {}
    for part in (text or "").split(","):
        if not part.strip():
            continue
        name, _mark, value = part.partition("=")
        try:
            number = float(value)
        except ValueError:
            number = math.nan
        values[name.strip()] = number
        if not math.isfinite(number):
            raise InputError(
                _('--parameters has "{part}"; write name=number, such as a=1372').format(part=part.strip())
            )
    return values


def calc_stage(wish: StageWish) -> Shape:
    """The day on which a published model puts a stage, with the parameter rows it used."""
    from ringwise.desk.weather import read_weather_file
    from ringwise.phenology.calc import StageAsk, stage_day

    series = read_weather_file(wish.weather, wish.columns)
    ask = StageAsk(
        model=wish.model,
        species=wish.species,
        year=wish.year,
        south=wish.south or (wish.latitude_deg or 0.0) < 0.0,
        stage=wish.stage,
        overrides=parse_overrides(wish.parameters),
        latitude_deg=wish.latitude_deg,
    )
    found = stage_day(series, ask)
    return _stage_answer(wish, found)


def _stage_answer(wish: StageWish, found: StageDay) -> Shape:
    rows = [
        {name: getattr(row, name) for name in ("key", "parameter", "value", "unit", "basis", "source")}
        for row in found.rows
    ]
    answer = {
        "model": wish.model,
        "species": found.species,
        "stage": found.stage,
        "year": wish.year,
        "date": None if found.when is None else found.when.isoformat(),
        "day_of_year": found.day_of_year,
        "chill_days": found.chill_days,
        "heat_degC_days": found.heat_degC_days,
        "heat_needed_degC_days": found.heat_needed_degC_days,
        "forcing_days": found.forcing_days,
        "forcing_needed_days": found.forcing_needed_days,
        "chill_portions": found.chill_portions,
        "latitude_deg": wish.latitude_deg,
        "parameters": rows,
    }
    reached = (
        _("not reached in this series")
        if found.when is None
        else _("{date}, day {n} of the year").format(
            date=show.day(found.when, year=True), n=found.day_of_year
        )
    )
    lines = [f"{found.species}, {found.stage}, {found.model}: {reached}"]
    lines += [
        f"  {r['parameter']} = {r['value']} {r['unit']} ({from_data(r['basis'])}, {r['source']})"
        for r in rows
    ]
    return answer | {"lines": lines}
