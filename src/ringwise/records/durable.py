"""Files that are safe on disk, and under their own name only when they are whole."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path


def sync_file(path: Path) -> None:
    """Wait until a file's content is on disk.

    Parameters
    ----------
    path : Path
        The file.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "a"
    >>> written = path.write_text("kept")
    >>> sync_file(path)
    """
    with path.open("rb") as stream:
        os.fsync(stream.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until a folder's names are on disk.

    Parameters
    ----------
    folder : Path
        The folder.

    Examples
    --------
    >>> import tempfile
    >>> sync_folder(Path(tempfile.mkdtemp()))
    """
    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some file systems cannot sync a folder; their names are as safe as they get
            os.fsync(handle)
    finally:
        os.close(handle)


def give_name(part: Path, path: Path) -> bool:
    """Give a finished file its own name, unless another program was first.

    Parameters
    ----------
    part : Path
        The finished file under its passing name, in the same folder.
    path : Path
        Its own name.

    Returns
    -------
    bool
        False where the name was taken, and nothing was done.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> written = (folder / "a.part").write_text("whole")
    >>> give_name(folder / "a.part", folder / "a"), (folder / "a").read_text()
    (True, 'whole')
    """
    try:
        os.link(part, path)
    except FileExistsError:
        return False
    except OSError:  # memory cards and network shares know no second name for a file
        if path.exists():
            return False
        os.rename(part, path)
    sync_folder(path.parent)
    return True
