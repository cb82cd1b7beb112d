"""The command for feed, salts and water quality, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_commands(group: typer.Typer) -> None:
    """Add this module's command to the group `calc`."""
    command(group, "dose")(_dose)


def _dose(
    common: Common,
    n: Annotated[str | None, typer.Option("--n", help=_("Nitrogen on the label, such as 20%."))] = None,
    p2o5: Annotated[str | None, typer.Option("--p2o5", help=_("Phosphate on the label, %."))] = None,
    k2o: Annotated[str | None, typer.Option("--k2o", help=_("Potash on the label, %."))] = None,
    dose: Annotated[
        str | None, typer.Option("--dose", help=_("Feed in a litre; a bare number is g/L."))
    ] = None,
    want: Annotated[
        str | None, typer.Option("--want", help=_("Wanted nitrogen, ppm, instead of --dose."))
    ] = None,
    water: Annotated[
        str | None, typer.Option("--water", help=_("What is poured; a bare number is L."))
    ] = None,
    deficit: Annotated[
        str | None, typer.Option("--deficit", help=_("What the pot has lost; a bare number is L."))
    ] = None,
    leach: Annotated[
        str | None, typer.Option("--leach", help=_("Share that runs out again; 15 % by default."))
    ] = None,
    ec_in: Annotated[
        str | None, typer.Option("--ec-in", help=_("Salts of what is poured; a bare number is mS/cm."))
    ] = None,
    ec_out: Annotated[
        str | None, typer.Option("--ec-out", help=_("Salts of a sample that ran out, mS/cm."))
    ] = None,
    feeding: Annotated[
        str, typer.Option("--feeding", help=_("How the tree is fed: liquid, slow or none."))
    ] = "liquid",
    pot: Annotated[
        str | None, typer.Option("--pot", help=_("Substrate in the pot, for a sample; a bare number is L."))
    ] = None,
    alkalinity: Annotated[
        str | None,
        typer.Option("--alkalinity", help=_("Of the water, as calcium carbonate; ppm, meq/L or °dH.")),
    ] = None,
    target: Annotated[
        str | None, typer.Option("--to", help=_("Wanted alkalinity, for the acid it would take."))
    ] = None,
    tree: Annotated[
        str | None, typer.Option("--tree", help=_("Id or name: says whether it may be fed at all."))
    ] = None,
) -> Shown:
    """Feed, salts and hard water: strength, grams, what runs out; whether a tree may be fed at all."""
    from ringwise.desk.calc_dose import DoseWish, calc_dose

    wish = DoseWish(
        n=n,
        p2o5=p2o5,
        k2o=k2o,
        dose=dose,
        want=want,
        water=water,
        deficit=deficit,
        leach=leach,
        ec_in=ec_in,
        ec_out=ec_out,
        feeding=feeding,
        pot=pot,
        alkalinity=alkalinity,
        target=target,
        tree=tree,
    )
    answer = calc_dose(wish, common.workspace() if tree is not None else None)
    return Shown(answer, lines(*answer["lines"]))
