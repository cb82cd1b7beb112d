"""The command that tells when water is due: the yard in watering order, one tree, or while one is away."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command
from ringwise.kit.errors import InputError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from rich.console import Console


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "water")(_water)


def _water(
    common: Common,
    tree: Annotated[
        str | None, typer.Argument(metavar="[TREE]", help=_("Id or name; the whole yard without."))
    ] = None,
    away: Annotated[
        str | None,
        typer.Option(
            "--away", metavar="DAYS", help=_('Days at risk while you are away, such as "8-15 Aug".')
        ),
    ] = None,
) -> Shown:
    """When each pot wants water, as a band: the yard in watering order, or one tree day by day."""
    workspace = common.workspace()
    if away is not None:
        if tree is not None:
            raise InputError(_("--away tells of the whole yard; leave the tree out"))
        from ringwise.desk.watering_away import water_away

        absent = water_away(workspace, away)
        return Shown(absent, lambda console: _draw_away(console, absent))
    if tree is not None:
        from ringwise.desk.watering_tree import tree_water

        one = tree_water(workspace, tree)
        return Shown(one, lambda console: _draw_tree(console, one))
    from ringwise.desk.watering_told import watering_order

    answer = watering_order(workspace)
    return Shown(answer, lambda console: _draw_order(console, answer))


def _draw_order(console: Console, answer: dict[str, Any]) -> None:
    console.print(answer["heading"], markup=False, style="bold")
    told = [row for row in answer["trees"] if row["state"] not in {"ground", "unknown"}]
    measured = [row for row in told if row["measured"]]
    rest = [row for row in told if not row["measured"]]
    wide = max((len(_named(row)) for row in told), default=0)
    is_first = True
    for rows, title in ((measured, "{place}"), (rest, _("Not measured, {place}"))):
        for place in dict.fromkeys(row["place"] for row in rows):
            console.print()
            there = title.format(place=place or _("no place written down"))
            console.print(there, markup=False, style="bold")
            there_rows = [row for row in rows if row["place"] == place]
            _table(console, there_rows, min(wide, _NAME_COLUMNS), headed=is_first)
            is_first = False
    unknown = [f"{row['tree']} {row['name']}" for row in answer["trees"] if row["state"] == "unknown"]
    if unknown:
        console.print()
        console.print(
            _("Cannot be told, the pot was never measured: {trees}").format(trees=", ".join(unknown)),
            markup=False,
        )
    _notes(console, answer["notes"])


_NAME_COLUMNS, _WHEN_COLUMNS = 26, 28  # what leaves room for how long it lasts in 80


def _named(row: dict[str, Any]) -> str:
    return f"{row['tree']} {row['name']}"


def _table(console: Console, rows: list[dict[str, Any]], wide: int, *, headed: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold", show_header=headed)
    table.add_column(_("tree"), width=wide, overflow="fold")
    table.add_column(_("check, then water"), width=_WHEN_COLUMNS, overflow="fold")
    table.add_column(_("a full pot lasts"), overflow="fold")
    for row in rows:
        due = "bold" if row["state"] == "due" else ""
        table.add_row(Text(_named(row), style=due), Text(row["when_shown"]), Text(row["lasts_shown"]))
    console.print(table)


def _draw_tree(console: Console, answer: dict[str, Any]) -> None:
    from rich.table import Table

    console.print(answer["heading"], markup=False, style="bold", soft_wrap=True)
    for warning in answer["warnings"]:
        console.print("  " + warning, markup=False, soft_wrap=True)
    if answer["days"]:
        table = Table(box=None, pad_edge=False, header_style="bold")
        moved = {
            "rain": _("rain cm³"),
            "watered": _("given"),
            "drained": _("drained"),
            "transpired": _("leaves"),
            "evaporated": _("surface"),
        }
        shown = [name for name in moved if any(day[f"{name}_cm3"] >= 0.5 for day in answer["days"])]
        heads = (_("day"), _("ET0 mm"), *(moved[name] for name in shown), _("water left"))
        for head in heads:
            last = head == heads[-1]
            table.add_column(head, justify="left" if head == heads[0] else "right", no_wrap=last)
        for day in answer["days"]:
            dry = day["left_median_frac"] <= 0.0
            table.add_row(
                day["day_shown"],
                f"{day['et0_mm_day']:.1f}",
                *(f"{day[f'{name}_cm3']:.0f}" for name in shown),
                _("dry") if dry else _left(day),
            )
            if dry:  # what follows is the reckoning of a pot that nobody waters
                break
        console.print(table)
    for line in answer["stands_on"]:
        console.print("  " + line, markup=False, soft_wrap=True)
    _notes(console, answer["notes"])


def _left(day: dict[str, Any]) -> str:
    from ringwise.kit import show

    low, high = (_share(day[f"left_{end}_frac"]) for end in ("low", "high"))
    return f"{_share(day['left_median_frac'])} ({show.spanned(low, high)})"


def _share(frac: float) -> str:
    from ringwise.kit import show

    return show.percent(max(frac, 0.0))


def _draw_away(console: Console, answer: dict[str, Any]) -> None:
    from rich.table import Table
    from rich.text import Text

    console.print(answer["heading"], markup=False, style="bold")
    for title, rows in (
        ("", [row for row in answer["trees"] if row["measured"]]),
        (_("Not measured"), [row for row in answer["trees"] if not row["measured"]]),
    ):
        if not rows:
            continue
        if title:
            console.print()
            console.print(title, markup=False, style="bold")
        table = Table(box=None, pad_edge=False, header_style="bold")
        for head in (_("tree"), _("place"), _("dries out"), _("from"), _("days at risk"), _("what to do")):
            table.add_column(head, overflow="fold")
        for row in rows:
            table.add_row(
                Text(f"{row['tree']} {row['name']}"),
                Text(row["place"]),
                Text(row["dry_shown"]),
                Text(row["dry_from_shown"]),
                f"{row['days_at_risk']:g}",
                Text(row["words"]),
            )
        console.print(table)
    _notes(console, answer["notes"])


def _notes(console: Console, notes: list[str]) -> None:
    if notes:
        console.print()
        for note in notes:
            console.print(note, markup=False, style="dim", soft_wrap=True)
