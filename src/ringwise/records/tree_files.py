"""Measured trees as files: kept under the hash of their content beside the collection, as photos are.

What a file says of a tree is the business of the rooms above; here it is bytes. The file is safe on disk
before the entry that names it is stored, so a kill can leave a file without its entry, never the reverse.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from ringwise.kit.errors import DamagedError, InputError, NotFoundError, WorkspaceError, out_of_range
from ringwise.kit.words import _
from ringwise.records.durable import sync_folder, write_whole
from ringwise.records.thumbs import checked_sha256

FOLDER = "shapes"
SUFFIX = "json"
MOST_BYTES = 60_000_000  # a tree of 100,000 segments takes some 15 MB


@dataclass(frozen=True)
class TreeFile:
    """A kept file: the hash of its content and its place below the collection."""

    sha256: str
    file: str


def keep_tree_file(content: bytes, collection: Path) -> TreeFile:
    """Put a measured tree into a collection; the file is safe on disk when this returns.

    Parameters
    ----------
    content : bytes
        The tree as text of its own layout; the same content is kept once.
    collection : Path
        The folder of the collection.

    Returns
    -------
    TreeFile
        Its hash and where it lies.

    Raises
    ------
    RangeError
        If it is larger than 60 MB or empty.
    WorkspaceError
        If it cannot be written; nothing is kept then.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> kept = keep_tree_file(b"{}", folder)
    >>> read_tree_file(folder, kept.sha256)
    b'{}'
    """
    if not 0 < len(content) <= MOST_BYTES:
        raise out_of_range(
            _("size of the measured tree"),
            _("{n} bytes").format(n=len(content)),
            _("up to {n} MB").format(n=MOST_BYTES // 1_000_000),
        )
    digest = hashlib.sha256(content).hexdigest()
    target = tree_file_path(collection, digest)
    kept = TreeFile(digest, target.relative_to(collection).as_posix())
    try:
        if not _is_whole(target, digest):
            incoming = incoming_shapes(collection)
            for folder in (incoming, target.parent):
                folder.mkdir(parents=True, exist_ok=True)
            write_whole(incoming, target, content)
            for folder in (target.parent, target.parent.parent):
                sync_folder(folder)
    except OSError as error:
        raise WorkspaceError(
            _("the measured tree could not be kept ({why}); nothing was stored.").format(
                why=error.strerror or error
            )
        ) from error
    return kept


def read_tree_file(collection: Path, sha256: str) -> bytes:
    """The content of a kept file, checked against its hash.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Its hash, 64 hexadecimal digits.

    Returns
    -------
    bytes
        Exactly what was kept.

    Raises
    ------
    NotFoundError
        If it is not there.
    DamagedError
        If it is not what was kept.
    InputError
        If `sha256` is no hash.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> kept = keep_tree_file(b"{}", folder)
    >>> changed = (folder / kept.file).write_bytes(b"{ }")
    >>> try:
    ...     read_tree_file(folder, kept.sha256)
    ... except DamagedError:
    ...     print("refused")
    refused
    """
    path = tree_file_path(collection, sha256)
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        raise _missing(path.relative_to(collection).as_posix()) from None
    except OSError as error:
        raise WorkspaceError(
            _("{path} cannot be read ({why}).").format(path=path, why=error.strerror or error)
        ) from error
    if hashlib.sha256(content).hexdigest() != sha256:
        raise DamagedError(
            _("the measured tree {path} is not as it was kept; bring it back from a copy.").format(path=path)
        )
    return content


def tree_file_path(collection: Path, sha256: str) -> Path:
    """Where a measured tree lies, whether or not it is there.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    sha256 : str
        Its hash.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        If `sha256` is no hash.

    Examples
    --------
    >>> tree_file_path(Path("yard"), "0a" * 32).parts[:3]
    ('yard', 'shapes', '0a')
    """
    return collection / FOLDER / checked_sha256(sha256)[:2] / f"{sha256}.{SUFFIX}"


def incoming_shapes(collection: Path) -> Path:
    """Where files of trees lie until they are whole.

    Parameters
    ----------
    collection : Path
        The folder of the collection.

    Returns
    -------
    Path
        The folder, whether or not it is there.

    Examples
    --------
    >>> incoming_shapes(Path("yard")).parts
    ('yard', 'shapes', 'incoming')
    """
    return collection / FOLDER / "incoming"


def check_tree_file(collection: Path, file: str, sha256: str) -> None:
    """Nothing when an entry's file is there and is what it was, else an error.

    Parameters
    ----------
    collection : Path
        The folder of the collection.
    file, sha256 : str
        As the entry has them.

    Raises
    ------
    NotFoundError
        If it is not there.
    DamagedError
        If it is not what was kept.
    InputError
        If the two do not belong together.

    Examples
    --------
    >>> import tempfile
    >>> folder = Path(tempfile.mkdtemp())
    >>> kept = keep_tree_file(b"{}", folder)
    >>> check_tree_file(folder, kept.file, kept.sha256)
    """
    if PurePosixPath(file) != PurePosixPath(tree_file_path(Path(), sha256).as_posix()):
        raise InputError(_("shape file {file} is not the one of its hash.").format(file=file))
    read_tree_file(collection, sha256)


def _missing(file: str) -> NotFoundError:
    return NotFoundError(_("there is no measured tree {file} in the collection.").format(file=file))


def _is_whole(path: Path, digest: str) -> bool:
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == digest
