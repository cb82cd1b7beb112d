"""Wishes about the tape: what was typed, read from a file, asked for or given in the form; one entry."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action, exact_day
from ringwise.desk.given_file import given_text, json_of
from ringwise.desk.measuring import structure_shape, tree_of_tape
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape
from ringwise.kit.errors import (
    FileFormatError,
    InputError,
    MissingFieldError,
    at_field,
)
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.tape import Tape, TapeBranch, TapeGirth

MOST_BYTES = 2_000_000  # a tape is a page of numbers


@dataclass(frozen=True)
class TapeWish:
    """What was typed for `ringwise measure tape TREE`."""

    tree: str
    file: Path | None = None
    height: str | None = None
    girths: tuple[str, ...] = ()
    branches: tuple[str, ...] = ()
    by: str | None = None


@dataclass(frozen=True)
class GirthGiven:
    """A row of girths in the form, as typed."""

    girth: str
    at: str


@dataclass(frozen=True)
class BranchGiven:
    """A row of branches in the form, as typed; all but the height may be blank."""

    height: str
    clock: str = ""
    diameter: str = ""
    length: str = ""
    tips: str = ""
    angle: str = ""


@dataclass(frozen=True)
class TapeGiven:
    """The form of a tape, as typed."""

    height: str
    girths: tuple[GirthGiven, ...] = ()
    branches: tuple[BranchGiven, ...] = ()
    apex_tips: str = ""
    lean: str = ""
    lean_clock: str = ""
    roots: tuple[int, ...] = ()


def tape_given(given: TapeGiven) -> Tape:
    """The form as a tape; an error names the field of the form.

    Parameters
    ----------
    given : TapeGiven
        As typed. Bare numbers are cm, a diameter's mm.

    Returns
    -------
    Tape
        Checked; what was left blank is unknown.

    Raises
    ------
    UnitError, RangeError, MissingFieldError
        `field` is height, girths.0.girth, branches.2.clock and so on.
    """
    from ringwise.structure.tape import SECTORS, Tape

    height_mm = _length("height", given.height, _("height"), "height")
    girths = [_girth_given(number, each, height_mm) for number, each in enumerate(given.girths)]
    if not girths:
        with at_field("girths.0.girth"):
            raise MissingFieldError(_("a tape needs at least one girth of the trunk"))
    for number, each in enumerate(girths):
        if any(other.at_mm == each.at_mm for other in girths[:number]):
            with at_field(f"girths.{number}.at"):
                raise InputError(_("there is a girth at this height already"))
    sectors = tuple(hour in given.roots for hour in range(1, SECTORS + 1)) if given.roots else None
    lean_mm = _maybe("lean", given.lean, _("lean"), "lean", height_mm)
    lean_clock = _maybe("lean_clock", given.lean_clock, _("lean, clock"), "clock", height_mm)
    tips = _maybe("apex_tips", given.apex_tips, _("tips of the apex"), "apex_tips", height_mm)
    return Tape(
        height_mm,
        tuple(sorted(girths, key=lambda each: each.at_mm)),
        tuple(_branch_given(number, each, height_mm) for number, each in enumerate(given.branches)),
        None if tips is None else round(tips),
        lean_mm or 0.0,
        6.0 if lean_clock is None else lean_clock,
        sectors,
    )


def _girth_given(number: int, given: GirthGiven, height_mm: float) -> TapeGirth:
    from ringwise.structure.tape import TapeGirth

    at_mm = _length(f"girths.{number}.at", given.at, _("height of a girth"), "girth_at", height_mm)
    return TapeGirth(at_mm, _length(f"girths.{number}.girth", given.girth, _("girth"), "girth"))


def _branch_given(number: int, given: BranchGiven, height_mm: float) -> TapeBranch:
    from ringwise.structure.tape import TapeBranch

    key, name = f"branches.{number}.", _("branch {number}").format(number=number + 1)

    def maybe(field: str, text: str, words: str, what: str) -> float | None:
        return _maybe(key + field, text, words.format(name=name), what, height_mm)

    at_mm = _length(
        f"{key}height", given.height, _("{name}, height").format(name=name), "branch_height", height_mm
    )
    tips = maybe("tips", given.tips, _("{name}, tips"), "tips")
    return TapeBranch(
        at_mm,
        maybe("clock", given.clock, _("{name}, clock"), "clock"),
        maybe("diameter", given.diameter, _("{name}, diameter"), "diameter"),
        maybe("length", given.length, _("{name}, length"), "length"),
        None if tips is None else round(tips),
        maybe("angle", given.angle, _("{name}, angle"), "angle"),
    )


_KINDS = {"clock": "fraction", "tips": "fraction", "apex_tips": "fraction", "angle": "angle"}


def _length(key: str, text: str, words: str, what: str, height_mm: float = 30_000.0) -> float:
    """A needed value."""
    value = _maybe(key, text, words, what, height_mm)
    if value is None:
        with at_field(key):
            raise MissingFieldError(_("{field} is needed").format(field=words))
    return value


def _maybe(key: str, text: str, words: str, what: str, height_mm: float) -> float | None:
    """A value in its range, or None where nothing was typed."""
    from ringwise.structure.tape import within

    if not text.strip():
        return None
    unit = "mm" if what == "diameter" else "cm"
    with at_field(key):
        kind = _KINDS.get(what)
        if kind is None:
            value = parse_quantity(text, "length", field=words, default_unit=unit)
        else:
            value = parse_quantity(text, kind, field=words)
        within(words, what, value, height_mm)
    return value


def girth_typed(text: str, *, field: str = "--girth") -> GirthGiven:
    """A girth as typed in one word: girth@height.

    Parameters
    ----------
    text : str
        Such as "29cm@3cm".
    field : str
        What it is called in an error.

    Returns
    -------
    GirthGiven
        Its parts, not yet read.

    Raises
    ------
    InputError
        Without the mark.

    Examples
    --------
    >>> girth_typed("29cm@3cm")
    GirthGiven(girth='29cm', at='3cm')
    """
    size, mark, height = text.partition("@")
    if not mark:
        raise InputError(
            _('{field} is "{text}"; write girth@height, such as 29cm@3cm').format(field=field, text=text)
        )
    return GirthGiven(size.strip(), height.strip())


def branch_typed(text: str, *, field: str = "--branch") -> BranchGiven:
    """A branch as typed in one line: height,clock,diameter,length,tips,angle.

    Parameters
    ----------
    text : str
        Such as "14cm,3,12mm,18cm,24"; parts may be blank or left off at the end.
    field : str
        What it is called in an error.

    Returns
    -------
    BranchGiven
        Its parts, not yet read.

    Raises
    ------
    InputError
        With no height or too many parts.

    Examples
    --------
    >>> branch_typed("14cm,3,,18cm").length
    '18cm'
    """
    parts = [part.strip() for part in text.split(",")]
    if not parts[0] or len(parts) > 6:
        raise InputError(
            _(
                '{field} is "{text}"; write height,clock,diameter,length,tips such as 14cm,3,12mm,18cm,24'
            ).format(field=field, text=text)
        )
    return BranchGiven(*parts)


def _read_file(file: Path) -> Tape:
    """A tape from a JSON or CSV file."""
    from ringwise.structure.tape import tape_from_json
    from ringwise.structure.tape_file import read_tape_csv

    text = given_text(file, most_bytes=MOST_BYTES, too_large=_("is too large for a tape"))
    if file.suffix.lower() in (".csv", ".tsv", ".txt"):
        return read_tape_csv(text, file=file.name)
    data = json_of(text, file)
    if not isinstance(data, dict):
        raise FileFormatError(_("holds no tape measurement (an object is needed)"), where=file.name)
    return tape_from_json(data)


def measure_tape(workspace: Workspace, wish: TapeWish) -> Shape:
    """Store a tape measurement and say what tree it makes.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : TapeWish
        A file, or what was typed.

    Returns
    -------
    dict
        Keys as documented for `ringwise measure tape`.

    Raises
    ------
    InputError, RecordError
        Nothing is stored then.
    """
    refuse_on_retired(workspace, workspace.tree(wish.tree), "tape", exact_day(workspace))
    if wish.file is not None:
        return keep_tape(workspace, wish.tree, _read_file(wish.file), wish.by)
    if not wish.height or not wish.girths:
        raise MissingFieldError(
            _("height and at least one girth are needed: --height 44cm --girth 13cm@3cm, or --file FILE")
        )
    given = TapeGiven(
        wish.height,
        tuple(girth_typed(text) for text in wish.girths),
        tuple(branch_typed(text) for text in wish.branches),
    )
    return keep_tape(workspace, wish.tree, tape_given(given), wish.by)


def keep_tape(workspace: Workspace, tree: str, tape: Tape, by: str | None, *, note: str = "") -> Shape:
    """Store a tape as one entry.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    tape : Tape
        What was measured.
    by : str or None
        Who measured; the owner where None.
    note : str
        Kept with it.

    Returns
    -------
    dict
        The measures, the action, and how many branches were measured.

    Raises
    ------
    ConflictError
        If the tree was retired.
    """
    refuse_on_retired(workspace, workspace.tree(tree), "tape", exact_day(workspace))
    facts = workspace.facts_of(tree)
    table = tree_of_tape(workspace, facts, tape, 0)
    entry = Entry(
        id="",
        tree=facts.tree.id,
        kind="tape",
        on=exact_day(workspace),
        data=tape.to_json(),
        note=note,
        by=by or workspace.settings.owner,
    )
    saved = workspace.store.save(action(workspace, by, f"measure tape {facts.tree.id}"), [entry])
    answer = structure_shape(facts, table)
    seen = len(tape.branches)
    told = _("stored: {n} branches as measured; the other {m} and every fork are reckoned").format(
        n=seen, m=max(0, len(answer["branches"]) - seen)
    )
    return answer | {"action": saved, "branches_measured": seen, "lines": [*answer["lines"], told]}
