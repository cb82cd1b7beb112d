"""Potting, tying down and carrying, each on its own, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

Text = str | None
GRIP_HELP = _("Height of the middle of the outline above the underside of the ball.")


def add_commands(group: typer.Typer) -> None:
    """Add this module's commands to those of calc."""
    command(group, "potting")(_potting)
    command(group, "tie")(_tie)
    command(group, "carry")(_carry)


def _potting(
    common: Common,
    shape: Annotated[
        str, typer.Option("--shape", help=_("oval, rectangle, round, hexagon, octagon or prism"))
    ],
    height: Annotated[
        Text, typer.Option("--height", "--depth", help=_("Inside depth; a bare number is cm."))
    ] = None,
    top: Annotated[Text, typer.Option("--top", help=_("Size at the rim, such as 30x22cm."))] = None,
    bottom: Annotated[Text, typer.Option("--bottom", help=_("Size at the floor, such as 26x18cm."))] = None,
    length: Annotated[
        Text, typer.Option("--length", help=_("Inside length, diameter or width across flats."))
    ] = None,
    width: Annotated[Text, typer.Option("--width", help=_("Inside width."))] = None,
    rim: Annotated[
        Text, typer.Option("--rim", help=_("Substrate below the lowest rim; 5 mm by default."))
    ] = None,
    base_drop: Annotated[
        Text, typer.Option("--base-drop", help=_("Depth lost to feet and floor inside; 5 mm by default."))
    ] = None,
    taper: Annotated[
        Text, typer.Option("--taper", help=_("Share of the straight volume kept by sloping walls."))
    ] = None,
    rim_fall: Annotated[
        Text, typer.Option("--rim-fall", help=_("How far the lowest rim point lies below the rest."))
    ] = None,
    mix: Annotated[
        str, typer.Option("--mix", help=_("A recipe's code, or parts such as akadama=2,pumice=1,lava=1."))
    ] = "D",
    ball: Annotated[
        Text, typer.Option("--ball", help=_("The kept ball as length x width x thickness: 26x18x5cm."))
    ] = None,
    ball_volume: Annotated[
        Text, typer.Option("--ball-volume", help=_("The kept ball by the water it displaces."))
    ] = None,
    kept: Annotated[
        Text, typer.Option("--kept", help=_("Share of the pot that the kept ball fills, such as 45%."))
    ] = None,
    root_removed: Annotated[
        Text, typer.Option("--root-removed", help=_("Share of the roots cut, such as 30%."))
    ] = None,
    worked: Annotated[
        Text, typer.Option("--worked", help=_("Share of the ball worked on, such as 50%."))
    ] = None,
    mound: Annotated[
        Text, typer.Option("--mound", help=_("Height of mix heaped above the level of the fill."))
    ] = None,
    hollow: Annotated[
        Text, typer.Option("--hollow", help=_("Hollow under the trunk, width x depth: 18x2.5cm."))
    ] = None,
    trunk: Annotated[Text, typer.Option("--trunk", help=_("Trunk diameter above the flare."))] = None,
    tree_height: Annotated[
        Text, typer.Option("--tree-height", help=_("Height of the tree; with it the ties are reckoned."))
    ] = None,
    spread: Annotated[Text, typer.Option("--spread", help=_("Spread of the crown."))] = None,
    hole: Annotated[
        list[str] | None,
        typer.Option("--hole", help=_("A hole as size@right:back from the middle: 22mm@-7cm:0; repeat.")),
    ] = None,
    reach: Annotated[
        Text, typer.Option("--reach", help=_("From above the hole to where the ends cross."))
    ] = None,
    no_dressing: Annotated[bool, typer.Option("--no-dressing", help=_("Leave the surface bare."))] = False,
    windy: Annotated[bool, typer.Option("--windy", help=_("It stands in a windy place."))] = False,
    material: Annotated[str, typer.Option("--material", help=_("What the pot is made of."))] = "",
    scoop: Annotated[
        Text, typer.Option("--scoop", help=_("Size of the scoop; half a litre by default."))
    ] = None,
) -> Shown:
    """All that must lie ready for one pot: litres, dome, dressing, mesh, wire, place, mass."""
    from ringwise.desk.calc_potting import BallWish, FillWish, PottingAsk, SetWish, calc_potting

    ask = PottingAsk(
        FillWish(shape, height, top, bottom, length, width, rim, base_drop, taper, rim_fall),
        mix,
        BallWish(ball, ball_volume, kept, root_removed, worked, mound, hollow),
        SetWish(
            trunk,
            tree_height,
            spread,
            tuple(hole or ()),
            reach,
            not no_dressing,
            windy,
            material,
            scoop,
        ),
    )
    answer = calc_potting(ask)
    return Shown(answer, lines(*answer["lines"]))


def _tie(
    common: Common,
    area: Annotated[
        Text, typer.Option("--area", help=_("Filled outline in leaf; a bare number is m²."))
    ] = None,
    height: Annotated[
        Text, typer.Option("--height", help=_("Height of the tree, where no outline is known."))
    ] = None,
    spread: Annotated[Text, typer.Option("--spread", help=_("Spread of the crown."))] = None,
    grip: Annotated[Text, typer.Option("--grip", help=GRIP_HELP)] = None,
    bare: Annotated[bool, typer.Option("--bare", help=_("Without leaves."))] = False,
    drag: Annotated[Text, typer.Option("--drag", help=_("Drag coefficient on the filled outline."))] = None,
    gust: Annotated[Text, typer.Option("--gust", help=_("Gust at the bench; a bare number is m/s."))] = None,
    wind: Annotated[Text, typer.Option("--wind", help=_("Mean wind at a gauge, instead of --gust."))] = None,
    wind_height: Annotated[
        Text, typer.Option("--wind-height", help=_("Height of that gauge; 10 m by default."))
    ] = None,
    ground: Annotated[str, typer.Option("--ground", help=_("Between gauge and bench: open or suburb."))] = (
        "open"
    ),
    bench_height: Annotated[
        Text, typer.Option("--bench-height", help=_("Height of the crown's middle; 1.2 m by default."))
    ] = None,
    gust_factor: Annotated[Text, typer.Option("--gust-factor", help=_("Gust over mean wind."))] = None,
    windy: Annotated[
        bool, typer.Option("--windy", help=_("Assume the gust of a windy place where none is given."))
    ] = False,
    ball_mass: Annotated[
        Text, typer.Option("--ball-mass", help=_("Wet mass of the root ball; a bare number is kg."))
    ] = None,
    ball_width: Annotated[
        Text, typer.Option("--ball-width", help=_("Width of the root ball along the wind."))
    ] = None,
    legs: Annotated[
        int,
        typer.Option("--legs", help=_("Legs of wire in tension: only those on the windward side count.")),
    ] = 2,
    arm: Annotated[
        Text,
        typer.Option(
            "--arm", help=_("From the lee edge of the ball to a leg; one, or one for each: 30cm,25cm.")
        ),
    ] = None,
    safety: Annotated[Text, typer.Option("--safety", help=_("Safety factor on the pull."))] = None,
    wire: Annotated[str, typer.Option("--wire", help=_("aluminium or copper"))] = "aluminium",
    diameter: Annotated[
        Text, typer.Option("--diameter", help=_("A gauge to judge, such as 2.5mm; else the thinnest."))
    ] = None,
    pot_mass: Annotated[
        Text, typer.Option("--pot-mass", help=_("Mass of pot and tree: at which gust the whole tips."))
    ] = None,
    foot: Annotated[Text, typer.Option("--foot", help=_("Width of the pot's foot along the wind."))] = None,
    pot_grip: Annotated[
        Text,
        typer.Option("--pot-grip", help=_("Height of the outline's middle above the bench; else --grip.")),
    ] = None,
) -> Shown:
    """The pull of a gust on tie wires, the wire that holds with its margin, and when the pot tips."""
    from ringwise.desk.calc_tie import LegsWish, PotStandWish, TieWish, TreeWish, WindWish, calc_tie

    wish = TieWish(
        TreeWish(area, height, spread, grip, bare, drag),
        WindWish(gust, wind, wind_height, ground, bench_height, gust_factor, windy),
        LegsWish(ball_mass, ball_width, legs, arm, safety, wire, diameter),
        PotStandWish(pot_mass, foot, pot_grip),
    )
    answer = calc_tie(wish)
    return Shown(answer, lines(*answer["lines"]))


def _carry(
    common: Common,
    mass: Annotated[Text, typer.Option("--mass", help=_("What is lifted; a bare number is kg."))] = None,
    tree: Annotated[
        Text, typer.Option("--tree", metavar="TREE", help=_("A tree of the collection, with its pot."))
    ] = None,
    pot: Annotated[Text, typer.Option("--pot", help=_("Another pot for that tree."))] = None,
    reach: Annotated[
        Text, typer.Option("--reach", help=_("Hands from the ankles; by the pot's width, or 40 cm."))
    ] = None,
    hands: Annotated[
        Text, typer.Option("--hands", help=_("Height of the hands at the start; 70 cm by default."))
    ] = None,
    travel: Annotated[Text, typer.Option("--travel", help=_("Way up or down; 60 cm by default."))] = None,
    turn: Annotated[Text, typer.Option("--turn", help=_("Turn of the body; 0° by default."))] = None,
    grip: Annotated[
        Text, typer.Option("--grip", help=_("good, fair or poor, or the factor; 0.95 by default."))
    ] = None,
    often: Annotated[
        Text, typer.Option("--often", help=_("Factor for how often; 1 for a lift now and then."))
    ] = None,
) -> Shown:
    """Who lifts it: the limit for one person by the revised lifting equation."""
    from ringwise.desk.calc_carry import CarryWish, calc_carry

    workspace = common.workspace() if tree is not None else None
    answer = calc_carry(CarryWish(mass, tree, pot, reach, hands, travel, turn, grip, often), workspace)
    return Shown(answer, lines(*answer["lines"]))
