"""What was last written into calendars: kept beside the collection, so that a change gets a higher number."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

from ringwise.kit.errors import DamagedError
from ringwise.kit.words import _
from ringwise.records.durable import folder_held, sync_file, sync_folder

FILE_NAME = "calendar.json"
KEPT_DAYS = 400  # an event is remembered for a year after its days: nothing can bring it back then


@dataclass(frozen=True)
class FeedEvent:
    """One window as a calendar shows it; `end` is the first day after it, `changed` is in UTC."""

    uid: str
    first: date
    end: date
    summary: str
    description: str
    categories: tuple[str, ...]
    status: str
    sequence: int
    changed: datetime


@dataclass(frozen=True)
class Memory:
    """Events last written by name, the calendars that hold them, and the collection's own mark in names."""

    mark: str
    events: Mapping[str, FeedEvent]
    parts: Mapping[str, tuple[str, ...]]

    def name_of(self, tree: str, operation: str, label: int) -> str:
        """The lasting name of one work on one tree in one growing year, unlike that of any other yard."""
        return f"{tree}-{operation}-{label}@{self.mark}"

    def after(self, part: str, events: Sequence[FeedEvent], today: date) -> Memory:
        """What is to be remembered once a calendar was written."""
        oldest = today - timedelta(days=KEPT_DAYS)
        all_events = {**self.events, **{each.uid: each for each in events}}
        known = {uid: each for uid, each in all_events.items() if each.end >= oldest}
        parts = {**self.parts, part: tuple(each.uid for each in events)}
        return replace(
            self,
            events=known,
            parts={name: tuple(uid for uid in uids if uid in known) for name, uids in parts.items()},
        )


@dataclass(frozen=True)
class MemoryFile:
    """The file while nobody else may change it."""

    path: Path

    def write(self, memory: Memory) -> None:
        """In one step: a kill leaves the old file or the new one."""
        text = json.dumps(
            {
                "mark": memory.mark,
                "events": [_plain(each) for each in memory.events.values()],
                "calendars": {name: list(uids) for name, uids in memory.parts.items() if uids},
            },
            ensure_ascii=False,
            indent=1,
        )
        draft = self.path.with_name(self.path.name + ".new")
        draft.write_text(text + "\n", encoding="utf-8")
        sync_file(draft)
        draft.replace(self.path)
        sync_folder(self.path.parent)


@contextmanager
def kept_memory(folder: Path) -> Iterator[MemoryFile]:
    """Hold the collection's folder, so that two calendars written at once do not share a number.

    Parameters
    ----------
    folder : Path
        The collection's folder.

    Yields
    ------
    MemoryFile
        To read and write.
    """
    with folder_held(folder):
        yield MemoryFile(folder / FILE_NAME)


def read_memory(file: MemoryFile) -> Memory:
    """What was written last; of a collection that wrote no calendar yet, nothing.

    Parameters
    ----------
    file : MemoryFile
        Of the collection.

    Returns
    -------
    Memory
        With a new mark where there is none yet.

    Raises
    ------
    DamagedError
        If the file does not read.
    """
    if not file.path.exists():
        return Memory(str(uuid4()), {}, {})
    try:
        found = json.loads(file.path.read_text(encoding="utf-8"))
        events = [_event(each) for each in found["events"]]
        return Memory(
            str(UUID(found["mark"])),
            {each.uid: each for each in events},
            {str(name): tuple(map(str, uids)) for name, uids in found["calendars"].items()},
        )
    except (ValueError, KeyError, TypeError, AttributeError):
        raise DamagedError(
            _(
                "does not read. Put it back from a backup; or delete it, and remove the windows from your "
                "calendar once, since new ones will stand beside them"
            ),
            where=str(file.path),
        ) from None


def _plain(event: FeedEvent) -> dict[str, object]:
    days = {"first": event.first.isoformat(), "end": event.end.isoformat()}
    return {**asdict(event), **days, "changed": event.changed.isoformat()}


def _event(found: Mapping[str, object]) -> FeedEvent:
    categories = found["categories"]
    if not isinstance(categories, list):
        raise TypeError("categories are a list")
    return FeedEvent(
        uid=str(found["uid"]),
        first=date.fromisoformat(str(found["first"])),
        end=date.fromisoformat(str(found["end"])),
        summary=str(found["summary"]),
        description=str(found["description"]),
        categories=tuple(str(each) for each in categories),
        status=str(found["status"]),
        sequence=int(str(found["sequence"])),
        changed=datetime.fromisoformat(str(found["changed"])),
    )
