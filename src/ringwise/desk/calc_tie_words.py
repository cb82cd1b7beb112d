"""What a tie-down tells on a terminal: wind, moments, pull, wire, and what comes before thicker wire."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.rootzone.tie_down import StandLimits, TieDown


def tie_lines(answer: Shape, tied: TieDown | None, limits: StandLimits | None, given: str) -> list[str]:
    """What `ringwise calc tie` tells, in lines.

    Parameters
    ----------
    answer : dict
        Its documented keys.
    tied : TieDown or None
        The ties, where a ball was given.
    limits : StandLimits or None
        The whole pot, where its mass was given.
    given : str
        Wind and outline in words.

    Returns
    -------
    list of str
        From the wind to the wire.
    """
    lines = [
        _("{given}, drag {drag}: the wind pushes with {force} N").format(
            given=given,
            drag=show.number(answer["drag_factor"], 3),
            force=show.number(answer["force_n"], 3),
        )
    ]
    if tied is not None:
        lines += _pull_lines(answer, tied)
    if limits is not None:
        lines.append(
            _("the whole pot tips at gusts of {tip} m/s and slides at {slide} m/s").format(
                tip=show.number(limits.tip_m_s, 3), slide=show.number(limits.slide_m_s, 3)
            )
        )
    lines.append(
        _(
            "Drag figures are carried over from trees larger than those in pots; a small crown counts as "
            "stiff."
        )
    )
    return lines


def _pull_lines(answer: Shape, tied: TieDown) -> list[str]:
    lines = [
        _("moment of the wind {wind} N m, the ball's weight holds {ball}, left {net}").format(
            wind=show.number(answer["moment_n_m"], 3),
            ball=show.number(tied.held_nm, 3),
            net=show.number(max(0.0, tied.net_nm), 4),
        )
    ]
    if tied.is_held_by_weight:
        lines.append(_("the ball's weight is enough; ties keep it from stirring"))
    else:
        lines.append(
            _("{legs}: {bare} N each, times a safety factor of {safety}: {pull} N").format(
                legs=counted("{n} windward leg", "{n} windward legs", tied.legs),
                bare=show.number(tied.bare_tension_n, 3),
                safety=show.number(tied.safety_factor, 2),
                pull=show.number(tied.tension_n, 3),
            )
        )
    lines += _wire_lines(answer)
    lines += [_("Tighten until the ball stops moving, then stop. Pad each root under a wire."), _capstan()]
    return lines


def _wire_lines(answer: Shape) -> list[str]:
    if answer["wire_mm"] is None:
        lines = [_("no wire in the table holds this")]
    else:
        lines = [_wire_line(answer)]
    if answer["ladder"]:
        lines.append(_("aluminium up to 3 mm does not hold; before thicker wire, in this order:"))
        lines += [f"  {rung['words']}" for rung in answer["ladder"]]
    return lines


def _wire_line(answer: Shape) -> str:
    from ringwise.rootzone.wire import wire_of

    wire = wire_of(answer["material"], answer["wire_mm"], answer["tension_n"])
    carries = show.number(wire.working_n, 3)
    if wire.margin_factor is None:
        return _("wire: {wire}, carries {carries} N a leg (half its yield load)").format(
            wire=wire.words, carries=carries
        )
    text = _("wire: {wire}, carries {carries} N a leg (half its yield load), margin {margin}").format(
        wire=wire.words, carries=carries, margin=show.number(wire.margin_factor, 3)
    )
    return text if wire.margin_factor >= 1 else text + " " + _("It does not hold.")


def _capstan() -> str:
    from ringwise.rootzone.wire import capstan_ratio

    return _(
        "A wire bent half round a root passes on 1 part in {n} of a pull: tighten each leg at its own end."
    ).format(n=show.number(capstan_ratio(180.0), 2))
