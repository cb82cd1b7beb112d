"""An entry in one plain line, for lists and acknowledgements."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ringwise.desk.decision_words import course_words, decision_words
from ringwise.desk.kind_words import kind_words
from ringwise.desk.tries_typed import result_words
from ringwise.kit import show
from ringwise.kit.words import _, from_data
from ringwise.phenology.stages import ALL, stage
from ringwise.records.model import Entry, Tree
from ringwise.records.observations import ROOTS_ACTIVE
from ringwise.records.taxa import all_taxa

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


def stage_words(code: str, group: str) -> str:
    """What a grower sees at a stage, on a kind of tree.

    Parameters
    ----------
    code : str
        Of the stage.
    group : str
        Of the tree, G1 to G7; blank where it is not known.

    Returns
    -------
    str
        In the reader's language; a code that is not known as it is.

    Examples
    --------
    >>> stage_words("07", "G5"), stage_words("05", "G1")
    ('first green between the scales', 'buds opening')
    """
    between = {
        "05": _("buds opening"),
        "13": _("third leaf"),
        "32": _("shoot at a fifth of its length"),
        "35": _("shoot at half its length"),
    }
    return stage(code).words_for(group) if code in ALL else between.get(code, code)


def group_of(tree: Tree | None) -> str | None:
    """The group of a tree, blank where its kind is not known; None for no tree."""
    if tree is None:
        return None
    kind = all_taxa().get(tree.species)
    return "" if kind is None else kind.group


def _stage(data: Data, group: str | None = None) -> str:
    extents = {"first": _("first buds"), "most": _("most buds"), "late_branch": _("one branch late")}
    extent = extents[data.get("extent") or "first"]
    if group is None:  # without its tree nobody can tell buds from candles
        return _("stage {code}, {extent}").format(code=data["code"], extent=extent)
    words = stage_words(str(data["code"]), group)
    if data["code"] == ROOTS_ACTIVE:  # told of the whole tree
        return words
    return _("{stage} ({extent})").format(stage=words, extent=extent)


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


def shape_source_words(source: str) -> str:
    """By what a kept structure was measured, in the user's language."""
    names = {
        "tape": _("tape and calliper"),
        "trace": _("traced photos"),
        "turntable": _("a turn of photos"),
        "cylinders": _("a cylinder model"),
        "file": _("a file"),
    }
    return names.get(source, source)


def _shape(data: Data) -> str:
    return _("shape from {source}: {height} high, {n} segments").format(
        source=shape_source_words(str(data["source"])),
        height=show.length(data["height_mm"]),
        n=data["segments"],
    )


def wound_words(width_mm: float, at_mm: float, clock: float | None) -> str:
    """A wound as it was read.

    Parameters
    ----------
    width_mm : float
        0 where it has closed.
    at_mm : float
        Above the soil.
    clock : float or None
        The way it faces; None where nobody said.

    Returns
    -------
    str
        A few words.

    Examples
    --------
    >>> wound_words(15.0, 140.0, 3.0), wound_words(0.0, 140.0, None)
    ("wound 15 mm wide, at 14 cm, 3 o'clock", 'wound closed, at 14 cm')
    """
    place = _("at {height}").format(height=show.length(at_mm))
    if clock is not None:
        place += ", " + _("{clock} o'clock").format(clock=show.number(clock, 2))
    if not width_mm:
        return _("wound closed, {place}").format(place=place)
    return _("wound {size} wide, {place}").format(size=show.length(width_mm), place=place)


def _roots(data: Data) -> str:
    from ringwise.structure.root_words import map_words
    from ringwise.structure.roots import root_map

    return _("roots: {found}").format(found=map_words(root_map(data)))


def _watered(data: Data) -> str:
    if data.get("water_cm3") is None:
        return _("watered until it ran through")
    return _("watered, {volume}").format(volume=show.litres(data["water_cm3"]))


def weight_moments() -> dict[str, str]:
    """When a pot was weighed, in the user's language, by key; a moment without words says nothing."""
    return {
        "drained_level": _("watered and drained, standing level"),
        "drained_tilted": _("watered and drained, tilted"),
        "after_10_min": _("10 minutes after watering"),
        "after_24_h": _("a day after watering"),
        "before_watering": _("just before watering"),
        "pot_empty": _("the pot alone"),
    }


def _weight(data: Data) -> str:
    told = _("weighs {mass}").format(mass=show.mass(data["mass_g"]))
    moment = weight_moments().get(str(data["moment"]), "")
    if data.get("tilt_deg") is not None:
        moment += " " + _("by {angle} degrees").format(angle=show.number(data["tilt_deg"]))
    return f"{told}, {moment}" if moment else told


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
    "weight": _weight,
    "watered": _watered,
    "graft_check": lambda d: _("graft at {site}: {before} before, {after} beyond the joint").format(
        site=d["site"], before=show.fine(d["before_mm"]), after=show.fine(d["after_mm"])
    ),
    "note": lambda d: _("note"),
    "photo": _photo,
    "tape": lambda d: _("measured with the tape"),
    "shape": _shape,
    "wound": lambda d: wound_words(d["width_mm"], d["at_mm"], d.get("clock")),
    "roots": _roots,
    "aim": lambda d: _("aims, from the set {set}").format(set=d["set"]),
    "work": _work,
    "planned": _planned,
    "question": lambda d: _("open question: {title}").format(title=d["title"]),
    "result": result_words,
    "course": course_words,
    "decision": decision_words,
}


def entry_title(entry: Entry, group: str | None = None) -> str:
    """What an entry says, without its date and without its note.

    Parameters
    ----------
    entry : Entry
        The entry.
    group : str, optional
        Of its tree; a stage is then told as it looks, without it by its code.

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
    return _stage(entry.data, group) if entry.kind == "stage" else _WORDS[entry.kind](entry.data)


def entry_words(entry: Entry, group: str | None = None) -> str:
    """What an entry says, without its date.

    Parameters
    ----------
    entry : Entry
        The entry.
    group : str, optional
        Of its tree; a stage is then told as it looks, without it by its code.

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
    >>> entry_words(Entry("1", "T21", "stage", today, {"code": "07", "extent": "most"}), "G5")
    'first green between the scales (most buds)'
    """
    text = entry_title(entry, group)
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


def _logged_words(word: str, value: str, group: str | None) -> str:
    if word == "stage" and group is not None and value:
        return stage_words(value.split()[0].upper(), group)
    kind = kind_words().get(word, word)
    if word in {"work", "plan"} and value:
        return f"{kind}: {operation_words('_'.join(value.lower().split()))}"
    return f"{kind} {view_words(value) if word == 'photo' else value}".strip()


def command_words(command: str, trees: Mapping[str, Tree] | None = None) -> str:
    """A step of the record in the user's language; one that nobody here wrote is shown as it is.

    Parameters
    ----------
    command : str
        As kept with the step.
    trees : mapping of str to Tree, optional
        The trees by id; those that are there are told by their names.

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
    by_id = trees or {}

    def named(tree: str) -> str:
        return by_id[tree].name if tree in by_id else tree

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
        "measure trace": _("trace photos of {id}"),
        "measure turntable": _("measure {id} from a turn of photos"),
        "measure import": _("take in the shape of {id}"),
        "measure roots": _("write down the roots of {id}"),
        "weather import": _("take in weather"),
        "weather describe": _("describe the climate"),
    }
    head, rest = " ".join(words[:2]), " ".join(words[2:])
    if command in {"demo", "undo"}:
        return {"demo": _("build the demo yard"), "undo": _("take back")}[command]
    if words[0] == "log" and len(words) > 2:
        value = words[3] if len(words) > 3 else ""
        told = _logged_words(words[2], value, group_of(by_id.get(words[1])))
        return _("log {tree}: {what}").format(tree=named(words[1]), what=told)
    if words[0] == "move" and len(words) > 1:
        return _("move {trees}").format(trees=", ".join(named(tree) for tree in command.split()[1:]))
    if words[0] == "watered" and len(words) > 1:
        return _("water all at {name}").format(name=command.split(" ", 1)[1])
    if words[0] == "bench" and len(words) > 1:
        return _("set the place {name}").format(name=command.split(" ", 1)[1])
    if words[0] == "edit" and words[2:] == ["photo"]:
        return _("correct a photo of {id}").format(id=named(words[1]))
    return known[head].format(id=named(rest)) if head in known else command
