"""Build the demo yard: invented trees, records and weather, stored like anybody's own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ringwise.desk import clock
from ringwise.desk.deeds import DEMO_COMMAND
from ringwise.desk.place_readings import ROLE
from ringwise.desk.settings import FILE_NAME, load_settings, write_settings
from ringwise.desk.weather import rows_of
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import ConflictError
from ringwise.kit.words import _
from ringwise.records.model import Action

Say = Callable[[str], None]


def _silent(text: str) -> None:
    del text


def _refuse_foreign(folder: Path) -> None:
    """A folder that holds a collection of somebody's own, or anything else, is left alone."""
    if not folder.exists() or not any(folder.iterdir()):
        return
    if (folder / FILE_NAME).is_file() and load_settings(folder, {}).invented:
        return
    raise ConflictError(
        _(
            "{folder} holds something that is not the demo yard; choose another folder with --collection"
        ).format(folder=folder)
    )


def build_demo(
    folder: Path, *, on: str | None = None, seed: int | None = None, say: Say | None = None
) -> Workspace:
    """The demo yard in a folder; what is there already is kept, what a kill cut off is made good.

    Parameters
    ----------
    folder : Path
        New, empty, or a demo yard.
    on : str or None
        Another day as today.
    seed : int or None
        Another seed.
    say : callable, optional
        Told what happens, one line each.

    Returns
    -------
    Workspace
        Opened on the yard.

    Raises
    ------
    ConflictError
        If the folder holds anything else; it is left as it is.
    """
    tell = say or _silent
    _refuse_foreign(folder)
    from ringwise.desk.demo.collection import demo_values

    values = demo_values()
    if not (folder / FILE_NAME).is_file():
        write_settings(folder, {**values.settings, "invented": True})
    workspace = open_workspace(folder, on=on, seed=seed)
    action = Action(workspace.settings.owner, DEMO_COMMAND, clock.moment(values.today))
    if not workspace.store.trees():
        tell(_("storing the demo yard's trees, pots and records"))
        workspace.store.save(action, values.values)
    if not workspace.store.weather_stations():
        tell(_("storing its invented weather"))
        from ringwise.desk.demo.weather import demo_weather

        workspace.store.weather_put(action, rows_of(demo_weather(values.today)))
    if not workspace.store.weather_stations(role=ROLE):
        tell(_("storing invented readings of two of its places"))
        from ringwise.desk.demo.readings import demo_readings

        workspace.store.weather_put_all(action, demo_readings())
    workspace.store.close()
    workspace = open_workspace(folder, on=on, seed=seed)
    from ringwise.desk.demo.turn import keep_demo_turn

    if keep_demo_turn(workspace):
        tell(_("storing a tree that was measured from a turn of rendered pictures"))
        workspace.store.close()
        workspace = open_workspace(folder, on=on, seed=seed)
    return workspace
