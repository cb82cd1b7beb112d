"""What goes wrong in a database file, as one clear line with the way out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from ringwise.kit.errors import ConflictError, DamagedError, LockedError, RingwiseError, WorkspaceError
from ringwise.kit.words import _

BACKUPS = "backups"

_DAMAGE = ("malformed", "not a database", "disk i/o error", "corrupt", "no such table", "no such column")


def damaged(path: Path, what: str) -> DamagedError:
    """The error for a file that cannot be read as a collection.

    Parameters
    ----------
    path : Path
        The file.
    what : str
        What is wrong with it.

    Returns
    -------
    DamagedError
        It names the folder of backups as the way out.

    Examples
    --------
    >>> str(damaged(Path("yard/collection.sqlite"), "is empty"))
    'yard/collection.sqlite is empty; it was left as it is. Backups, if there are any, lie in yard/backups.'
    """
    return DamagedError(
        _("{path} {what}; it was left as it is. Backups, if there are any, lie in {backups}.").format(
            path=path, what=what, backups=path.parent / BACKUPS
        )
    )


def translated(error: BaseException, path: Path) -> RingwiseError | None:
    """The clear error for one raised by the database engine.

    Parameters
    ----------
    error : BaseException
        What the engine raised.
    path : Path
        The file.

    Returns
    -------
    RingwiseError or None
        None where it is no fault of the file or its surroundings.

    Examples
    --------
    >>> type(translated(OSError("database is locked"), Path("yard"))).__name__
    'LockedError'
    """
    text = str(getattr(error, "orig", None) or error)
    folded = text.casefold()
    if "locked" in folded or "busy" in folded:
        return LockedError(
            _("{path} is being written by another program; wait for it or close it, then try again.").format(
                path=path
            )
        )
    if "full" in folded:
        return WorkspaceError(
            _("{path} could not grow because the disk is full; nothing was stored. Free some space.").format(
                path=path
            )
        )
    if "readonly" in folded or "read-only" in folded or "unable to open" in folded:
        return WorkspaceError(_("{path} cannot be written; check who may write there.").format(path=path))
    if "never changed" in folded:
        return ConflictError(_("a stored revision cannot be changed; save a correction instead."))
    if any(sign in folded for sign in _DAMAGE):
        if "not a database" in folded:
            return damaged(path, _("is no collection of Ringwise"))
        return damaged(path, _("is damaged ({reason})").format(reason=text))
    return None


@contextmanager
def clear_faults(path: Path) -> Iterator[None]:
    """Turn what the database engine raises inside the block into the clear errors of Ringwise.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    None
        Once.

    Raises
    ------
    LockedError, DamagedError, WorkspaceError, ConflictError
        In place of the engine's own.

    Examples
    --------
    >>> from sqlalchemy.exc import OperationalError
    >>> try:
    ...     with clear_faults(Path("yard")):
    ...         raise OperationalError("BEGIN", {}, Exception("database is locked"))
    ... except LockedError as error:
    ...     print(error)
    yard is being written by another program; wait for it or close it, then try again.
    """
    try:
        yield
    except DBAPIError as error:
        clear = translated(error, path)
        if clear is None:
            raise
        raise clear from error
