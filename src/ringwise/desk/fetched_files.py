"""Answers of weather addresses kept on disk, and how soon an address may be asked again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from ringwise.desk import clock
from ringwise.desk.fetching import Fetched, fetch
from ringwise.kit.errors import FetchError
from ringwise.kit.words import _
from ringwise.records.durable import folder_held, sync_file

KEPT_FOR = timedelta(minutes=10)  # daily weather is no newer than that
HOST_WAIT = timedelta(seconds=60)
LONGEST_WAIT = timedelta(days=1)
NEW, UNCHANGED, KEPT = "new", "unchanged", "kept"


@dataclass(frozen=True)
class KeptFile:
    """The body of an answer on disk; `how` is new, unchanged (the host said so) or kept (not asked)."""

    file: Path
    how: str
    size_bytes: int


def cache_folder() -> Path:
    """Where answers are kept; the whole of it may be deleted at any time."""
    from platformdirs import user_cache_path

    return user_cache_path("ringwise") / "weather"


def kept_file(address: str) -> KeptFile:
    """The answer of an address: asked only if the kept one is old, and only so often.

    Parameters
    ----------
    address : str
        From `checked_address`.

    Returns
    -------
    KeptFile
        To be read at once.

    Raises
    ------
    FetchError
        If it cannot be had now.
    """
    folder = cache_folder()
    with folder_held(folder):
        known = _note(folder, address)
        body = folder / str(known.get("file", "-"))
        now = clock.now()
        if not body.is_file():
            known = {}
        elif now - _time(known, "asked", now) < KEPT_FOR:
            return KeptFile(body, KEPT, body.stat().st_size)
        _wait_for_host(folder, address, now)
        conditions = _conditions(known)
        answer = fetch(address, conditions)
        if answer.status == 304 and conditions:
            _write(folder, address, {**known, "asked": now.isoformat()})
            return KeptFile(body, UNCHANGED, body.stat().st_size)
        _refuse(folder, address, answer, now)
        return _kept(folder, address, answer, now)


def forget(address: str) -> None:
    """Drop a kept answer that turned out to be of no use.

    Parameters
    ----------
    address : str
        As asked.
    """
    (cache_folder() / f"{_name(address)}.json").unlink(missing_ok=True)


def _kept(folder: Path, address: str, answer: Fetched, now: datetime) -> KeptFile:
    body = folder / f"{_name(address)}.body"
    draft = body.with_suffix(".new")
    draft.write_bytes(answer.body)
    sync_file(draft)
    draft.replace(body)
    _write(
        folder,
        address,
        {"file": body.name, "etag": answer.etag, "modified": answer.modified, "asked": now.isoformat()},
    )
    return KeptFile(body, NEW, len(answer.body))


def _conditions(known: Mapping[str, Any]) -> dict[str, str]:
    wanted = {"If-None-Match": "etag", "If-Modified-Since": "modified"}
    return {header: str(known[key]) for header, key in wanted.items() if known.get(key)}


def _refuse(folder: Path, address: str, answer: Fetched, now: datetime) -> None:
    """Anything but a whole answer with something in it; a host that asks for a pause gets it."""
    host = urlsplit(address).hostname or ""
    if answer.status in {429, 503} and answer.retry_after.isdecimal():
        wait = min(timedelta(seconds=min(int(answer.retry_after), 10**6)), LONGEST_WAIT)
        _write(folder, host, {"not_before": (now + max(wait, HOST_WAIT)).isoformat()})
    if answer.status != 200:
        raise FetchError(
            _("answered with status {status}; check the address, or try later").format(status=answer.status),
            where=host,
        )
    if not answer.body:
        raise FetchError(_("sent an empty answer; check the address"), where=host)


def _wait_for_host(folder: Path, address: str, now: datetime) -> None:
    host = urlsplit(address).hostname or ""
    free = _time(_note(folder, host), "not_before", now)
    if now < free <= now + LONGEST_WAIT:
        raise FetchError(
            _("was asked a moment ago or wants a pause; ask again from {time}").format(
                time=f"{free:%H:%M:%S}"
            ),
            where=host,
        )
    _write(folder, host, {"not_before": (now + HOST_WAIT).isoformat()})


def _name(of: str) -> str:
    """A file name that tells nothing of the address, which may hold a key."""
    return hashlib.sha256(of.encode()).hexdigest()


def _note(folder: Path, of: str) -> dict[str, Any]:
    """What is known of an address or a host; a note that does not read is as good as none."""
    try:
        found = json.loads((folder / f"{_name(of)}.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _time(note: Mapping[str, Any], key: str, now: datetime) -> datetime:
    """A moment of a note; long ago where there is none or it lies in the future by more than a pause."""
    try:
        found = datetime.fromisoformat(str(note.get(key, "")))
        return found if found <= now + LONGEST_WAIT else now - LONGEST_WAIT
    except (ValueError, TypeError):
        return now - LONGEST_WAIT


def _write(folder: Path, of: str, note: Mapping[str, Any]) -> None:
    file = folder / f"{_name(of)}.json"
    draft = file.with_suffix(".draft")
    draft.write_text(json.dumps(note), encoding="utf-8")
    draft.replace(file)
