"""What a pot holds at rest, and how fast it drains, each on its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.calc_curve import CurveWish

Text = str | None
TR_HELP = _("Water content that no suction takes; 0 by default.")
TS_HELP = _("Water content with all open pores full, such as 0.43 or 43%.")
ALPHA_HELP = _("Scale of the pores, per cm of suction.")
N_HELP = _("Steepness of the curve, more than 1.")
MODE_HELP = _("A pore system as share,alpha,n; once for each.")
SUBSTRATE_HELP = _("A component, such as akadama.")
MIX_HELP = _("A recipe's code, or parts such as akadama=2,pumice=1,lava=1.")
HEIGHT_HELP = _("Height of the substrate; a bare number is cm.")


def add_commands(group: typer.Typer) -> None:
    """Add this module's commands to those of calc."""
    command(group, "capacity")(_capacity)
    command(group, "drain")(_drain)


def _curve(
    numbers: tuple[Text, Text, Text, Text], mode: list[str] | None, known: tuple[Text, Text]
) -> CurveWish:
    from ringwise.desk.calc_curve import CurveWish

    return CurveWish(*numbers, tuple(mode or ()), *known)


def _capacity(
    common: Common,
    height: Annotated[Text, typer.Option("--height", "--depth", help=HEIGHT_HELP)] = None,
    tr: Annotated[Text, typer.Option("--tr", help=TR_HELP)] = None,
    ts: Annotated[Text, typer.Option("--ts", help=TS_HELP)] = None,
    alpha: Annotated[Text, typer.Option("--alpha", help=ALPHA_HELP)] = None,
    n: Annotated[Text, typer.Option("--n", help=N_HELP)] = None,
    mode: Annotated[list[str] | None, typer.Option("--mode", help=MODE_HELP)] = None,
    substrate: Annotated[Text, typer.Option("--substrate", metavar="KEY", help=SUBSTRATE_HELP)] = None,
    mix: Annotated[Text, typer.Option("--mix", metavar="KEY=PARTS", help=MIX_HELP)] = None,
    shape: Annotated[
        str, typer.Option("--shape", help=_("oval, rectangle, round, hexagon, octagon or prism"))
    ] = "prism",
    bottom: Annotated[Text, typer.Option("--bottom", help=_("Size at the floor, such as 26x18cm."))] = None,
    top: Annotated[Text, typer.Option("--top", help=_("Size at the rim, such as 30x22cm."))] = None,
    length: Annotated[
        Text,
        typer.Option("--length", help=_("Length of the tilted section, or of a pot without --top.")),
    ] = None,
    width: Annotated[Text, typer.Option("--width", help=_("Width of a pot without --top."))] = None,
    tilt: Annotated[
        Text, typer.Option("--tilt", help=_("Drain it with one end raised, such as 25deg."))
    ] = None,
    mound: Annotated[
        Text, typer.Option("--mound", help=_("Height of substrate heaped above the fill."))
    ] = None,
    mound_base: Annotated[
        Text, typer.Option("--mound-base", help=_("Size of the mound's base, such as 20x15cm."))
    ] = None,
    mound_form: Annotated[str, typer.Option("--mound-form", help=_("paraboloid or cap"))] = "paraboloid",
    layer: Annotated[
        Text,
        typer.Option("--layer", help=_("Thickness of a coarse layer at the bottom, part of the height.")),
    ] = None,
    layer_grain: Annotated[
        Text, typer.Option("--layer-grain", help=_("Grain size of that layer, such as 8mm."))
    ] = None,
    slices: Annotated[
        list[str] | None,
        typer.Option("--slice", help=_("A bowl by slices, from the floor up: 0cm:12x12cm; two or more.")),
    ] = None,
) -> Shown:
    """Water and air in a pot when it has stopped dripping."""
    from ringwise.desk.calc_capacity import CapacityWish, VesselWish, calc_capacity

    vessel = VesselWish(
        shape,
        height,
        bottom,
        top,
        length,
        width,
        tilt,
        mound,
        mound_base,
        mound_form,
        layer,
        layer_grain,
        tuple(slices or ()),
    )
    answer = calc_capacity(CapacityWish(_curve((tr, ts, alpha, n), mode, (substrate, mix)), vessel))
    return Shown(answer, lines(*answer["lines"]))


def _drain(
    common: Common,
    height: Annotated[Text, typer.Option("--height", "--depth", help=HEIGHT_HELP)] = None,
    tr: Annotated[Text, typer.Option("--tr", help=TR_HELP)] = None,
    ts: Annotated[Text, typer.Option("--ts", help=TS_HELP)] = None,
    alpha: Annotated[Text, typer.Option("--alpha", help=ALPHA_HELP)] = None,
    n: Annotated[Text, typer.Option("--n", help=N_HELP)] = None,
    mode: Annotated[list[str] | None, typer.Option("--mode", help=MODE_HELP)] = None,
    substrate: Annotated[Text, typer.Option("--substrate", metavar="KEY", help=SUBSTRATE_HELP)] = None,
    mix: Annotated[Text, typer.Option("--mix", metavar="KEY=PARTS", help=MIX_HELP)] = None,
    ks: Annotated[Text, typer.Option("--ks", help=_("Conductivity when soaked, such as 712.8cm/d."))] = None,
    at: Annotated[
        str, typer.Option("--at", help=_("When to look, such as 30s,120s,600s."))
    ] = "30s,120s,600s",
) -> Shown:
    """How fast a soaked pot with straight walls drains."""
    from ringwise.desk.calc_drain import DrainWish, calc_drain

    wish = DrainWish(_curve((tr, ts, alpha, n), mode, (substrate, mix)), height, ks, at)
    answer = calc_drain(wish)
    return Shown(answer, lines(*answer["lines"]))
