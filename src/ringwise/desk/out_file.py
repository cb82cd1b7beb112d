"""A file that the user named, to be written: whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

from ringwise.kit.errors import InputError, NotFoundError, WorkspaceError
from ringwise.kit.words import _


def check_out(file: Path) -> None:
    """Refuse a name that cannot be written, before work is spent on what it is to hold.

    Parameters
    ----------
    file : Path
        Its name.

    Raises
    ------
    InputError
        If it is a folder.
    NotFoundError
        If its folder is not there.

    Examples
    --------
    >>> check_out(Path("tree.svg"))
    """
    if file.is_dir():
        raise InputError(_("{file} is a folder; name a file in it").format(file=file))
    if not file.parent.is_dir():
        raise NotFoundError(_("there is no folder {folder}; make it first").format(folder=file.parent))


def write_out(file: Path, content: bytes) -> None:
    """Write a file of the user's; a reader sees the old one or the new one.

    Parameters
    ----------
    file : Path
        Its name; one that is there is replaced.
    content : bytes
        All of it.

    Raises
    ------
    InputError
        If it is a folder.
    NotFoundError
        If its folder is not there.
    WorkspaceError
        If it cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> write_out(folder / "tree.svg", b"<svg/>")
    >>> [(each.name, each.read_bytes()) for each in folder.iterdir()]
    [('tree.svg', b'<svg/>')]
    """
    check_out(file)
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        part.write_bytes(content)
        part.replace(file)
    except OSError as error:
        raise WorkspaceError(
            _("{path} cannot be written ({why}).").format(path=file, why=error.strerror or error)
        ) from error
    finally:
        part.unlink(missing_ok=True)
