"""Commands before a turning: the courses a tree allows, and what a cut at each height would give."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from rich.console import Console

_MOST_ROWS = 12


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "courses")(_courses)
    command(app, "cuts")(_cuts)


def _courses(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
) -> Shown:
    """The courses that make sense for a tree as it stands, each marked feasible or not, and why."""
    from ringwise.desk.courses import courses_answer

    answer = courses_answer(common.workspace(), tree)
    return Shown(answer, lambda console: _draw_courses(console, answer))


def _draw_courses(console: Console, answer: dict[str, Any]) -> None:
    console.print(answer["heading"], style="bold", markup=False)
    for row in answer["courses"]:
        mark = "  " if row["feasible"] else "- "
        text = f"{mark}{row['title']}  ({row['key']})"
        console.print(text, style="" if row["feasible"] else "dim", markup=False, soft_wrap=True)
        why = row["why"] if row["feasible"] else _("not feasible: {why}").format(why=row["why"])
        for line in (why, row["closes"], row["waits"], *row["notes"]):
            if line:
                console.print("    " + line, style="dim", markup=False, soft_wrap=True)
    console.print(
        _("live them: ringwise futures {tree} --course KEY").format(tree=answer["tree"]), markup=False
    )


def _cuts(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
    branch: Annotated[bool, typer.Option("--branch", help=_("Also along each main branch."))] = False,
) -> Shown:
    """What a layer or a cut at each height would give now: tree above, stump below, ring, odds."""
    from ringwise.desk.cuts import cuts_answer

    answer = cuts_answer(common.workspace(), tree, branch=branch)

    def draw(console: Console) -> None:
        console.print(answer.heading, style="bold", markup=False)
        _draw_places(console, answer.data["places"])
        for note in answer.notes:
            console.print(note, style="dim", markup=False, soft_wrap=True)
        for limb in answer.data["branches"]:
            from ringwise.kit.show import length

            text = _("branch at {height}, {clock} o'clock")
            console.print(text.format(height=length(limb["height_mm"]), clock=round(limb["clock"]) or 12))
            _draw_places(console, limb["places"])

    return Shown(answer.data, draw)


def _draw_places(console: Console, places: list[dict[str, Any]]) -> None:
    """The front of good compromises as a table; thinned evenly where it is long."""
    from rich.table import Table
    from rich.text import Text

    from ringwise.kit.show import length, odds

    front = [place for place in places if place["front"]]
    if not front:
        console.print(_("no height where a ring can be set"), markup=False)
        return
    step = -(-len(front) // _MOST_ROWS)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in (
        _("at"),
        _("top"),
        _("tips"),
        _("stump"),
        _("tips"),
        _("ring / wood"),
        _("roots"),
        _("live below"),
    ):
        table.add_column(head, overflow="fold")
    for place in front[::step]:
        sides = [(_proportion(side), str(side["tips_n"])) for side in (place["above"], place["below"])]
        ring = f"{length(place['ring_least_mm'])} / {length(place['wood_mm'])}"
        row = (length(place["height_mm"]), *sides[0], *sides[1], ring, odds(place["rooting_prob"]))
        table.add_row(*(Text(each) for each in (*row, _leader(place["stump"]))))
    console.print(table)


def _proportion(side: dict[str, Any]) -> str:
    from ringwise.kit.show import length

    ratio = "" if side["height_to_base_ratio"] is None else f", {side['height_to_base_ratio']:.1f}:1"
    return f"{length(side['height_mm'])}{ratio}, {from_data(side['size'])}"


def _leader(stump: dict[str, Any]) -> str:
    from ringwise.kit.show import length

    if not stump["live_branches_n"]:
        return str(stump["words"])
    count, height = stump["live_branches_n"], length(stump["leader_height_mm"])
    return _("{n}, up to {height}").format(n=count, height=height)
