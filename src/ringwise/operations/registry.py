"""The catalogue of operations: one dictionary, read from the tables and procedures beside this room."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from ringwise.kit.errors import ParameterError, unknown_name
from ringwise.kit.ranged import Ranged
from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.words import _
from ringwise.operations.base import SIZES, Aftercare, Found, Hazard, Kit, Operation, StageSpan, Step, checked
from ringwise.operations.conflicts import is_heavy
from ringwise.operations.timing import ROOM, timing_rows


def _minutes(key: str) -> dict[str, Ranged]:
    table = load_table(ROOM, "minutes")
    factor = table.get("any", "spread_factor").number
    minutes: dict[str, Ranged] = {}
    for size in SIZES:
        if table.has(key, f"minutes_{size}"):
            row = table.get(key, f"minutes_{size}")
            minutes[size] = Ranged(row.number, row.number / factor, row.number * factor, row.basis)
    return minutes


def _number(text: str) -> float | None:
    return float(text) if text else None


@lru_cache(maxsize=1)
def _aftercare() -> dict[str, tuple[Aftercare, ...]]:
    duties: dict[str, tuple[Aftercare, ...]] = {}
    for row in load_rows(ROOM, "aftercare"):
        duty = Aftercare(
            variant=row["variant"],
            phase=row["phase"],
            care=row["care"],
            do=row["do"],
            starts=row["starts"],
            ends=tuple(sign for sign in row["ends"].split("|") if sign),
            least_days=_number(row["least_days"]),
            most_days=_number(row["most_days"]),
            look_days=tuple(int(day) for day in row["look_days"].split("|") if day),
            basis=row["basis"],
            source=row["source"],
        )
        duties[row["operation"]] = (*duties.get(row["operation"], ()), duty)
    return duties


def _procedure(key: str) -> dict[str, Any]:
    file = resources.files(ROOM) / "data" / "procedures" / f"{key}.toml"
    if not file.is_file():
        raise ParameterError(f"operation {key} has no procedure")
    return tomllib.loads(file.read_text(encoding="utf-8"))


def _spans(key: str) -> dict[str, tuple[StageSpan, ...]]:
    return {of: spans for (operation, of), spans in timing_rows().items() if operation == key}


def _written(text: Mapping[str, Any]) -> dict[str, Any]:
    kit = text["kit"]
    return {
        "why": text["why"],
        "preconditions": tuple(text["preconditions"]),
        "not_when": tuple(text["not_when"]),
        "steps": tuple(
            Step(s["text"], bool(s.get("critical", False)), tuple(s.get("needs", ()))) for s in text["step"]
        ),
        "kit": Kit(tuple(kit["roots"]), tuple(kit["branches"]), tuple(kit["materials"])),
        "checks": tuple(text["checks"]),
        "found": tuple(Found(f["what"], tuple(f["do"])) for f in text.get("found", ())),
        "judge": text["judge"],
        "risk": text["risk"],
        "hazards": tuple(Hazard(h["text"], h["to_whom"], h["authority"]) for h in text["hazard"]),
        "record": tuple(text["record"]),
    }


def _operation(row: Mapping[str, str]) -> Operation:
    key = row["key"]
    return checked(
        Operation(
            key=key,
            code=row["code"],
            name=row["name"],
            noun=row["noun"],
            reversibility=row["reversibility"],
            vigour_min=int(row["vigour_min"]),
            elective=row["elective"] == "yes",
            root_work=row["root_work"] == "yes",
            conflict_class=row["conflict_class"],
            two_people_from=row["two_people_from"],
            aftercare=_aftercare().get(key, ()),
            minutes=_minutes(key),
            spans=_spans(key),
            **_written(_procedure(key)),
        )
    )


def _load() -> dict[str, Operation]:
    return {row["key"]: _operation(row) for row in load_rows(ROOM, "operations")}


OPERATIONS: dict[str, Operation] = _load()


def operation(key: str) -> Operation:
    """The operation with a key.

    Parameters
    ----------
    key : str
        Such as "repot".

    Returns
    -------
    Operation
        From the catalogue.

    Raises
    ------
    UnknownNameError
        If there is none; near keys are offered.

    Source
    ------
    practice: the trade's catalogue of work.

    Examples
    --------
    >>> operation("chop").reversibility
    'R3'
    """
    if key not in OPERATIONS:
        raise unknown_name(_("operation"), key, OPERATIONS)
    return OPERATIONS[key]


def kit_materials(work: Operation) -> tuple[str, ...]:
    """The materials and tools of a work's kit that bring a caution with them.

    Parameters
    ----------
    work : Operation
        What is done.

    Returns
    -------
    tuple of str
        Names as the table of hazards knows them.

    Source
    ------
    practice: words of `data/hazard_materials.csv` met in the kit.

    Examples
    --------
    >>> kit_materials(OPERATIONS["air_layer"])
    ('sphagnum', 'rooting_powder', 'blade')
    """
    kit = (*work.kit.materials, *work.kit.roots, *work.kit.branches)
    rows = load_rows(ROOM, "hazard_materials")
    return tuple(
        row["material"]
        for row in rows
        if any(word in each for word in row["words"].split("|") for each in kit)
    )


def cautions(
    work: Operation, keys: Iterable[str], materials: Iterable[str] = (), *, heavy: bool = False
) -> tuple[Hazard, ...]:
    """The cautions that apply to one tree and these materials, and no others.

    Parameters
    ----------
    work : Operation
        What is done.
    keys : iterable of str
        Species, genus and group of the tree.
    materials : iterable of str
        Such as "sphagnum", "mineral_mix", "lime_sulphur", beside those of the work's own kit.
    heavy : bool
        Whether the pot needs two people.

    Returns
    -------
    tuple of Hazard
        The operation's own first, each with its authority.

    Source
    ------
    practice: with the authority named on each line.

    Examples
    --------
    >>> texts = [h.text for h in cautions(OPERATIONS["wire"], ("taxus_baccata", "taxus", "G6"))]
    >>> any(text.startswith("Yew") for text in texts)
    True
    """
    used = {*materials, *kit_materials(work)}
    wanted = {f"species:{key.casefold()}" for key in keys} | {f"material:{name}" for name in used}
    if heavy:
        wanted.add("weight")
    rows = [row for row in load_rows(ROOM, "hazards") if row["applies"] in wanted]
    extra = tuple(Hazard(row["text"], row["to_whom"], row["authority"], row["applies"]) for row in rows)
    return (*work.hazards, *extra)


def aftercare(work: Operation, root_removed_frac: float | None = None) -> tuple[Aftercare, ...]:
    """The duties after a work, in the variant that fits how much root was taken.

    Parameters
    ----------
    work : Operation
        What was done.
    root_removed_frac : float, optional
        Share of roots removed; unknown counts as heavy.

    Returns
    -------
    tuple of Aftercare
        Each ends by a sign.

    Source
    ------
    practice: the trade's aftercare, in two phases parted by the first unfolded leaf.

    Examples
    --------
    >>> {duty.variant for duty in aftercare(OPERATIONS["repot"], 0.15)}
    {'light'}
    """
    variant = "heavy" if root_removed_frac is None or is_heavy(root_removed_frac) else "light"
    return tuple(duty for duty in work.aftercare if duty.variant in {"any", variant})
