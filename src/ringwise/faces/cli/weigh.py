"""The command that takes a pot's weights and tests, and tells what they say of its soil."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.errors import InputError
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "weigh")(_weigh)


def _weigh(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
    weights: Annotated[
        list[str] | None,
        typer.Argument(metavar="[WEIGHT]...", help=_("The weights of --after, each behind its time.")),
    ] = None,
    level: Annotated[
        str, typer.Option("--level", metavar="WEIGHT", help=_("Watered through, standing level, drip-free."))
    ] = "",
    tilted: Annotated[
        str, typer.Option("--tilted", metavar="WEIGHT", help=_("Then tilted until nothing drips any more."))
    ] = "",
    tilt: Annotated[
        str, typer.Option("--tilt", metavar="ANGLE", help=_("How far it was tilted, such as 30deg."))
    ] = "",
    after: Annotated[
        list[str] | None,
        typer.Option(
            "--after", metavar="TIME", help=_("10min or 24h after watering, then the weight; may come twice.")
        ),
    ] = None,
    dry: Annotated[
        str,
        typer.Option(
            "--dry", metavar="WEIGHT", help=_("When you would water it anyway; never dry a tree to weigh it.")
        ),
    ] = "",
    empty: Annotated[
        str, typer.Option("--empty", metavar="WEIGHT", help=_("The pot alone, without tree and soil."))
    ] = "",
    drain: Annotated[
        str,
        typer.Option(
            "--drain", metavar="TIME", help=_("Time for 1 cm of water to soak in, on a pot wetted before.")
        ),
    ] = "",
    water: Annotated[
        str, typer.Option("--water", metavar="VOLUME", help=_("Water poured, where it was not 1 cm."))
    ] = "",
    days_dry: Annotated[
        str, typer.Option("--days-dry", metavar="DAYS", help=_("Days from full to watering."))
    ] = "",
    date: Annotated[str, typer.Option("--date", help=_("When; today by default."))] = "",
    note: Annotated[str, typer.Option("--note", help=_("Anything else worth remembering."))] = "",
    by: Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))] = None,
) -> Shown:
    """Write down what a pot weighs and how it drains, and see what that says of its soil."""
    from ringwise.desk.weighings import WeighGiven, weigh

    given = WeighGiven(
        level=level,
        tilted=tilted,
        tilt=tilt,
        after=_pairs(after or [], weights or []),
        dry=dry,
        empty=empty,
        drain=drain,
        water=water,
        days_dry=days_dry,
        date=date,
        note=note,
        by=by,
    )
    answer = weigh(common.workspace(), tree, given)
    return Shown(answer, lines(*answer["lines"]))


def _pairs(times: list[str], weights: list[str]) -> tuple[tuple[str, str], ...]:
    """Times after watering with their weights, by their order."""
    if len(times) != len(weights):
        raise InputError(
            _("each --after needs its weight behind it, and no weight stands alone: --after 10min 5.10kg")
        )
    return tuple(zip(times, weights, strict=True))
