"""Commands that look ahead: what needs me, windows, and where a number comes from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, lines
from ringwise.kit.errors import InputError
from ringwise.kit.words import _, counted, from_data

if TYPE_CHECKING:
    from rich.console import Console

    from ringwise.desk.outlook import Ahead
    from ringwise.desk.workspace import Workspace


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "today")(_today)
    command(app, "outlook")(_outlook)
    command(app, "why")(_why)


def _today(
    common: Common,
    all_: Annotated[bool, typer.Option("--all", help=_("Everything due, not only the first page."))] = False,
) -> Shown:
    """What needs me: one quiet page, the window that closes first on top."""
    from ringwise.desk.today import today_page

    answer = today_page(common.workspace())
    return Shown(answer, lambda console: draw_today(console, answer, everything=all_))


def draw_today(console: Console, answer: dict[str, Any], *, everything: bool) -> None:
    """The day's page on a terminal."""
    from rich.table import Table
    from rich.text import Text

    console.print(answer["heading"], markup=False, style="bold")
    if not answer["due"]:
        console.print(_("Nothing needs you today."), markup=False)
    _draw_water(console, answer["water"])
    rows = answer["due"] if everything else answer["due"][:14]
    if rows:
        table = Table(box=None, pad_edge=False, header_style="bold")
        for head in (_("tree"), _("work"), _("when"), _("why")):
            table.add_column(head, overflow="fold")
        for row in rows:
            style = "bold" if row["state"] == "open" else ""
            table.add_row(
                Text(f"{row['tree']} {row['name']}", style=style),
                Text(row["operation_words"]),
                Text(row["when"]),
                Text(row["reason"]),
            )
        console.print(table)
    if len(answer["due"]) > len(rows):
        console.print(
            _("{n} more, and the ways out of what collides: ringwise today --all").format(
                n=len(answer["due"]) - len(rows)
            ),
            markup=False,
        )
    _draw_lists(console, answer, everything=everything)


def _draw_water(console: Console, block: dict[str, Any]) -> None:
    """Lines about water, only where something is due."""
    lines_ = [row["line"] for row in block["rows"]] + block["roof"]
    if lines_:
        console.print(_("Water"), style="bold", markup=False)
        for line in lines_:
            console.print("  " + line, markup=False, soft_wrap=True)
        console.print()


def _draw_lists(console: Console, answer: dict[str, Any], *, everything: bool) -> None:
    for title, items in (
        (_("Left alone"), answer["left_alone"]),
        (_("Planned works that collide"), answer["conflicts"]),
    ):
        if items:
            console.print()
            console.print(title, style="bold", markup=False)
            for item in items:
                text = item.get("full_line", item["line"]) if everything else item["line"]
                console.print("  " + text, markup=False, soft_wrap=not everything)
    if answer["notes"]:
        console.print()
        for note in answer["notes"]:
            console.print(note, markup=False, style="dim")


def _outlook(
    common: Common,
    trees: Annotated[
        list[str] | None, typer.Argument(metavar="[TREE...]", help=_("Ids or names; all by default."))
    ] = None,
    operation: Annotated[
        str | None,
        typer.Option("--operation", help=_("One kind of work; by default what is planned, else repot.")),
    ] = None,
    ics: Annotated[
        Path | None,
        typer.Option(
            "--ics", metavar="FILE", help=_("Write the windows as an iCalendar file; - for standard output.")
        ),
    ] = None,
) -> Shown | None:
    """Windows ahead: when each opens and closes, with its band, chance and sign to look for."""
    from ringwise.desk.outlook import outlook_shape, windows_ahead

    workspace = common.workspace()
    if ics is not None and str(ics) == "-" and common.as_json:
        raise InputError(_("--json and --ics - both want standard output; name a file for the calendar"))
    ahead = windows_ahead(workspace, trees or [], operation=operation, on_day=common.on is not None)
    if ics is None:
        answer = outlook_shape(workspace, ahead)
        return Shown(answer, lambda console: _draw_outlook(console, answer, in_full=bool(trees)))
    told = _calendar(workspace, ahead, ics)
    return None if str(ics) == "-" else Shown(outlook_shape(workspace, ahead) | told, lines(*told["lines"]))


def _calendar(workspace: Workspace, ahead: Ahead, file: Path) -> dict[str, Any]:
    """The same windows for a calendar; what was written is remembered, so that a change is seen as one."""
    from ringwise.desk.calendar_feed import calendar_feed

    with calendar_feed(workspace, ahead) as feed:
        documents().calendar_file(feed, None if str(file) == "-" else file)
    told = [
        _("calendar: {file}").format(file=file),
        counted("{n} window", "{n} windows", len(feed.events)),
        counted("{n} new or changed", "{n} new or changed", feed.changed),
    ]
    if feed.undated:
        told.append(
            counted(
                "{n} window has no days: it is blocked, or only a sign tells",
                "{n} windows have no days: they are blocked, or only a sign tells",
                feed.undated,
            )
        )
    counts = {"events": len(feed.events), "events_changed": feed.changed, "windows_undated": feed.undated}
    return {"ics": str(file), **counts, "lines": told}


def _draw_outlook(console: Console, answer: dict[str, Any], *, in_full: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    console.print(answer["heading"], markup=False, style="bold")
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in (_("tree"), _("work"), _("opens"), _("closes"), _("open today")):
        table.add_column(head, overflow="fold")
    for row in answer["windows"]:
        table.add_row(
            Text(f"{row['tree']} {row['name']}"),
            Text(row["operation_words"]),
            Text(row["opens_shown"]),
            Text(row["closes_shown"]),
            Text(row["blocked"] or row["open_shown"]),
        )
    console.print(table)
    if in_full:
        for row in answer["windows"]:
            _draw_window(console, row)
    for note in answer["notes"]:
        console.print(note, markup=False, style="dim", soft_wrap=True)


def _draw_window(console: Console, row: dict[str, Any]) -> None:
    console.print()
    console.print(
        f"{row['tree']} {row['name']}, {row['botanical_name']}: {row['operation_words']}",
        style="bold",
        markup=False,
    )
    texts = [row["sentence"], _("look for: {sign}").format(sign=row["sign"]) if row["sign"] else ""]
    texts.append(_("closes: {by}").format(by=row["closes_by"]) if row["closes_by"] else "")
    if row["days_left"] and row["state"] == "open":
        texts.append(row["days_left"]["shown"])
    if row["risks"] or row["carry_in_words"]:
        texts.append(_("if the work is done on {day}:").format(day=row["work_on_shown"]))
        texts += _risk_lines(row["risks"])
        texts.append(row["carry_in_words"])
    on_day = row["on_day"]
    if (
        on_day is not None
        and on_day["day"] != row["work_on"]
        and (on_day["risks"] or on_day["carry_in_words"])
    ):
        texts.append(_("if the work is done on {day}:").format(day=on_day["day_shown"]))
        texts += _risk_lines(on_day["risks"])
        texts.append(on_day["carry_in_words"])
    texts.append(
        _("rests on: {model} model ({basis}), {n} own springs").format(
            model=from_data(row["model"].replace("_", " ")),
            basis=from_data(row["basis"]),
            n=row["own_seasons"],
        )
    )
    texts.append(_("first leaf open: {usual}").format(usual=row["usual_shown"]) if row["usual_shown"] else "")
    for text in texts:
        if text:
            console.print("  " + text, markup=False, soft_wrap=True)


def _risk_lines(risks: list[dict[str, Any]]) -> list[str]:
    """What happens in some of the weather years; what happens in none is left out."""
    told = ["  " + risk["sentence"] for risk in risks if risk["prob"] > 0]
    if told or not risks:
        return told
    kinds = " ".join(risk["kind"] for risk in risks)
    if all(each in kinds for each in ("frost", "heat", "wind")):
        return ["  " + _("neither frost, heat nor wind in any of the weather years")]
    return ["  " + _("nothing of what can be told in any of the weather years")]


def _why(
    common: Common,
    result: Annotated[
        str,
        typer.Argument(metavar="RESULT", help=_("Such as T03:repot:opens, T03:repot:gross or T01:futures.")),
    ],
) -> Shown:
    """Where a shown number comes from: inputs, formula, parameter rows and their sources."""
    from ringwise.desk.why import why

    answer = why(common.workspace(), result)
    return Shown(answer, lines(*answer["lines"]))
