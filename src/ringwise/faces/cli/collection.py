"""Commands for the collection itself: trees, pots and mixes kept in it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

if TYPE_CHECKING:
    from rich.console import Console

NAME = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]
SPECIES = Annotated[str, typer.Option("--species", help=_("Accepted botanical name, or a common one."))]
BY = Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))]
AS_OF = Annotated[
    str | None, typer.Option("--as-of", metavar="DATE", help=_("Show what was known on that day."))
]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    trees = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=_("The trees of the collection."))
    command(trees, "add")(_add)
    command(trees, "list")(_list)
    command(trees, "show")(_show)
    command(trees, "edit")(_edit)
    command(trees, "retire")(_retire)
    command(trees, "history")(_history)
    app.add_typer(trees, name="tree")
    pots = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, help=_("Pots, their measures and who stands in them.")
    )
    command(pots, "add")(_pot_add)
    command(pots, "list")(_pot_list)
    command(pots, "show")(_pot_show)
    command(pots, "edit")(_pot_edit)
    command(pots, "put")(_pot_put)
    app.add_typer(pots, name="pot")


def _add(
    common: Common,
    name: Annotated[str, typer.Argument(metavar="NAME", help=_("Free name of the tree."))],
    species: SPECIES,
    id: Annotated[str | None, typer.Option("--id", help=_("Short id; the next free one by default."))] = None,
    origin: Annotated[str, typer.Option("--origin", help=_("Seed, layer, field, bought from ..."))] = "",
    started: Annotated[
        str, typer.Option("--started", help=_('When it began: "1998", "about 1990", "unknown".'))
    ] = "unknown",
    stage: Annotated[
        str,
        typer.Option(
            "--stage", help=_("Stage of training: S1 seed, S3 field, S5 trunk, S7 twigs, S9 show; X, R rest.")
        ),
    ] = "",
    parent: Annotated[str | None, typer.Option("--parent", help=_("Tree it came from."))] = None,
    front_mark: Annotated[
        str, typer.Option("--front-mark", help=_("What marks the front on pot or trunk."))
    ] = "",
    goal: Annotated[str, typer.Option("--goal", help=_("Open question or goal."))] = "",
    place: Annotated[str, typer.Option("--place", help=_("Where it stands."))] = "",
    by: BY = None,
) -> Shown:
    """Add a tree; only its name and species are needed."""
    from ringwise.desk.trees import NewTree, add_tree

    given = NewTree(name, species, id, origin, started, stage, parent, front_mark, goal, place)
    answer = add_tree(common.workspace(), given, by=by)
    tree = answer["tree"]
    return Shown(
        answer,
        lines(
            _("{id} {name}, {species}: added").format(
                id=tree["id"], name=tree["name"], species=tree["botanical_name"]
            )
        ),
    )


def _list(common: Common, as_of: AS_OF = None) -> Shown:
    """The trees, one line each."""
    from ringwise.desk.trees import list_trees

    answer = list_trees(common.workspace(), as_of=as_of)
    return Shown(answer, lambda console: _draw_list(console, answer["trees"]))


def _draw_list(console: Console, trees: list[dict[str, Any]]) -> None:
    from rich.table import Table
    from rich.text import Text

    if not trees:
        console.print(
            _('No tree yet. Add one: ringwise tree add "Old elm" --species "Ulmus procera"'), markup=False
        )
        return
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in (
        _("tree"),
        _("name"),
        _("species"),
        _("stage"),
        _("vigour"),
        _("trunk"),
        _("pot"),
        _("place"),
    ):
        table.add_column(head, overflow="fold")
    for tree in trees:
        cells = (
            tree["id"],
            tree["name"],
            tree["botanical_name"],
            tree["stage"],
            "?" if tree["vigour"] is None else str(tree["vigour"]),
            tree["trunk_shown"],
            tree["pot_shown"],
            tree["place"] or "",
        )
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)


def _show(common: Common, tree: NAME, as_of: AS_OF = None) -> Shown:
    """One tree: what is known of it and its latest entries."""
    from ringwise.desk.trees import show_tree

    answer = show_tree(common.workspace(), tree, as_of=as_of)
    return Shown(answer, lines(*answer["lines"]))


def _edit(
    common: Common,
    tree: NAME,
    name: Annotated[str | None, typer.Option("--name", help=_("Free name."))] = None,
    species: Annotated[
        str | None, typer.Option("--species", help=_("Accepted botanical name, or a common one."))
    ] = None,
    origin: Annotated[str | None, typer.Option("--origin", help=_("Where it came from."))] = None,
    started: Annotated[str | None, typer.Option("--started", help=_("When it began."))] = None,
    stage: Annotated[
        str | None,
        typer.Option(
            "--stage",
            help=_("Stage of training: S1 seed, S3 field, S5 trunk, S7 twigs, S9 show; X regress, R rest."),
        ),
    ] = None,
    front_mark: Annotated[str | None, typer.Option("--front-mark", help=_("What marks the front."))] = None,
    goal: Annotated[str | None, typer.Option("--goal", help=_("Open question or goal."))] = None,
    note: Annotated[str | None, typer.Option("--note", help=_("Anything else worth knowing of it."))] = None,
    place: Annotated[str | None, typer.Option("--place", help=_("Where it stands from today on."))] = None,
    by: BY = None,
) -> Shown:
    """Correct what is written of a tree; the old wording is kept."""
    from ringwise.desk.trees import edit_tree

    changes = {
        "name": name,
        "species": species,
        "origin": origin,
        "started": started,
        "stage": stage,
        "front_mark": front_mark,
        "goal": goal,
        "note": note,
        "place": place,
    }
    answer = edit_tree(common.workspace(), tree, changes, by=by)
    return Shown(answer, lines(answer["line"]))


def _retire(
    common: Common,
    tree: NAME,
    reason: Annotated[str, typer.Option("--reason", help=_("Died, sold, given away ..."))] = "",
    by: BY = None,
) -> Shown:
    """Take a tree out of the collection; its record stays."""
    from ringwise.desk.trees import retire_tree

    answer = retire_tree(common.workspace(), tree, reason, by=by)
    return Shown(answer, lines(answer["line"]))


def _history(common: Common, tree: NAME) -> Shown:
    """Every revision of a tree's sheet and of its entries, oldest first."""
    from ringwise.desk.trees import tree_history

    answer = tree_history(common.workspace(), tree)
    return Shown(answer, lines(*answer["lines"]))


def _pot_add(
    common: Common,
    id: Annotated[str, typer.Argument(metavar="POT", help=_("Short id of the pot."))],
    shape: Annotated[str, typer.Option("--shape", help=_("oval, rectangle, round, hexagon or octagon"))],
    size: Annotated[str, typer.Option("--size", help=_('Inside measures: "42x31x7.5 cm", "28x9 cm".'))],
    holes: Annotated[str, typer.Option("--holes", help=_('Drain holes: "2x20 mm".'))] = "",
    material: Annotated[str, typer.Option("--material", help=_("Such as clay, glazed."))] = "",
    colour: Annotated[str, typer.Option("--colour", help=_("Dark pots heat up more."))] = "",
    tree: Annotated[str | None, typer.Option("--tree", help=_("Who stands in it."))] = None,
    by: BY = None,
) -> Shown:
    """Add a pot by its inside measures."""
    from ringwise.desk.pots import NewPot, add_pot

    answer = add_pot(common.workspace(), NewPot(id, shape, size, holes, material, colour, tree), by=by)
    return Shown(answer, lines(answer["line"]))


def _pot_list(common: Common) -> Shown:
    """The pots, those that stand empty first."""
    from ringwise.desk.pots import list_pots

    answer = list_pots(common.workspace())
    return Shown(answer, lines(*answer["lines"]))


def _pot_show(
    common: Common, pot: Annotated[str, typer.Argument(metavar="POT", help=_("Id of the pot."))]
) -> Shown:
    """One pot: measures, volume, holes, who stands in it."""
    from ringwise.desk.pot_sheet import show_pot

    answer = show_pot(common.workspace(), pot)
    return Shown(answer, lines(*answer["lines"]))


def _pot_edit(
    common: Common,
    pot: Annotated[str, typer.Argument(metavar="POT", help=_("Id of the pot."))],
    size: Annotated[
        str | None, typer.Option("--size", help=_('Inside measures: "42x31x7.5 cm", "28x9 cm".'))
    ] = None,
    holes: Annotated[str | None, typer.Option("--holes", help=_('Drain holes: "2x20 mm".'))] = None,
    material: Annotated[str | None, typer.Option("--material", help=_("Such as clay, glazed."))] = None,
    colour: Annotated[str | None, typer.Option("--colour", help=_("Dark pots heat up more."))] = None,
    by: BY = None,
) -> Shown:
    """Correct what is written of a pot; the old wording is kept."""
    from ringwise.desk.pots import PotChange, edit_pot

    answer = edit_pot(common.workspace(), pot, PotChange(size, holes, material, colour), by=by)
    return Shown(answer, lines(answer["line"]))


def _pot_put(
    common: Common,
    pot: Annotated[str, typer.Argument(metavar="POT", help=_("Id of the pot."))],
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_('Who stands in it now; "-" for nobody.'))],
    by: BY = None,
) -> Shown:
    """Say which tree stands in a pot."""
    from ringwise.desk.pots import put_pot

    answer = put_pot(common.workspace(), pot, tree, by=by)
    return Shown(answer, lines(answer["line"]))
