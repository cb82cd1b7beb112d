"""Invented thermometer readings at two places of the demo yard: the frost-free shed and the shade house."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np

from ringwise.desk.place_readings import ROLE
from ringwise.kit.tables import load_rows
from ringwise.records.store import WeatherRows

SOURCE = "invented"
_MEASURES = ("tmin_degC", "tmax_degC")


def demo_readings() -> tuple[WeatherRows, ...]:
    """What the grower of the demo yard read, a place each; one maximum was read in the sun."""
    by_place: dict[str, list[Mapping[str, str]]] = {}
    for row in load_rows("ringwise.desk.demo", "readings"):
        by_place.setdefault(row["place"], []).append(row)
    return tuple(_place(place, rows) for place, rows in by_place.items())


def _place(place: str, rows: Sequence[Mapping[str, str]]) -> WeatherRows:
    days = [date.fromisoformat(row["day"]) for row in rows]
    first = min(days)
    n_days = (max(days) - first).days + 1
    columns = {name: np.full(n_days, np.nan) for name in _MEASURES}
    for day, row in zip(days, rows, strict=True):
        for name in _MEASURES:
            columns[name][(day - first).days] = float(row[name])
    return WeatherRows(place, first, columns, np.zeros(n_days, dtype=np.bool_), SOURCE, True, role=ROLE)
