"""The command that holds past forecasts against what was then seen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from rich.console import Console


def add_to(app: typer.Typer) -> None:
    """Add this module's command."""
    command(app, "calibration")(_calibration)


def _calibration(
    common: Common,
    tree: Annotated[
        str | None, typer.Argument(metavar="[TREE]", help=_("Id or name; the whole yard by default."))
    ] = None,
    growth: Annotated[
        bool, typer.Option("--growth", help=_("Girths instead: the last two seasons against the forecast."))
    ] = False,
) -> Shown:
    """How well past forecasts did: error, band and score at 0 to 30 days before each stage seen."""
    from ringwise.desk.calibration import calibration

    if growth:
        from ringwise.desk.growth_calibration import growth_calibration

        told = growth_calibration(common.workspace(), tree)
        return Shown(told, lines(*told["lines"]))
    answer = calibration(common.workspace(), tree)
    return Shown(answer, lambda console: _draw(console, answer))


def _draw(console: Console, answer: dict[str, Any]) -> None:
    from rich.table import Table
    from rich.text import Text

    console.print(answer["heading"], markup=False, style="bold")
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in (_("days before"), _("seen"), _("springs"), _("off by"), _("late by"), _("in the band")):
        table.add_column(head, overflow="fold")
    for head in (_("score"), _("own mean off by"), _("words")):
        table.add_column(head, overflow="fold")
    for row in answer["totals"]:
        table.add_row(*(Text(text) for text in _cells(row)))
    console.print(table)
    if answer["tree"]:
        for score in answer["scores"]:
            console.print("  " + _line(score), markup=False, soft_wrap=True)
    for note in answer["notes"]:
        console.print(note, markup=False, style="dim", soft_wrap=True)


def _cells(row: dict[str, Any]) -> list[str]:
    held = row["coverage_frac"]
    return [
        str(row["lead_days"]),
        str(row["n"]),
        str(row["seasons"]),
        _days(row["mae_days"]),
        _days(row["bias_days"]),
        "" if held is None else _("{n} of {all}").format(n=round(held * row["n"]), all=row["n"]),
        _days(row["crps_days"]),
        _days(row["mean_mae_days"]),
        row["words"],
    ]


def _days(value: float | None) -> str:
    return "" if value is None else _("{n} d").format(n=show.fixed(value, 1))


def _line(score: dict[str, Any]) -> str:
    return _("{year}, stage {code}, {lead} days before: {low} to {high}, seen {seen}").format(
        year=score["year"],
        code=score["code"],
        lead=score["lead_days"],
        low=score["forecast_low"],
        high=score["forecast_high"],
        seen=score["seen"],
    )
