"""The wish for a calendar of windows: events that keep their name, and a number that rises as they change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, timedelta
from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.desk.calendar_memory import FeedEvent, Memory, kept_memory, read_memory
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.outlook import Ahead
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.records.facts import TreeFacts
    from ringwise.season.window import Window

TENTATIVE, CONFIRMED, CANCELLED = "TENTATIVE", "CONFIRMED", "CANCELLED"  # of an event: RFC 5545, 3.8.1.11


@dataclass(frozen=True)
class Feed:
    """A calendar of windows; `changed` counts events that are new or other than when last written.

    `undated` counts windows that have no days: they are blocked, or only a sign tells.
    """

    name: str
    language: str
    events: tuple[FeedEvent, ...]
    changed: int
    undated: int


@contextmanager
def calendar_feed(workspace: Workspace, ahead: Ahead) -> Iterator[Feed]:
    """A calendar of windows; what it holds is remembered once it was written without an error.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    ahead : Ahead
        What was asked, with the windows.

    Yields
    ------
    Feed
        Events by day. A window that stood in the same calendar before and is not offered any more stays
        until its days are past, as cancelled.

    Raises
    ------
    NotFoundError
        If no window has days.
    """
    dated = [each for each in ahead.windows if _has_days(each[1])]
    part = f"{','.join(ahead.trees) or '*'} {ahead.operation or '*'}"  # a calendar of two trees is another
    with kept_memory(workspace.folder) as file:
        before = read_memory(file)
        drafts = [_event(workspace, before, facts, window) for facts, window in dated]
        events = _settled(before, part, drafts, workspace.today)
        if not events:
            raise NotFoundError(
                _("no window has days to put in a calendar; see them with: ringwise outlook TREE")
            )
        yield Feed(
            name=_("{name}: windows").format(name=workspace.settings.name or "Ringwise"),
            language=current_reading().language,
            events=tuple(sorted(events, key=lambda each: (each.first, each.uid))),
            changed=sum(before.events.get(each.uid) != each for each in events),
            undated=len(ahead.windows) - len(dated),
        )
        file.write(before.after(part, events, workspace.today))


def _has_days(window: Window) -> bool:
    return window.state != "blocked" and window.opens is not None and window.closes is not None


def _settled(before: Memory, part: str, drafts: Sequence[FeedEvent], today: date) -> list[FeedEvent]:
    """Each event with its number, and those of the same calendar that are offered no more."""
    offered = {each.uid for each in drafts}
    gone = [
        replace(each, status=CANCELLED)
        for uid, each in before.events.items()
        if uid in before.parts.get(part, ()) and uid not in offered and each.end > today
    ]
    return [_numbered(before.events.get(each.uid), each) for each in (*drafts, *gone)]


def _numbered(last: FeedEvent | None, event: FeedEvent) -> FeedEvent:
    """Unchanged as it was, number and moment with it; else the next number and this moment."""
    if last is None:
        return event
    same = replace(event, sequence=last.sequence, changed=last.changed)
    return last if same == last else replace(event, sequence=last.sequence + 1)


def _event(workspace: Workspace, memory: Memory, facts: TreeFacts, window: Window) -> FeedEvent:
    from ringwise.desk.entry_words import operation_words

    assert window.opens is not None
    assert window.closes is not None
    work = operation_words(window.operation)
    first = window.opens.median
    return FeedEvent(
        uid=memory.name_of(facts.tree.id, window.operation, window.year.label),
        first=first,
        # A window is open on days before the one on which it closes: that day is the exclusive end as it is.
        end=max(window.closes.median, first + timedelta(days=1)),
        summary=_("{work}: {name} ({tree})").format(work=work, name=facts.tree.name, tree=facts.tree.id),
        description="\n".join(_told(facts, window)),
        categories=(work, facts.taxon.botanical_name if facts.taxon else facts.tree.species),
        status=CONFIRMED if window.state == "open" or first <= workspace.today else TENTATIVE,
        sequence=0,
        changed=clock.now().astimezone(UTC),
    )


def _told(facts: TreeFacts, window: Window) -> list[str]:
    """What a grower needs to know at the bench; nothing that changes from day to day by itself."""
    assert window.opens is not None
    assert window.closes is not None
    lines = [
        facts.taxon.botanical_name if facts.taxon else facts.tree.species,
        _("opens: {band}").format(band=_shares(window.opens)),
        _("closes: {band}").format(band=_shares(window.closes)),
    ]
    if window.sign:
        lines.append(_("look for: {sign}").format(sign=window.sign))
    if window.closes_by:
        lines.append(_("what closes it: {by}").format(by=window.closes_by))
    if window.note:
        lines.append(window.note)
    if window.override_reason:
        lines.append(_("planned all the same: {reason}").format(reason=window.override_reason))
    if window.after.words and window.state == "ahead":
        lines.append(_("if done when it opens: {risk}").format(risk=window.after.words))
    lines.append(_("The days are the middle of the forecast; the sign decides, not the day."))
    return lines


def _shares(band: DateBand) -> str:
    if band.low == band.high:
        return show.day(band.median, year=True)
    return _("by {low} 10 %, by {median} 50 %, by {high} 90 %").format(
        low=show.day(band.low, year=True),
        median=show.day(band.median, year=True),
        high=show.day(band.high, year=True),
    )
