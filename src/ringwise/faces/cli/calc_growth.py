"""The commands for single formulas of growth and of waiting, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_commands(group: typer.Typer) -> None:
    """Add this module's commands to those of calc."""
    command(group, "wait")(_wait)
    command(group, "odds")(_odds)
    command(group, "closure")(_closure)
    command(group, "pipe")(_pipe)
    command(group, "girth-rate")(_girth_rate)


def _wait(
    common: Common,
    p_take: Annotated[str, typer.Option("--p-take", help=_("Chance that what is there takes, such as .5."))],
    sensitivity: Annotated[
        str, typer.Option("--sensitivity", help=_("Chance of a good sign where it has taken."))
    ],
    specificity: Annotated[
        str, typer.Option("--specificity", help=_("Chance of a bad sign where it has not taken."))
    ],
    keep_ok: Annotated[str, typer.Option("--keep-ok", help=_("Worth if kept and taken, 0 to 1."))],
    keep_fail: Annotated[str, typer.Option("--keep-fail", help=_("Worth if kept and failed."))],
    now: Annotated[str, typer.Option("--now", help=_("Worth of the other step taken now."))],
    late: Annotated[str, typer.Option("--late", help=_("Worth of that step taken after the check."))],
) -> Shown:
    """What waiting for a sign that may err is worth, against acting now."""
    from ringwise.desk.calc_wait import WaitWish, calc_wait

    answer = calc_wait(WaitWish(p_take, sensitivity, specificity, keep_ok, keep_fail, now, late))
    return Shown(answer, lines(*answer["lines"]))


def _odds(
    common: Common,
    prior: Annotated[
        str, typer.Option("--prior", help=_("Successes and failures that the prior is worth, as 5.92,3.19."))
    ],
    successes: Annotated[int, typer.Option("--successes", help=_("Own tries that came off."))] = 0,
    failures: Annotated[int, typer.Option("--failures", help=_("Own tries that did not."))] = 0,
) -> Shown:
    """Odds of a technique after one's own tries."""
    from ringwise.desk.calc_wait import OddsWish, calc_odds

    answer = calc_odds(OddsWish(prior, successes, failures))
    return Shown(answer, lines(*answer["lines"]))


def _closure(
    common: Common,
    width: Annotated[str, typer.Option("--width", help=_("Open width of the wound; a bare number is mm."))],
    diameter_growth: Annotated[
        str,
        typer.Option("--diameter-growth", help=_("Thickness the wood there gains in a year, such as 8mm.")),
    ],
    season: Annotated[
        str,
        typer.Option("--season", help=_("When it was cut: spring (before leaf), summer, winter, autumn.")),
    ] = "spring",
    stub: Annotated[str, typer.Option("--stub", help=_("Stub left beyond the collar."))] = "0mm",
) -> Shown:
    """Years until a wound closes, by how fast the wood around it thickens."""
    from ringwise.desk.calc_growth import ClosureWish, calc_closure

    answer = calc_closure(ClosureWish(width, diameter_growth, season, stub))
    return Shown(answer, lines(*answer["lines"]))


def _pipe(
    common: Common,
    levels: Annotated[int, typer.Option("--levels", help=_("How often the tree forks in two."))] = 8,
    tip: Annotated[str, typer.Option("--tip", help=_("Thickness of a tip; a bare number is mm."))] = "1mm",
    exponent: Annotated[
        float, typer.Option("--exponent", help=_("Of the area rule; 2 keeps the area across a fork."))
    ] = 2.0,
    units: Annotated[int, typer.Option("--units", help=_("Equal leaf units along a stem."))] = 10,
    leaf: Annotated[
        str, typer.Option("--leaf", help=_("Leaf area of the crown, such as 3000cm2."))
    ] = "3000cm2",
    pipe: Annotated[
        float | None, typer.Option("--pipe", help=_("Sapwood for each leaf area, mm2/cm2; 0.02 by default."))
    ] = None,
    sapwood: Annotated[
        float | None, typer.Option("--sapwood", help=_("Years that sapwood conducts; 5 by default."))
    ] = None,
    diameter: Annotated[str, typer.Option("--diameter", help=_("Trunk now; a bare number is mm."))] = "30mm",
    years: Annotated[float, typer.Option("--years", help=_("How far to reckon."))] = 25.0,
) -> Shown:
    """The pipe model: thickness from the tips down, and rings under a crown that stays the same."""
    from ringwise.desk.calc_growth import PipeWish, calc_pipe

    answer = calc_pipe(PipeWish(levels, tip, exponent, units, leaf, pipe, sapwood, diameter, years))
    return Shown(answer, lines(*answer["lines"]))


def _girth_rate(
    common: Common,
    species: Annotated[
        str,
        typer.Option("--species", help=_("Key or name; one equation as zelkova_serrata:NoEast.")),
    ],
    age: Annotated[float, typer.Option("--age", help=_("Years since planting at about 2.5 cm."))],
    volume: Annotated[
        str | None, typer.Option("--volume", help=_("In a pot of that volume; open ground by default."))
    ] = None,
) -> Shown:
    """Thickening by species and age in open ground, from published equations, or in a pot."""
    from ringwise.desk.calc_growth import GirthRateWish, calc_girth_rate

    answer = calc_girth_rate(GirthRateWish(species, age, volume))
    return Shown(answer, lines(*answer["lines"]))
