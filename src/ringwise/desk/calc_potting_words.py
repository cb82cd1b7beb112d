"""What the potting arithmetic of one pot tells on a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.rootzone.potting import Potting


def potting_lines(ready: Potting) -> list[str]:
    """What `ringwise calc potting` tells, in lines.

    Parameters
    ----------
    ready : Potting
        The arithmetic.

    Returns
    -------
    list of str
        From the pot to who lifts.
    """
    from ringwise.season.worksheet_ready import ready_for

    told = ready_for(ready, pot_name="", trunk_mm=None)
    lines = [
        told.pot,
        _("pot holds {volume}, kept ball {ball}, new mix {refill}").format(
            volume=show.litres(ready.volume_cm3, 2),
            ball=show.litres(ready.volume_cm3 * (1 - ready.litres.refill_frac), 2),
            refill=show.litres(ready.refill_cm3, 2),
        ),
    ]
    lines += [
        f"{figure.label}: {figure.value}" + (f" ({figure.remark})" if figure.remark else "")
        for figure in told.figures
        if figure.key not in {"volume", "tenth"}
    ]
    lines += [
        _("  {part}: {value}, {n} × scoop").format(part=part.name, value=part.value, n=part.scoops)
        for part in told.parts
    ]
    lines.append(_("scoop of {scoop}; {grain}").format(scoop=told.scoop, grain=told.grain))
    lines += [
        f"{cut.count} × {cut.what}: {cut.size}" + (f" ({cut.remark})" if cut.remark else "")
        for cut in told.cuts
    ]
    lines.append(
        _("trunk centre {left} from the left wall, {front} from the front").format(
            left=show.length(ready.place.left_mm), front=show.length(ready.place.front_mm)
        )
    )
    who = counted("{n} person", "{n} people", ready.people)
    why = f" ({ready.lift.who})" if ready.lift.who else ""
    lines.append(_("to lift: {mass}; {who}").format(mass=ready.lift.words, who=who + why))
    return [*lines, *told.notes]
