"""The grower's own components of mixes: measured once by weighing, kept in the collection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from ringwise.desk.deeds import action
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import ConflictError, InputError, NotFoundError, RingwiseError, near_names
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, from_data
from ringwise.records.model import Setting, Withdrawn
from ringwise.records.store import Seen

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import JsonValue
    from ringwise.rootzone.components import Component
    from ringwise.rootzone.measured import BedWeighings

SETTING = "component:"  # begins the key of the setting that keeps the weighings of an own component


def own_components(workspace: Workspace) -> dict[str, Component]:
    """The components that the grower measured.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict of str to Component
        By key, each made anew from its weighings.
    """
    return workspace.once("own_components", lambda: _read(workspace))


def _read(workspace: Workspace) -> dict[str, Component]:
    from ringwise.rootzone.measured import measured_component

    found = {}
    for key, value in sorted(workspace.store.settings().items()):
        if not key.startswith(SETTING) or not isinstance(value, Mapping):
            continue
        name = key.removeprefix(SETTING)
        try:
            found[name] = measured_component(name, weighings_of(value))
        except (RingwiseError, TypeError, ValueError):  # written by another version: not ours to guess
            continue
    return found


def weighings_of(value: Mapping[str, JsonValue]) -> BedWeighings:
    """Weighings as kept."""
    from ringwise.rootzone.measured import BedWeighings

    return BedWeighings(**{key: float(str(number)) for key, number in value.items()})


def checked_own_key(word: str) -> str:
    """The key of a new own component.

    Parameters
    ----------
    word : str
        Its name as typed.

    Returns
    -------
    str
        Small letters, digits and underscores.

    Raises
    ------
    ConflictError
        If the package has a component of that name.
    InputError
        If nothing is left to name it by.

    Examples
    --------
    >>> checked_own_key("Sharp grit 2-4")
    'sharp_grit_2_4'
    """
    from ringwise.rootzone.components import component_key, component_keys

    key = component_key(word)
    if key in component_keys():
        raise ConflictError(
            _(
                '"{name}" is a component that comes with Ringwise. Give yours another name, such as {own}.'
            ).format(name=word, own=f"my_{key}")
        )
    if not key.replace("_", "").isalnum() or len(key) > 40:
        raise InputError(
            _('component name is "{name}"; use letters, digits and hyphens, 40 at most.').format(name=word)
        )
    return key


@dataclass(frozen=True)
class NewComponent:
    """What was typed of an own component: the vessel, the grain cut and four weights."""

    name: str
    vessel: str
    height: str
    grain: str
    empty: str
    dry: str
    soaked: str
    drained: str


def add_component(workspace: Workspace, given: NewComponent, *, by: str | None = None) -> Shape:
    """Keep an own component by its weighings; measuring it again replaces the former weights.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    given : NewComponent
        What was typed.
    by : str, optional
        Who weighed; the owner where not given.

    Returns
    -------
    dict
        Keys component, action and lines.

    Raises
    ------
    InputError
        If a weight does not read, or the weights contradict each other; nothing is stored.
    """
    from ringwise.rootzone.measured import measured_component

    key = checked_own_key(given.name)
    seen = _weighed(given)
    made = measured_component(key, seen)
    setting = SETTING + key
    before = workspace.store.settings().get(setting)
    kept: dict[str, JsonValue] = dict(asdict(seen))
    if before == kept:
        raise InputError(_("nothing changes: that is what is written already"))
    marks = [Seen("setting", setting, None if before is None else Setting(setting, before))]
    saved = workspace.store.save(
        action(workspace, by, f"component add {key}"), [Setting(setting, kept)], seen=marks
    )
    shape = component_shape(made)
    return {"component": shape, "action": saved, "lines": shape["lines"]}


def _weighed(given: NewComponent) -> BedWeighings:
    from ringwise.rootzone.measured import BedWeighings

    def grams(text: str, field: str) -> float:
        return parse_quantity(text, "mass", field=field, default_unit="g")

    low, high = _cut(given.grain)
    return BedWeighings(
        volume_cm3=parse_quantity(given.vessel, "volume", field="--vessel"),
        height_mm=parse_quantity(given.height, "length", field="--height"),
        grain_from_mm=low,
        grain_to_mm=high,
        empty_g=grams(given.empty, "--empty"),
        dry_g=grams(given.dry, "--dry"),
        soaked_g=grams(given.soaked, "--soaked"),
        drained_g=grams(given.drained, "--drained"),
    )


def _cut(text: str) -> tuple[float, float]:
    """A sieve cut such as "2-5 mm"; one size stands for a narrow cut."""
    low, mark, high = text.replace("–", "-").partition("-")
    if not mark:
        size = parse_quantity(text, "length", field="--grain", default_unit="mm")
        return size, size
    if not low.strip() or not high.strip():
        raise InputError(_('--grain is "{text}"; write the sieve cut, such as "2-5 mm".').format(text=text))
    unit = high.strip().lstrip("0123456789.,/ ") or "mm"
    ends = [parse_quantity(each, "length", field="--grain", default_unit=unit) for each in (low, high)]
    return ends[0], ends[1]


def list_components(workspace: Workspace) -> Shape:
    """All components: the grower's own, then those that come with Ringwise."""
    from ringwise.rootzone.components import component, component_keys

    known = [*own_components(workspace).values(), *(component(key) for key in component_keys())]
    shapes = [component_shape(each) for each in known]
    return {
        "components": shapes,
        "lines": [
            *(
                shape["lines"][0]
                if shape["key"] == shape["label"].casefold()
                else f"{shape['key']}  {shape['lines'][0]}"
                for shape in shapes
            ),
            _("Measure your own: ringwise component add NAME. See: ringwise component show KEY"),
        ],
    }


def show_component(workspace: Workspace, name: str) -> Shape:
    """One component with the provenance of its numbers."""
    from ringwise.rootzone.components import component

    shape = component_shape(component(name, own_components(workspace)))
    return {"component": shape, "lines": shape["lines"]}


def remove_component(workspace: Workspace, name: str, *, by: str | None = None) -> Shape:
    """Take an own component out; its weighings stay in the history."""
    from ringwise.rootzone.components import component_key

    key = component_key(name)
    setting = SETTING + key
    before = workspace.store.settings().get(setting)
    if before is None:
        own = own_components(workspace)
        near = near_names(key, own)
        hint = _("Did you mean: {names}?").format(names=", ".join(near)) if near else ""
        raise NotFoundError(
            _('there is no component of your own called "{name}". {hint}')
            .format(name=name, hint=hint)
            .strip()
        )
    saved = workspace.store.save(
        action(workspace, by, f"component remove {key}"),
        [Withdrawn("setting", setting)],
        seen=[Seen("setting", setting, Setting(setting, before))],
    )
    return {
        "action": saved,
        "line": _("{name} is taken out; its weights stay in the history").format(name=key),
    }


_SUCTIONS_CM = (10.0, 50.0, 100.0)
_GAUGE_MM = 70.0  # depth of a middling tray, at which components are told side by side


def component_shape(each: Component) -> Shape:
    """A component as it is told: what it holds, weighs and exchanges, and how well that is known.

    Parameters
    ----------
    each : Component
        The component.

    Returns
    -------
    dict
        Keys key, label, own, bulk_kg_l, open_porosity_v, packing_fraction, air_filled_porosity_v,
        held, cec_cmol_kg, ph_low, ph_high, provenance and lines.
    """
    from ringwise.rootzone.blend import blend
    from ringwise.rootzone.components import component_name
    from ringwise.rootzone.container import container_state
    from ringwise.rootzone.mix import Recipe
    from ringwise.rootzone.pot import PotLengths, pot_shape

    alone = blend(Recipe(each.key, ((each.key, 1.0),)), own={each.key: each})
    state = container_state(pot_shape("prism", PotLengths(depth_mm=_GAUGE_MM)), alone.curve)
    held = [{"suction_cm": cm, "theta_v": float(alone.curve.theta_v(cm))} for cm in _SUCTIONS_CM]
    air_v = float(state.air_filled_porosity_v)
    name = each.name if each.own else component_name(each.key)
    return {
        "key": each.key,
        "label": name,
        "own": each.own,
        "bulk_kg_l": each.bulk_kg_l.value,
        "open_porosity_v": each.open_porosity_v.value,
        "packing_fraction": each.packing_frac.value,
        "held": held,
        "air_filled_porosity_v": air_v,
        "cec_cmol_kg": None if each.cec_cmol_kg is None else each.cec_cmol_kg.value,
        "ph_low": None if each.ph is None else each.ph[0],
        "ph_high": None if each.ph is None else each.ph[1],
        "provenance": each.provenance,
        "lines": _component_lines(each, name, [row["theta_v"] for row in held], air_v),
    }


def _component_lines(each: Component, name: str, held_v: Sequence[float], air_v: float) -> list[str]:
    ph = None if each.ph is None else show.spanned(show.number(each.ph[0], 3), show.number(each.ph[1], 3))
    cec = _("not measured")
    if each.cec_cmol_kg is not None:
        cec = _("{cec} cmol/kg").format(cec=show.number(each.cec_cmol_kg.value, 2))
    return [
        _("{name}: {bulk} kg/L dry, open pores {pores}, air in a tray of 7 cm {air}").format(
            name=name,
            bulk=show.number(each.bulk_kg_l.value, 2),
            pores=show.percent(each.open_porosity_v.value),
            air=show.percent(air_v),
        ),
        _("  water at 10, 50 and 100 cm of suction: {water}").format(
            water=", ".join(show.percent(theta_v) for theta_v in held_v)
        ),
        _("  pH {ph}; exchanges {cec}").format(ph=ph or _("not measured"), cec=cec),
        _("  where this comes from: {provenance}").format(
            provenance=each.provenance if each.own else from_data(each.provenance)
        ),
    ]
