"""The only place with SQL: a collection in one SQLite file, where nothing is ever overwritten or erased."""

from __future__ import annotations

from ringwise.records.model import Action
from ringwise.records.store.collection import Seen, Store
from ringwise.records.store.jobs import Job
from ringwise.records.store.news import News
from ringwise.records.store.opening import FILE_NAME, open_store
from ringwise.records.store.revisions import Revision
from ringwise.records.store.undoing import Undone
from ringwise.records.store.weather_days import WeatherRows

__all__ = [
    "FILE_NAME",
    "Action",
    "Job",
    "News",
    "Revision",
    "Seen",
    "Store",
    "Undone",
    "WeatherRows",
    "open_store",
]
