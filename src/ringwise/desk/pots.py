"""Wishes about pots: add by inside measures, list, show, say who stands in one."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.shapes import Shape, pot_shape_of, pot_words
from ringwise.desk.workspace import Workspace
from ringwise.kit import show
from ringwise.kit.errors import ConflictError, InputError, NotFoundError, near_names, out_of_range
from ringwise.kit.units import parse_dimensions_mm, parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import Hole, Pot, Value
from ringwise.records.store import Seen

if TYPE_CHECKING:
    from ringwise.rootzone.pot import PotShape

_HOLES = re.compile(r"^\s*(\d+)\s*[x×*]\s*(.+)$")
_MOST_HOLES = 40  # more is a typing slip


@dataclass(frozen=True)
class NewPot:
    """What was typed of a new pot."""

    id: str
    shape: str
    size: str
    holes: str = ""
    material: str = ""
    colour: str = ""
    tree: str | None = None


def find_pot(workspace: Workspace, name: str) -> Pot:
    """The pot with an id, whatever the case.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        The id.

    Returns
    -------
    Pot
        The pot.

    Raises
    ------
    NotFoundError
        If there is none; near names are offered.
    """
    for pot in workspace.pots:
        if pot.id.casefold() == name.casefold():
            return pot
    near = near_names(name, [p.id for p in workspace.pots])
    hint = _("Did you mean: {names}?").format(names=", ".join(near)) if near else _("See: ringwise pot list")
    raise NotFoundError(_('there is no pot "{name}". {hint}').format(name=name, hint=hint))


def _holes(text: str, length_mm: float) -> tuple[Hole, ...]:
    if not text.strip():
        return ()
    match = _HOLES.match(text)
    if match is None:
        raise InputError(_('--holes is "{text}"; write count x size, such as "2x20 mm"').format(text=text))
    count = int(match.group(1))
    if not 1 <= count <= _MOST_HOLES:
        raise InputError(_("--holes has {n} holes; accepted: 1 to {most}").format(n=count, most=_MOST_HOLES))
    size_mm = parse_quantity(match.group(2), "length", field="--holes")
    if not 0 < size_mm <= length_mm / 2:
        raise out_of_range("--holes", text, _("holes up to half the pot's length"))
    step_mm = length_mm / (count + 1)
    return tuple(Hole(size_mm, -length_mm / 2 + step_mm * (i + 1), 0.0) for i in range(count))


@dataclass(frozen=True)
class _Sizes:
    """Inside measures; a round pot is as wide as it is long."""

    length_mm: float
    width_mm: float
    depth_mm: float


def _measured(word: str, typed: str) -> tuple[PotShape, _Sizes]:
    from ringwise.rootzone.pot import PotLengths, pot_shape

    sizes = parse_dimensions_mm(typed, field="--size")
    wanted = 2 if word in {"round", "hexagon", "octagon"} else 3
    if len(sizes) != wanted:
        raise InputError(
            _('--size is "{text}": a pot of shape {shape} takes {n} measures, such as {example}').format(
                text=typed,
                shape=word,
                n=wanted,
                example='"28x9 cm"' if wanted == 2 else '"42x31x7.5 cm"',
            )
        )
    inside = _Sizes(sizes[0], sizes[-2] if wanted == 3 else sizes[0], sizes[-1])
    lengths = PotLengths(inside.length_mm, inside.width_mm if wanted == 3 else None, inside.depth_mm)
    return pot_shape(word, lengths), inside


def add_pot(workspace: Workspace, given: NewPot, *, by: str | None = None) -> Shape:
    """Add a pot by its inside measures, kept as typed and in mm."""
    if any(p.id.casefold() == given.id.casefold() for p in workspace.pots):
        raise ConflictError(_("there is a pot {id} already").format(id=given.id))
    shape, sizes = _measured(given.shape, given.size)
    pot = Pot(
        id=given.id,
        shape=shape.shape,
        length_mm=sizes.length_mm,
        width_mm=sizes.width_mm,
        depth_mm=sizes.depth_mm,
        typed=given.size,
        holes=_holes(given.holes, sizes.length_mm),
        material=given.material,
        colour=given.colour,
        tree=workspace.tree(given.tree).id if given.tree else None,
    )
    emptied = _emptied(workspace, pot.tree)
    values: list[Value] = [*(replace(p, tree=None) for p in emptied), pot]
    seen = [Seen("pot", pot.id), *(Seen("pot", p.id, p) for p in emptied)]
    saved = workspace.store.save(action(workspace, by, f"pot add {pot.id}"), values, seen=seen)
    line = _("{pot}: {volume} inside").format(pot=pot_words(pot), volume=show.litres(shape.volume_cm3))
    return {"pot": pot_shape_of(pot), "volume_cm3": shape.volume_cm3, "action": saved, "line": line}


def _emptied(workspace: Workspace, tree: str | None) -> list[Pot]:
    if tree is None:
        return []
    return [p for p in workspace.pots if p.tree == tree]


@dataclass(frozen=True)
class PotChange:
    """What to correct of a pot, as typed; None for what stays."""

    size: str | None = None
    holes: str | None = None
    material: str | None = None
    colour: str | None = None


def edit_pot(workspace: Workspace, name: str, change: PotChange, *, by: str | None = None) -> Shape:
    """Correct a pot's measures, holes, material or colour; the old wording stays in the history."""
    pot = find_pot(workspace, name)
    edited = pot
    if change.size is not None:
        _shape, inside = _measured(pot.shape, change.size)
        edited = replace(
            edited,
            length_mm=inside.length_mm,
            width_mm=inside.width_mm,
            depth_mm=inside.depth_mm,
            typed=change.size,
        )
    if change.holes is not None:
        if edited.length_mm is None:
            raise InputError(_("holes go with a measured pot; give --size as well"))
        edited = replace(edited, holes=_holes(change.holes, edited.length_mm))
    if change.material is not None:
        edited = replace(edited, material=change.material)
    if change.colour is not None:
        edited = replace(edited, colour=change.colour)
    if edited == pot:
        raise InputError(_("nothing changes: that is what is written already"))
    saved = workspace.store.save(
        action(workspace, by, f"pot edit {pot.id}"), [edited], seen=[Seen("pot", pot.id, pot)]
    )
    line = _("{pot}: corrected; the old wording is kept").format(pot=pot_words(edited))
    return {"pot": pot_shape_of(edited), "action": saved, "line": line}


def list_pots(workspace: Workspace) -> Shape:
    """All pots, those that stand empty first."""
    pots = sorted(workspace.pots, key=lambda p: (p.tree is not None, p.id))
    lines = [f"{pot_words(p)}  {p.tree or _('empty')}" for p in pots] or [
        _('No pot yet. Add one: ringwise pot add P-1 --shape oval --size "42x31x7.5 cm"')
    ]
    return {"pots": [pot_shape_of(p) for p in pots], "lines": lines}


def put_pot(workspace: Workspace, name: str, tree: str, *, by: str | None = None) -> Shape:
    """Say which tree stands in a pot; the pot it stood in before is free then."""
    pot = find_pot(workspace, name)
    tenant = None if tree == "-" else workspace.tree(tree).id
    if tenant is not None and pot.tree is not None and pot.tree != tenant:
        raise ConflictError(
            _("{tree} stands in {pot}; free it first with: ringwise pot put {pot} -").format(
                tree=pot.tree, pot=pot.id
            )
        )
    freed = [p for p in _emptied(workspace, tenant) if p.id != pot.id]
    moved = replace(pot, tree=tenant)
    seen = [Seen("pot", p.id, p) for p in (*freed, pot)]
    values: list[Value] = [*(replace(p, tree=None) for p in freed), moved]
    saved = workspace.store.save(action(workspace, by, f"pot put {pot.id}"), values, seen=seen)
    line = _("{pot}: {tree}").format(pot=pot.id, tree=tenant or _("empty"))
    return {"pot": pot_shape_of(moved), "freed": [p.id for p in freed], "action": saved, "line": line}
