"""The wish to weigh a pot: several weighings and tests in one go, and at once what they have told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.deeds import action
from ringwise.desk.entries import of_pot
from ringwise.desk.entry_reading import read_day
from ringwise.desk.entry_words import entry_title
from ringwise.desk.pot_curves import PotCurve, pot_curve
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.soil_told import drops_told, learned, soil_lines
from ringwise.desk.texts import checked_note
from ringwise.desk.tree_facts_told import inside
from ringwise.desk.weight_checks import BEFORE, DAY_LATER, TEN_MINUTES, refuse_weights, too_light
from ringwise.desk.wet_pots import wet_pot, wet_shape
from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.model import Entry, Tree
from ringwise.records.observations import (
    DRAINED_LEVEL,
    DRAINED_TILTED,
    POT_EMPTY,
    TYPED,
    checked_data,
)

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.facts import TreeFacts

_AFTER_MIN = {TEN_MINUTES: (5.0, 20.0), DAY_LATER: (18 * 60.0, 30 * 60.0)}  # what counts as each moment
_TEST_DEPTH_MM = 10.0  # of water over the surface: what the drain test is
MM3_PER_CM3 = 1000.0  # exact


@dataclass(frozen=True)
class WeighGiven:
    """What was typed, all of it text; blank for what was not measured.

    `after` holds pairs of a time after watering and a weight, such as ("24h", "4.6kg").
    """

    level: str = ""
    tilted: str = ""
    tilt: str = ""
    after: tuple[tuple[str, str], ...] = ()
    dry: str = ""
    empty: str = ""
    drain: str = ""
    water: str = ""
    days_dry: str = ""
    date: str = ""
    note: str = ""
    by: str | None = None

    @property
    def measured(self) -> bool:
        """Whether anything is to be written down."""
        weights = (self.level, self.tilted, self.dry, self.empty, self.drain, self.days_dry)
        return bool(self.after or any(weights))


def weigh(workspace: Workspace, name: str, given: WeighGiven) -> Shape:
    """Write down weighings and tests of a pot and tell what they have told of its soil.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    given : WeighGiven
        What was typed; with nothing measured, what is known so far is told and nothing is stored.

    Returns
    -------
    dict
        Keys tree, name, entries, action, learned, drops, trend, contradicts, soil, air and lines.

    Raises
    ------
    UnitError, RangeError, MissingFieldError, InputError, ConflictError
        Each names the field; nothing is stored then.
    """
    tree = workspace.tree(name)
    entries = _read(workspace, tree, given)
    if not entries:
        _refuse_idle(given)
        return _known(workspace, tree)
    facts = workspace.facts_of(tree.id) if tree.retired is None else None
    for each in entries:
        refuse_on_retired(workspace, tree, each.kind, each.on)
    refuse_weights(workspace, tree, entries)
    doing = action(workspace, given.by, f"weigh {tree.id}")
    saved, ids = workspace.store.save_all(doing, entries)
    stored = [workspace.store.entry(each[1]) for each in ids]
    answer: Shape = {
        "tree": tree.id,
        "name": tree.name,
        "entries": [entry_shape(each) for each in stored],
        "action": saved,
    }
    head = [
        _("{id} {name}, {day}: {words}").format(
            id=tree.id, name=tree.name, day=date_shown(each.on), words=entry_title(each)
        )
        for each in stored
    ]
    if facts is None or inside(facts.pot) is None:
        why = _("Stored. Nothing can be learned from it yet: the tree stands in no measured pot.")
        return answer | _nothing() | {"lines": [*head, why]}
    return answer | _told(workspace, facts, stored, head)


def _told(workspace: Workspace, facts: TreeFacts, stored: Sequence[Entry], head: list[str]) -> Shape:
    before = pot_curve(workspace, facts)
    entries = sorted((*facts.entries, *stored), key=lambda each: each.on.by or date.min)
    drains = [float(str(each.data["seconds"])) for each in entries if each.kind == "drain"]
    now = replace(facts, entries=tuple(entries), drain_seconds=drains[-1] if drains else None)
    after = pot_curve(workspace, now)
    rows = learned(before, after) if after.weighed else []
    air = wet_pot(now, after)
    drops = drops_told(after)
    lines = [*head, *(str(row["line"]) for row in (*_let_out(after), *rows))]
    if not rows:
        lines.append(_more_words())
    doubts = [each for each in (after.contradicts, too_light(after)) if each]
    lines += [*doubts, *(air.lines[1:] if rows else air.lines), _caution()]  # a row tells its depth already
    return _soil(after) | {
        "learned": rows,
        "drops": drops,
        "air": wet_shape(air),
        "lines": lines,
    }


def _let_out(curve: PotCurve) -> list[Shape]:
    """What the newest session lost; the loss of a day is told with the air of the soil."""
    return [each for each in drops_told(curve, newest=True) if each["moment"] != "day"]


def _caution() -> str:
    return _("Never dry a tree out to weigh it: what it weighs when you would water it anyway is enough.")


def _more_words() -> str:
    """What is still missing before weights speak: a difference."""
    return _(
        "One weight alone tells nothing of the soil, since nobody knows what tree and pot weigh. Weigh it "
        "again: tilted, or a day after watering."
    )


def _soil(curve: PotCurve) -> Shape:
    return {
        "trend": curve.trend.words if curve.trend is not None else "",
        "contradicts": curve.contradicts,
        "soil": soil_lines(curve),
    }


def _nothing() -> Shape:
    return {"learned": [], "drops": [], "trend": "", "contradicts": "", "soil": [], "air": None}


def _known(workspace: Workspace, tree: Tree) -> Shape:
    """What is known of a pot's soil, with nothing new."""
    curve = pot_curve(workspace, workspace.facts_of(tree.id))
    air = wet_pot(workspace.facts_of(tree.id), curve)
    drops = drops_told(curve)
    head = _("{id} {name}: soil of its pot").format(id=tree.id, name=tree.name)
    return {
        "tree": tree.id,
        "name": tree.name,
        "entries": [],
        "action": None,
        **_soil(curve),
        "learned": [],
        "drops": drops,
        "air": wet_shape(air),
        "lines": [
            head,
            *soil_lines(curve),
            *(str(each["line"]) for each in _let_out(curve)),
            *([too_light(curve)] if too_light(curve) else []),
            *air.lines[1:],
        ],
    }


def _refuse_idle(given: WeighGiven) -> None:
    for option, text in (("--tilt", given.tilt), ("--water", given.water), ("--note", given.note)):
        if text:
            raise MissingFieldError(
                _("{option} says nothing without a weight or a test; add one, such as --level 5.2kg").format(
                    option=option
                )
            )


def _read(workspace: Workspace, tree: Tree, given: WeighGiven) -> list[Entry]:
    """The entries that were typed, checked, in the order of what a pot does after watering."""
    made: list[tuple[str, dict[str, Any]]] = []
    if given.empty:
        made.append(("weight", _weight(given.empty, "--empty", POT_EMPTY)))
    if given.level:
        made.append(("weight", _weight(given.level, "--level", DRAINED_LEVEL)))
    if given.tilt and not given.tilted:
        raise MissingFieldError(_("--tilt says how far the pot was tilted; give its weight with --tilted"))
    if given.tilted:
        if not given.tilt:
            raise MissingFieldError(_("--tilted needs --tilt, how far the pot was tilted, such as 30deg"))
        tilt_deg = parse_quantity(given.tilt, "angle", field="--tilt")
        made.append(("weight", _weight(given.tilted, "--tilted", DRAINED_TILTED) | {"tilt_deg": tilt_deg}))
    for time, weight in given.after:
        made.append(("weight", _weight(weight, f"--after {time}", _moment(time))))
    if given.dry:
        made.append(("weight", _weight(given.dry, "--dry", BEFORE)))
    if given.drain:
        made.append(("drain", _drain(workspace, tree, given)))
    elif given.water:
        raise MissingFieldError(_("--water says how much was poured; give the seconds with --drain"))
    if given.days_dry:
        made.append(("days_dry", {"days": _days(given.days_dry)}))
    if not made:
        return []
    on = read_day(workspace, "weight", given.date)
    return [_entry(workspace, tree, given, on, kind, data) for kind, data in made]


def _entry(
    workspace: Workspace, tree: Tree, given: WeighGiven, on: FuzzyDate, kind: str, data: dict[str, Any]
) -> Entry:
    entry = Entry(
        id="",
        tree=tree.id,
        kind=kind,
        on=on,
        data=checked_data(kind, data),
        note=checked_note(given.note, "--note"),
        by=given.by or workspace.settings.owner,
    )
    return of_pot(workspace, entry)


def _days(text: str) -> float:
    """Days, with or without their word; a percent is a slip of the option."""
    bare = text.strip()
    for word in (_("days"), "days", "day", "d"):
        bare = bare.removesuffix(word).strip()
    if "%" in bare:
        raise out_of_range("--days-dry", bare, _("days from full to watering"), way_out=_("Write 5."))
    return parse_quantity(bare, "fraction", field="--days-dry")


def _weight(text: str, field: str, moment: str) -> dict[str, Any]:
    mass_g = parse_quantity(text, "mass", field=field, default_unit="kg")
    if mass_g <= 0:
        raise out_of_range(field, text.strip(), _("more than 0"))
    return {"mass_g": mass_g, "moment": moment, TYPED: text.strip()}


def _moment(time: str) -> str:
    minutes = parse_quantity(time, "duration", field="--after")
    for moment, (low, high) in _AFTER_MIN.items():
        if low <= minutes <= high:
            return moment
    raise out_of_range(
        "--after", time, _("5 to 20 min, or 18 to 30 h after watering"), way_out=_("Write 10min or 24h.")
    )


def _drain(workspace: Workspace, tree: Tree, given: WeighGiven) -> dict[str, Any]:
    """Seconds and water of a drain test: as much as the last time, else 1 cm over the surface."""
    data: dict[str, Any] = {"seconds": parse_quantity(given.drain, "time", field="--drain")}
    if given.water:
        data["water_cm3"] = parse_quantity(given.water, "volume", field="--water")
        return data
    tests = [each for each in workspace.entries if each.tree == tree.id and each.kind == "drain"]
    if tests and tests[-1].data.get("water_cm3") is not None:  # poured as the last time, to be compared
        data["water_cm3"] = tests[-1].data["water_cm3"]
        return data
    shape = inside(next((each for each in workspace.pots if each.tree == tree.id), None))
    if shape is not None:
        data["water_cm3"] = shape.area_mm2 * _TEST_DEPTH_MM / MM3_PER_CM3
    return data
