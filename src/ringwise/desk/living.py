"""A desk that stays open: one store, values shared between wishes until somebody changes something."""

from __future__ import annotations

import threading
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk import clock
from ringwise.desk.almanac_shelf import AlmanacShelf
from ringwise.desk.lanes import IDLE_S
from ringwise.desk.living_values import YardValues, values_after
from ringwise.desk.living_workspace import LivingWorkspace, SharedValues
from ringwise.desk.settings import FILE_NAME, Settings, load_settings
from ringwise.desk.worker import Worker
from ringwise.desk.workspace import open_workspace
from ringwise.kit.reading import Reading

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView
    from ringwise.records.store import Store

FileMark = tuple[int, int, int, int]  # device, node, size and time of a file: another mark is another content
NO_FILE: FileMark = (0, 0, 0, 0)


def file_mark(file: Path) -> FileMark:
    """What tells whether a file is still the one that was read.

    Parameters
    ----------
    file : Path
        It may be missing.

    Returns
    -------
    tuple of int
        Zeros for a missing file.

    Examples
    --------
    >>> file_mark(Path("/nowhere/at/all"))
    (0, 0, 0, 0)
    """
    with suppress(OSError):
        found = file.stat()
        return (found.st_dev, found.st_ino, found.st_size, found.st_mtime_ns)
    return NO_FILE


class LivingYard:
    """A collection that stays open. Every wish asks it for a workspace; threads may ask at the same time.

    Parameters
    ----------
    folder : Path or None
        Of the collection; None for the usual one.
    on : str, optional
        The day that counts as today, YYYY-MM-DD; else the collection's own, else each day the machine's.
    seed : int, optional
        Seed of random draws; else the collection's own.
    create : bool
        Whether a missing collection is made.
    idle_s : float
        How long a process of the worker is kept without work.

    Examples
    --------
    >>> import tempfile
    >>> with LivingYard(Path(tempfile.mkdtemp()) / "yard", on="2027-03-07") as yard:
    ...     yard.workspace().trees, yard.stamp()
    ((), 0)
    """

    def __init__(
        self,
        folder: Path | None,
        *,
        on: str | None = None,
        seed: int | None = None,
        create: bool = True,
        idle_s: float = IDLE_S,
    ) -> None:
        first = open_workspace(folder, on=on, seed=seed, create=create)
        self.folder = first.folder
        self._asked_today = None if on is None else first.today
        self._asked_seed = seed
        self._store = first.store
        self._store_mark = self._mark_of_store()
        self._settings = first.settings
        self._settings_mark: FileMark | None = None  # read again at the first wish: it may change meanwhile
        self._shared = SharedValues(YardValues(), first.today, {})
        self._lock = threading.RLock()
        self.worker = Worker(self.folder, self.workspace, on=on, seed=seed, idle_s=idle_s)
        self._shelf = AlmanacShelf(self.worker.almanac, self.workspace)

    def __enter__(self) -> LivingYard:
        return self

    def __exit__(self, *_error: object) -> None:
        self.close()

    def close(self) -> None:
        """End the worker's processes and let go of the file."""
        self.worker.close()
        self._store.close()

    @property
    def store(self) -> Store:
        """The open store; every thread may write through it."""
        return self._store

    def stamp(self) -> int:
        """The number of the latest step now."""
        return self._store.latest_step()

    def file_name(self) -> str:
        """What tells this file from any other; another collection, or a backup, may be at the same step."""
        device, node, _size, _time = self._store_mark
        return f"{self._store.path} {device} {node}"

    def workspace(self) -> LivingWorkspace:
        """The collection as it is now, for one wish.

        Raises
        ------
        FileFormatError
            If the settings file was changed to what does not read.
        WorkspaceError
            If the file is damaged or locked.
        """
        with self._lock:
            self._follow_file()
            settings = self._settings_now()
            today = self._asked_today or settings.today or clock.system_date()
            self._follow_steps(today)
            seed = settings.seed if self._asked_seed is None else self._asked_seed
            return LivingWorkspace(self.folder, settings, self._store, today, seed, self._shared, self)

    def almanac(self, reading: Reading, *, wait: bool = False) -> AlmanacView:
        """The newest almanac for a reading and whether it is that of now; a stale one is made anew.

        Parameters
        ----------
        reading : Reading
            Language and units.
        wait : bool
            Whether to wait until it is that of now.
        """
        return self._shelf.view(self.workspace(), reading, wait=wait)

    def almanac_for(self, workspace: LivingWorkspace, reading: Reading, *, wait: bool = False) -> AlmanacView:
        """Like `almanac`, for a wish that has its workspace already."""
        return self._shelf.view(workspace, reading, wait=wait)

    def _settings_now(self) -> Settings:
        mark = file_mark(self.folder / FILE_NAME)
        if mark != self._settings_mark:
            self._settings = load_settings(self.folder)
            self._settings_mark = mark
        return self._settings

    def _follow_steps(self, today: date) -> None:
        shared = self._shared
        step = self._store.latest_step()
        if step < shared.values.step:  # an older copy of the file was laid over it
            shared = SharedValues(YardValues(), today, {})
        if step != shared.values.step:
            values, touched = values_after(shared.values, self._store.news_since(shared.values.step))
            known = shared.still_known(touched) if today == shared.today else {}
            shared = shared.followed_by(SharedValues(values, today, known))
        elif today != shared.today:
            shared = SharedValues(shared.values, today, {})
        self._shared = shared

    def _mark_of_store(self) -> FileMark:
        device, node, _size, _time = file_mark(self._store.path)
        return (device, node, 0, 0)

    def _follow_file(self) -> None:
        """Where the file was replaced by another (a backup brought back), that one is opened."""
        mark = self._mark_of_store()
        if mark in (self._store_mark, NO_FILE):
            return
        from ringwise.records.store import open_store

        old, self._store = self._store, open_store(self.folder, create=False)
        old.close()
        self._store_mark = mark
        self._shared = SharedValues(YardValues(), self._shared.today, {})
