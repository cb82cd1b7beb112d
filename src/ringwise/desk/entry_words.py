"""An entry in one plain line, for lists and acknowledgements."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.records.model import Entry

Data = Mapping[str, Any]


def operation_words(key: str) -> str:
    """The name of an operation in the user's language; an unknown key is shown as it is."""
    from ringwise.operations.registry import OPERATIONS

    operation = OPERATIONS.get(key)
    return key.replace("_", " ") if operation is None else from_data(operation.name)


def view_words(view: str) -> str:
    """The name of a side from which a tree is photographed, in the user's language."""
    names = {
        "front": _("front"),
        "right": _("right"),
        "back": _("back"),
        "left": _("left"),
        "top": _("top"),
        "underside": _("underside"),
        "detail": _("detail"),
    }
    return names.get(view, view)


def _stage(data: Data) -> str:
    extents = {"first": _("first buds"), "most": _("most buds"), "late_branch": _("one branch late")}
    return _("stage {code}, {extent}").format(
        code=data["code"], extent=extents[data.get("extent") or "first"]
    )


def _at(data: Data) -> str:
    at_mm = data.get("at_mm")
    return "" if at_mm is None else " " + _("at {height}").format(height=show.length(at_mm))


def _work(data: Data) -> str:
    text = operation_words(str(data["operation"]))
    removed = data.get("root_removed_frac")
    parts = [text]
    if removed is not None:
        parts.append(_("{share} of the roots").format(share=show.percent(removed)))
    for key in ("pot", "mix"):
        if data.get(key):
            parts.append(f"{from_data(key)} {data[key]}")
    return ", ".join(parts)


def _photo(data: Data) -> str:
    view = view_words(str(data["view"]))
    if data.get("mirrored"):
        return _("photo, {view} (mirrored, as seen from above)").format(view=view)
    return _("photo, {view}").format(view=view)


def _planned(data: Data) -> str:
    text = _("planned: {work}").format(work=_work(data))
    override = data.get("override_reason")
    return text + (" " + _('(override: "{reason}")').format(reason=override) if override else "")


_WORDS: dict[str, Callable[[Data], str]] = {
    "stage": _stage,
    "girth": lambda d: _("girth {size}").format(size=show.length(d["girth_mm"])) + _at(d),
    "trunk": lambda d: _("trunk {size}").format(size=show.length(d["diameter_mm"])) + _at(d),
    "height": lambda d: _("height {size}").format(size=show.length(d["height_mm"])),
    "vigour": lambda d: _("vigour {score}").format(score=d["score"]),
    "drain": lambda d: _("drains in {seconds} s").format(seconds=show.number(d["seconds"], 3)),
    "days_dry": lambda d: _("{days} days from full to watering").format(days=show.number(d["days"], 2)),
    "weight": lambda d: _("weighs {mass}").format(mass=show.mass(d["mass_g"])),
    "graft_check": lambda d: _("graft at {site}: {before} before, {after} beyond the joint").format(
        site=d["site"], before=show.fine(d["before_mm"]), after=show.fine(d["after_mm"])
    ),
    "note": lambda d: _("note"),
    "photo": _photo,
    "tape": lambda d: _("measured with the tape"),
    "work": _work,
    "planned": _planned,
    "question": lambda d: _("open question: {title}").format(title=d["title"]),
}


def entry_title(entry: Entry) -> str:
    """What an entry says, without its date and without its note.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.records.dates import UNKNOWN
    >>> entry_title(Entry("1", "T21", "vigour", UNKNOWN, {"score": 2}, "after the frost"))
    'vigour 2'
    """
    return _WORDS[entry.kind](entry.data)


def entry_words(entry: Entry) -> str:
    """What an entry says, without its date.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> today = parse_fuzzy_date("2027-03-07", field="date")
    >>> entry_words(Entry("1", "T21", "stage", today, {"code": "03", "extent": "first"}))
    'stage 03, first buds'
    """
    text = entry_title(entry)
    return f"{text}: {entry.note}" if entry.note else text


def entry_line(entry: Entry) -> str:
    """An entry with its date as typed and who wrote it.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> spring = parse_fuzzy_date("spring 2021", field="date")
    >>> entry_line(Entry("1", "T21", "vigour", spring, {"score": 2}, by="owner"))
    'spring 2021  vigour 2  (owner)'
    """
    who = f"  ({entry.by})" if entry.by else ""
    return f"{entry.on.typed}  {entry_words(entry)}{who}"


def _kinds() -> dict[str, str]:
    return {
        "stage": _("stage"),
        "girth": _("girth"),
        "trunk": _("trunk"),
        "height": _("height"),
        "vigour": _("vigour"),
        "drain": _("drain time"),
        "dry": _("days to dry"),
        "weight": _("weight"),
        "graft": _("graft"),
        "note": _("note"),
        "photo": _("photo"),
        "tape": _("tape"),
        "work": _("work"),
        "plan": _("planned"),
        "question": _("question"),
    }


def _logged_words(word: str, value: str) -> str:
    kind = _kinds().get(word, word)
    if word in {"work", "plan"} and value:
        return f"{kind}: {operation_words('_'.join(value.lower().split()))}"
    return f"{kind} {view_words(value) if word == 'photo' else value}".strip()


def command_words(command: str) -> str:
    """A step of the record in the user's language; one that nobody here wrote is shown as it is.

    Parameters
    ----------
    command : str
        As kept with the step.

    Returns
    -------
    str
        A few words.

    Examples
    --------
    >>> command_words("log T21 stage 07"), command_words("tree add T41"), command_words("demo")
    ('log T21: stage 07', 'add tree T41', 'build the demo yard')
    """
    words = command.split(" ", 3)
    known: dict[str, str] = {
        "tree add": _("add tree {id}"),
        "tree edit": _("correct the sheet of {id}"),
        "tree retire": _("retire tree {id}"),
        "pot add": _("add pot {id}"),
        "pot edit": _("correct pot {id}"),
        "pot put": _("say who stands in pot {id}"),
        "entry edit": _("correct an entry of {id}"),
        "entry withdraw": _("withdraw an entry of {id}"),
        "measure tape": _("measure {id} with the tape"),
        "weather import": _("take in weather"),
        "weather describe": _("describe the climate"),
    }
    head, rest = " ".join(words[:2]), " ".join(words[2:])
    if command in {"demo", "undo"}:
        return {"demo": _("build the demo yard"), "undo": _("take back")}[command]
    if words[0] == "log" and len(words) > 2:
        value = words[3] if len(words) > 3 else ""
        return _("log {tree}: {what}").format(tree=words[1], what=_logged_words(words[2], value))
    if words[0] == "edit" and words[2:] == ["photo"]:
        return _("correct a photo of {id}").format(id=words[1])
    return known[head].format(id=rest) if head in known else command
