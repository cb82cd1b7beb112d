"""Files that are safe on disk, and under their own name only when they are whole."""

from __future__ import annotations

import fcntl
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


def sync_file(path: Path) -> None:
    """Wait until a file's content is on disk.

    Parameters
    ----------
    path : Path
        The file.

    Examples
    --------
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
    >>> sync_folder(Path(tempfile.mkdtemp()))
    """
    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some file systems cannot sync a folder; their names are as safe as they get
            os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def folder_held(folder: Path) -> Iterator[None]:
    """Keep others who hold it too from changing a folder at the same time; they wait.

    Parameters
    ----------
    folder : Path
        Made if it is not there.

    Returns
    -------
    context manager
        Inside it the folder is held.

    Examples
    --------
    >>> with folder_held(Path(tempfile.mkdtemp())):
    ...     pass
    """
    folder.mkdir(parents=True, exist_ok=True)
    held = os.open(folder, os.O_RDONLY)  # the folder itself is locked: no file is left behind
    try:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
    finally:
        os.close(held)


def write_whole(incoming: Path, path: Path, content: bytes) -> None:
    """Write a file that is on disk before it has its name; one that was there is replaced in one step.

    Its name is on disk only after `sync_folder`, so that several files of one folder need one wait.

    Parameters
    ----------
    incoming : Path
        The folder where it lies until it is whole, on the same disk.
    path : Path
        Its own name.
    content : bytes
        All of it.

    Examples
    --------
    >>> folder = Path(tempfile.mkdtemp())
    >>> write_whole(folder, folder / "a", b"whole")
    >>> [each.name for each in folder.iterdir()], (folder / "a").read_bytes()
    (['a'], b'whole')
    """
    handle, name = tempfile.mkstemp(dir=incoming)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        part.chmod(0o644)
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


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
