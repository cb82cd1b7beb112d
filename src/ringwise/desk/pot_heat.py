"""Heat and frost of one pot as they are told: on a hot clear day and in a clear frost night."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.pot_skins import latitude_of, place_kind, recorded_heat
from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.model import Pot
    from ringwise.rootzone.heat_days import ColdNight, HotDay


def pot_heat_told(workspace: Workspace, pot: Pot) -> tuple[Shape | None, list[str]]:
    """What a pot reaches on a hot clear day and in a clear frost night where it stands.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    pot : Pot
        Of the record.

    Returns
    -------
    (dict or None, list of str)
        Its values and its lines; nothing where the pot was not measured.
    """
    from ringwise.rootzone.heat_days import cold_night, hot_day
    from ringwise.rootzone.skin import COVERS, covered

    heat = recorded_heat(pot)
    if heat is None:
        return None, []
    facts = workspace.facts.get(pot.tree or "")
    kind = "open_bench" if facts is None else place_kind(workspace, facts)
    placed = facts is not None and facts.place is not None
    latitude_deg = latitude_of(workspace)
    hot = hot_day(heat, kind=kind, latitude_deg=latitude_deg)
    cold = cold_night(heat, kind=kind, latitude_deg=latitude_deg)
    covers = {key: hot_day(covered(heat, key), kind=kind, latitude_deg=latitude_deg) for key in COVERS}
    shape: Shape = {
        "tone": heat.skin.tone,
        "tone_told": heat.skin.told,
        "place_kind": kind,
        "place_told": placed,
        "hot_day": {
            "air_degC": hot.air_degC,
            "core_degC": round(hot.core_degC, 1),
            "wall_degC": round(hot.wall_degC, 1),
            "wall_low_degC": round(hot.wall_low_degC, 1),
            "wall_high_degC": round(hot.wall_high_degC, 1),
            "long_h": hot.long_h,
            "level": hot.level,
            "covers": [{"cover": key, "wall_degC": round(each.wall_degC, 1)} for key, each in covers.items()],
        },
        "frost_night": {
            "air_degC": cold.air_degC,
            "core_degC": round(cold.core_degC, 1),
            "held_degC": round(cold.held_degC, 1),
            "frozen_frac": round(cold.frozen_frac, 3),
        },
    }
    return shape, [
        _hot_line(heat.skin.tone, hot, covers),
        *_assumed(heat.skin.told, placed),
        _cold_line(cold),
    ]


def _hot_line(tone: str, hot: HotDay, covers: dict[str, HotDay]) -> str:
    from ringwise.rootzone.heat_words import heat_advice, side_words
    from ringwise.rootzone.skin import tone_words

    line = _(
        "hot clear day of {air} (pot {tone}): core {core}, sunny wall {wall} ({low} to {high}), "
        "hottest in the {side}"
    ).format(
        air=show.temperature(hot.air_degC),
        tone=tone_words(tone),
        core=show.temperature(hot.core_degC),
        wall=show.temperature(hot.wall_degC),
        low=show.temperature(hot.wall_low_degC),
        high=show.temperature(hot.wall_high_degC),
        side=side_words(hot.side_deg),
    )
    if not hot.level:
        return line + "."
    told = _("With shade cloth {cloth}, behind a board {board}, among other pots {huddle}.").format(
        **{key: show.temperature(each.wall_degC) for key, each in covers.items()}
    )
    return f"{line}. {told} {heat_advice(hot.level)}"


def _assumed(tone_told: bool, placed: bool) -> list[str]:
    parts = [] if tone_told else [_("the pot's colour")]
    parts += [] if placed else [_("its place (an open bench)")]
    parts += [_("water in the mix, the crown's shade and the wind's share")]
    return [_("assumed: {what}").format(what=", ".join(parts))]


def _cold_line(cold: ColdNight) -> str:
    return _(
        "clear frost night of {air}: the core is judged at {core}; its freezing water would hold it at "
        "{held}, with {ice} of it ice by morning, and the rim freezes first"
    ).format(
        air=show.temperature(cold.air_degC),
        core=show.temperature(cold.core_degC),
        held=show.temperature(cold.held_degC),
        ice=show.percent(cold.frozen_frac),
    )
