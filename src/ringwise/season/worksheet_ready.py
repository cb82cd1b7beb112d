"""What a worksheet lists as done beforehand: litres, scoops, cut list, notes and the drawing's numbers."""

from __future__ import annotations

import math
from dataclasses import replace

from ringwise.kit.show import dimensions, length, length_span, litres, number
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, from_data
from ringwise.rootzone.components import component_name
from ringwise.rootzone.dome import RootBase, dome_for
from ringwise.rootzone.mix import gross_cm3
from ringwise.rootzone.pot import PotShape
from ringwise.rootzone.potting import Potting
from ringwise.rootzone.surface import surface_words
from ringwise.season.worksheet_content import Cut, Figure, Part, PotDrawing, Ready
from ringwise.season.worksheet_ties import hint_notes, mesh_cuts, tie_cuts, tie_notes

ROOM = "season.worksheet"
TENTH = 0.1  # litres are restated for each tenth of the pot, since the kept ball is known only at the bench
BALL_MOST_FRAC = 0.95  # the drawn ball stays inside the wall
SPARE_HOLLOW = ((0.8, 0.8), (1.2, 1.2), (1.4, 1.4))  # hollows beside the expected one, by radius and depth


def ready_for(potting: Potting, *, pot_name: str, trunk_mm: float | None) -> Ready:
    """What must lie ready, from the potting arithmetic.

    Parameters
    ----------
    potting : Potting
        The arithmetic of the destination pot.
    pot_name : str
        The pot's own name in the collection; empty where it has none.
    trunk_mm : float or None
        Trunk diameter, in mm, for the drawing.

    Returns
    -------
    Ready
        Figures, parts, cut list, notes, drawing.

    Source
    ------
    practice: what a grower lays out before roots are exposed.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> tray = PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))
    >>> [figure.value for figure in ready_for(potting(tray), pot_name="P-21", trunk_mm=None).figures][:2]
    ['6.2 L', '9.4 L']
    """
    return Ready(
        pot=" ".join(part for part in (pot_name, pot_words(potting.pot)) if part),
        figures=_figures(potting),
        parts=_parts(potting),
        scoop=litres(potting.litres.scoop_cm3),
        grain=_grain(potting),
        cuts=_cuts(potting),
        notes=_notes(potting),
        dome_choices=dome_choices(potting),
        drawing=drawing(potting, trunk_mm=trunk_mm),
        traces=potting.traces,
    )


def pot_words(pot: PotShape) -> str:
    """A pot as a grower names it.

    Parameters
    ----------
    pot : PotShape
        The pot.

    Returns
    -------
    str
        Shape and inside measures.

    Source
    ------
    own: wording.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> pot_words(pot_shape("round", PotLengths(280, None, 90)))
    'round 28 × 9 cm inside'
    """
    sides = (
        (pot.length_mm,) if pot.shape in {"round", "hexagon", "octagon"} else (pot.length_mm, pot.width_mm)
    )
    size = dimensions((*sides, pot.depth_mm))
    return _("{shape} {size} inside").format(shape=from_data(pot.shape), size=size)


def _figures(potting: Potting) -> tuple[Figure, ...]:
    mix = _("mix {code}").format(code=potting.recipe.code)
    made = Figure("gross", _("to make"), litres(potting.gross_cm3), mix, potting.why("gross"))
    holds = Figure(
        "volume",
        _("pot holds"),
        litres(potting.volume_cm3),
        _("{share} of it new mix").format(share=_about(potting.litres.refill_frac)),
        potting.why("volume"),
    )
    per_tenth = _per_tenth(potting)
    dressing = Figure(
        "top_dressing",
        _("top-dressing"),
        litres(potting.top_dressing_cm3) if potting.top_dressing_cm3 else _("none"),
        surface_words(potting.surface),
        potting.why("top_dressing"),
    )
    return (made, holds, per_tenth, _dome_figure(potting), dressing)


def _about(share_frac: float) -> str:
    return _("about {n} %").format(n=number(share_frac * 100, 2))


def _per_tenth(potting: Potting) -> Figure:
    volume = gross_cm3(potting.volume_cm3 * TENTH)
    chain = Trace(
        _("mix for a tenth of the pot"),
        litres(volume),
        ROOM,
        _("a tenth of the pot x settling x waste"),
        "own",
        "assumed",
        (potting.why("volume"), potting.why("gross")),
    )
    return Figure("tenth", _("more for each further tenth off the ball"), litres(volume), "", chain)


def _dome_figure(potting: Potting) -> Figure:
    dome = potting.dome
    if not dome.is_due:
        return Figure("dome", _("dome"), _("none"), dome.note, dome.trace)
    size = _("hollow {wide} wide, {deep} deep").format(
        wide=length(_whole_cm(2 * dome.radius_mm)), deep=length(dome.depth_mm)
    )
    expected = _("{size}, expected; measure it").format(size=size) if dome.assumed else size
    return Figure("dome", _("dome, part of the mix"), litres(dome.dome_cm3), expected, dome.trace)


def _whole_cm(value_mm: float) -> float:
    return round(value_mm / 10) * 10.0


def dome_choices(potting: Potting) -> tuple[tuple[str, str], ...]:
    """Domes for hollows near the expected one, to read off with the roots out.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    tuple of (str, str)
        Hollow as width and depth, and the dome for it; empty where no hollow is due.

    Source
    ------
    practice: dome 1.2 times the hollow, a spherical cap.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> tray = PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))
    >>> dome_choices(potting(tray))
    ()
    """
    if not potting.dome.is_due:
        return ()
    chosen = []
    for wider, deeper in SPARE_HOLLOW:
        radius, depth = (
            _whole_cm(2 * wider * potting.dome.radius_mm) / 2,
            round(deeper * potting.dome.depth_mm),
        )
        measured = RootBase(hollow_radius_mm=radius, hollow_depth_mm=float(depth))
        dome = dome_for(measured, potting.pot.fill_height_mm)
        chosen.append((f"{length(2 * radius)} × {length(float(depth))}", litres(dome.dome_cm3)))
    return tuple(chosen)


def _parts(potting: Potting) -> tuple[Part, ...]:
    return tuple(
        Part(component_name(key), litres(volume), potting.litres.scoops[key], potting.why(f"part {key}"))
        for key, volume in potting.parts_cm3.items()
    )


def _grain(potting: Potting) -> str:
    grain = potting.litres.grain
    return _("sieve to {span}; everything under {fines} out").format(
        span=length_span(grain.from_mm, grain.to_mm), fines=length(grain.fines_below_mm)
    )


def _cuts(potting: Potting) -> tuple[Cut, ...]:
    cuts = [*mesh_cuts(potting), *tie_cuts(potting)]
    if potting.anchor.bar:
        cuts.append(Cut(1, _("bar under the ball"), length(_bar_mm(potting)), "", potting.why("wire")))
    return tuple(cuts)


def _bar_mm(potting: Potting) -> float:
    """A bar that fits: inside the ball's width, in whole centimetres."""
    return math.floor(potting.ball.width_mm / 10) * 10.0


def _notes(potting: Potting) -> tuple[str, ...]:
    notes = []
    if potting.holes_assumed:
        text = _(
            "Holes were not measured: {n} of {width} are assumed. Check before cutting; write them down."
        )
        wide = length(potting.holes[0].diameter_mm)
        notes.append(text.format(n=len(potting.holes), width=wide))
    notes.extend(potting.anchor.notes)
    return (*notes, *tie_notes(potting), *hint_notes(potting))


def drawing(potting: Potting, *, trunk_mm: float | None) -> PotDrawing:
    """The numbers of the plan and of the section.

    Parameters
    ----------
    potting : Potting
        The arithmetic.
    trunk_mm : float or None
        Trunk diameter, in mm; 0 draws none.

    Returns
    -------
    PotDrawing
        All in mm.

    Source
    ------
    own: the kept ball is drawn as a share of the pot, not as measured.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> tray = PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))
    >>> drawing(potting(tray), trunk_mm=118).substrate_mm
    75.0
    """
    pot, holes = potting.pot, potting.holes
    ball = potting.ball
    lines = {(tie.first, tie.second) for tie in potting.ties}
    plan = PotDrawing(
        shape=pot.shape,
        length_mm=pot.length_mm,
        width_mm=pot.width_mm,
        depth_mm=pot.depth_mm,
        floor_length_mm=pot.bottom_length_mm or pot.length_mm,
        holes=holes,
        mesh_mm=potting.mesh_mm,
        ties=tuple((holes[a].x_mm, holes[a].y_mm, holes[b].x_mm, holes[b].y_mm) for a, b in sorted(lines)),
        trunk_mm=trunk_mm or 0.0,
        base_drop_mm=pot.base_drop_mm,
        substrate_mm=pot.depth_mm - pot.rim_drop_mm,
        dressing_mm=potting.surface.dressing_mm,
        ball_length_mm=min(ball.length_mm, BALL_MOST_FRAC * pot.length_mm),
        ball_width_mm=min(ball.width_mm, BALL_MOST_FRAC * pot.width_mm),
        ball_height_mm=ball.depth_mm,
        behind_mm=potting.place.behind_mm,
        hollow_radius_mm=0.0,
        hollow_depth_mm=0.0,
    )
    dome = potting.dome
    return replace(plan, hollow_radius_mm=dome.radius_mm, hollow_depth_mm=dome.depth_mm)
