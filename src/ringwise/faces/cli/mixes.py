"""Commands for mixes and their components."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.errors import InputError
from ringwise.kit.words import _

BY = Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "mix")(_mix)
    group = typer.Typer(
        no_args_is_help=True,
        rich_markup_mode=None,
        help=_("What mixes are made of, and your own by weighing."),
    )
    command(group, "list")(_list)
    command(group, "show")(_show)
    command(group, "add")(_add)
    command(group, "remove")(_remove)
    app.add_typer(group, name="component")


def _mix(
    common: Common,
    trees: Annotated[
        list[str] | None,
        typer.Argument(metavar="[TREE...]", help=_("Trees to make mix for, in one batch list.")),
    ] = None,
    recipe: Annotated[
        str | None,
        typer.Option(
            "--recipe", help=_("Recipe code, such as D, V, C, W, A, T or S; or parts: pumice=2,lava=1.")
        ),
    ] = None,
    litres: Annotated[
        str | None, typer.Option("--litres", help=_("Net volume to fill, such as 4.5L, instead of trees."))
    ] = None,
    scoop: Annotated[
        str | None, typer.Option("--scoop", help=_("Size of the scoop; half a litre by default."))
    ] = None,
    pot: Annotated[str | None, typer.Option("--pot", help=_("Destination pot, for one tree."))] = None,
    purpose: Annotated[
        str | None, typer.Option("--purpose", help=_("build, hold, refine or rescue: mixes side by side."))
    ] = None,
    compare: Annotated[
        str | None,
        typer.Option("--compare", help=_("Mixes side by side in one pot, such as D,V or D;pumice=2,lava=1.")),
    ] = None,
    once_a_day: Annotated[
        bool, typer.Option("--once-a-day", help=_("Show the days at risk when watered once a day."))
    ] = False,
) -> Shown:
    """Litres of each part for trees or for a volume, in scoops; or mixes side by side in one pot."""
    from ringwise.desk.mix_comparing import CompareWish, compare_mixes
    from ringwise.desk.mixing import MixWish, mix_batches

    if purpose is not None or compare is not None:
        if trees is None or len(trees) != 1 or recipe or litres or scoop:
            raise InputError(
                _("mixes are compared for one tree: ringwise mix TREE --purpose build, or --compare D,V")
            )
        told = compare_mixes(common.workspace(), CompareWish(trees[0], purpose, compare, pot, once_a_day))
        return Shown(told, lines(*told["lines"]))
    answer = mix_batches(common.workspace(), MixWish(tuple(trees or ()), recipe, litres, scoop, pot))
    return Shown(answer, lines(*answer["lines"]))


def _list(common: Common) -> Shown:
    """All components, your own first."""
    from ringwise.desk.own_components import list_components

    answer = list_components(common.workspace())
    return Shown(answer, lines(*answer["lines"]))


def _show(
    common: Common,
    name: Annotated[str, typer.Argument(metavar="COMPONENT", help=_("Such as pumice."))],
) -> Shown:
    """What a component holds, weighs and exchanges, and where its numbers come from."""
    from ringwise.desk.own_components import show_component

    answer = show_component(common.workspace(), name)
    return Shown(answer, lines(*answer["lines"]))


def _add(
    common: Common,
    name: Annotated[str, typer.Argument(metavar="NAME", help=_("Its name, such as sharp-grit."))],
    vessel: Annotated[str, typer.Option("--vessel", help=_("Volume of a vessel with holes, such as 1L."))],
    height: Annotated[str, typer.Option("--height", help=_("Inside height of the vessel, such as 12cm."))],
    grain: Annotated[str, typer.Option("--grain", help=_("Sieve cut, such as 2-5mm."))],
    dry: Annotated[str, typer.Option("--dry", help=_("Weight filled to the brim, dry, vessel included."))],
    soaked: Annotated[
        str, typer.Option("--soaked", help=_("Weight with the holes closed and water level with the brim."))
    ],
    drained: Annotated[str, typer.Option("--drained", help=_("Weight once nothing drips any more."))],
    empty: Annotated[str, typer.Option("--empty", help=_("Weight of the empty vessel."))] = "0g",
    by: BY = None,
) -> Shown:
    """Your own component from four weights in a vessel of known volume and height."""
    from ringwise.desk.own_components import NewComponent, add_component

    given = NewComponent(name, vessel, height, grain, empty, dry, soaked, drained)
    answer = add_component(common.workspace(), given, by=by)
    return Shown(answer, lines(*answer["lines"]))


def _remove(
    common: Common,
    name: Annotated[str, typer.Argument(metavar="NAME", help=_("Your own component."))],
    by: BY = None,
) -> Shown:
    """Take your own component out; its weights stay in the history."""
    from ringwise.desk.own_components import remove_component

    answer = remove_component(common.workspace(), name, by=by)
    return Shown(answer, lines(answer["line"]))
