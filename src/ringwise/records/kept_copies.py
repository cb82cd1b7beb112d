"""Copies of a collection's files in a place for backups: under the hash of their content, each content once.

What the place has already is not copied again, so that a backup every day does not grow. Nothing there is
ever written over: a copy that is not what its name says is set aside under another name and told.
"""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from ringwise.kit.errors import DamagedError, InputError, NotFoundError
from ringwise.kit.words import _
from ringwise.records import thumbs, tree_files
from ringwise.records.durable import sync_file, sync_folder

COPIES = "files"  # below the place
_INCOMING = "incoming"
_PIECE_BYTES = 1 << 20
_TOGETHER = 256  # files written before the first is waited for: the disk then takes them in one go
_SUFFIX = re.compile(r"\.[a-z0-9]{1,8}")
_NAMED = re.compile(r"[0-9a-f]{64}")  # a file that is named by the hash of its content


@dataclass(frozen=True)
class Copied:
    """A file of a collection and the content it had: its path below the folder, hash and size."""

    path: str
    sha256: str
    size_bytes: int

    @property
    def copy(self) -> str:
        """Where the content lies below the place."""
        suffix = PurePosixPath(self.path).suffix.lower()
        ending = suffix if _SUFFIX.fullmatch(suffix) else ""
        return f"{COPIES}/{self.sha256[:2]}/{self.sha256}{ending}"


@dataclass
class Copying:
    """What came of copying: every file, those whose content was new, and what was found amiss."""

    files: list[Copied] = field(default_factory=list)
    new: list[Copied] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


def collection_files(folder: Path, leave_out: Sequence[str]) -> list[str]:
    """The files of a collection that cannot be made again, by their paths below its folder.

    Parameters
    ----------
    folder : Path
        The folder of the collection.
    leave_out : sequence of str
        Names directly below the folder that are left out, with `*` for anything.

    Returns
    -------
    list of str
        Sorted; small pictures of photos and files that are still coming in are left out, links are not
        followed.

    Examples
    --------
    >>> folder = Path(tempfile.mkdtemp())
    >>> for name in ("lenses.json", "ringwise.log"):
    ...     written = (folder / name).write_text("{}")
    >>> collection_files(folder, ["ringwise.log*"])
    ['lenses.json']
    """
    passing = {
        thumbs.incoming_folder(folder),
        tree_files.incoming_shapes(folder),
        thumbs.thumbs_folder(folder),
    }
    found = []
    for inside, folders, names in os.walk(folder):
        here = Path(inside)
        folders[:] = [name for name in folders if here / name not in passing]
        if here == folder:
            folders[:] = [name for name in folders if not _matches(name, leave_out)]
            names = [name for name in names if not _matches(name, leave_out)]
        found += [here / name for name in names if not (here / name).is_symlink()]
    return sorted(path.relative_to(folder).as_posix() for path in found if path.is_file())


def _matches(name: str, patterns: Iterable[str]) -> bool:
    return any(PurePosixPath(name).match(pattern) for pattern in patterns)


def copy_files(folder: Path, paths: Sequence[str], place: Path) -> Copying:
    """Bring files into a place; all that is new there is safe on disk when this returns.

    Parameters
    ----------
    folder : Path
        Where they lie.
    paths : sequence of str
        Below it. One that went in the meantime is left out.
    place : Path
        Where the copies go.

    Returns
    -------
    Copying
        A file that is named by its hash and is not that content any more is told among the faults; where
        the place has the content as it was, that one stands in the backup.

    Raises
    ------
    OSError
        If the place cannot be written or a file not read; what was copied by then does no harm.

    Examples
    --------
    >>> folder, place = Path(tempfile.mkdtemp()), Path(tempfile.mkdtemp())
    >>> written = (folder / "lenses.json").write_text("{}")
    >>> [len(copy_files(folder, ["lenses.json"], place).new) for turn in range(2)]
    [1, 0]
    """
    done = Copying()
    incoming_copies(place).mkdir(parents=True, exist_ok=True)
    touched: set[Path] = set()
    for at in range(0, len(paths), _TOGETHER):
        some = paths[at : at + _TOGETHER]
        parts = dict(_written(folder, some, place, done))
        for part in parts:
            sync_file(part)
        for part, target in parts.items():
            target.parent.mkdir(exist_ok=True)
            os.replace(part, target)
            touched.add(target.parent)
    for each in (*sorted(touched), place / COPIES, place):
        sync_folder(each)
    return done


def _written(folder: Path, paths: Iterable[str], place: Path, done: Copying) -> Iterator[tuple[Path, Path]]:
    """Write what the place has not under passing names; gives each with its own name."""
    waiting: set[str] = set()
    for path in paths:
        try:
            file = _of_content(folder, path, place, done)
            target = place / file.copy
            if not (file.copy in waiting or _is_there(target, file.size_bytes, done)):
                part, file = _copied(folder / path, path, place)
                yield part, place / file.copy
                waiting.add(file.copy)
                done.new.append(file)
        except FileNotFoundError:
            continue  # what is only passing may go while it is looked at
        done.files.append(file)


def _of_content(folder: Path, path: str, place: Path, done: Copying) -> Copied:
    """A file by its content; one that has changed since it was named stands by the content that it had."""
    file = Copied(path, *content_hash(folder / path))
    named = PurePosixPath(path).stem
    if not _NAMED.fullmatch(named) or named == file.sha256:
        return file
    kept = Copied(path, named, 0)
    if (place / kept.copy).is_file():
        digest, size_bytes = content_hash(place / kept.copy)
        if digest == named:
            done.faults.append(
                _("{path} is not as it was kept; the backup holds it as it was").format(path=path)
            )
            return Copied(path, named, size_bytes)
    done.faults.append(_("{path} is not as it was kept; the backup holds it as it is now").format(path=path))
    return file


def _is_there(target: Path, size_bytes: int, done: Copying) -> bool:
    """Whether the place has a content; what lies there under its name and cannot be it is set aside."""
    try:
        found_bytes = target.stat().st_size
    except FileNotFoundError:
        return False
    if found_bytes == size_bytes:
        return True
    aside = target.with_name(f"{target.name}.damaged-{os.urandom(4).hex()}")
    os.rename(target, aside)
    done.faults.append(
        _("the copy {path} was damaged; it was set aside as {aside} and made anew").format(
            path=target, aside=aside.name
        )
    )
    return False


def _copied(source: Path, path: str, place: Path) -> tuple[Path, Copied]:
    """Copy under a passing name, hashing what is written."""
    digest, size_bytes = hashlib.sha256(), 0
    with source.open("rb") as stream:
        handle, name = tempfile.mkstemp(dir=incoming_copies(place))
        try:
            with os.fdopen(handle, "wb") as target:
                while piece := stream.read(_PIECE_BYTES):
                    digest.update(piece)
                    size_bytes += target.write(piece)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    part = Path(name)
    part.chmod(0o644)
    return part, Copied(path, digest.hexdigest(), size_bytes)


def incoming_copies(place: Path) -> Path:
    """Where copies lie until they are whole.

    Parameters
    ----------
    place : Path
        Where the copies lie.

    Returns
    -------
    Path
        The folder, whether or not it is there.

    Examples
    --------
    >>> incoming_copies(Path("kept")).parts
    ('kept', 'files', 'incoming')
    """
    return place / COPIES / _INCOMING


def clear_incoming(place: Path) -> None:
    """Take away what a backup that was broken off left half-written; only while no other one runs.

    Parameters
    ----------
    place : Path
        Where the copies lie.

    Examples
    --------
    >>> clear_incoming(Path(tempfile.mkdtemp()))
    """
    for part in incoming_copies(place).glob("*"):
        part.unlink(missing_ok=True)


def content_hash(path: Path) -> tuple[str, int]:
    """The hash and the size of a file's content.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    (str, int)
        SHA-256 in hexadecimal; bytes.

    Examples
    --------
    >>> path = Path(tempfile.mkdtemp()) / "a"
    >>> written = path.write_bytes(b"kept")
    >>> content_hash(path)[1]
    4
    """
    digest, size_bytes = hashlib.sha256(), 0
    with path.open("rb") as stream:
        while piece := stream.read(_PIECE_BYTES):
            digest.update(piece)
            size_bytes += len(piece)
    return digest.hexdigest(), size_bytes


def check_copy(place: Path, file: Copied) -> None:
    """Nothing when a copy is there and is the content that it is named by, else an error.

    Parameters
    ----------
    place : Path
        Where the copies lie.
    file : Copied
        Of a backup.

    Raises
    ------
    NotFoundError
        If it is not there.
    DamagedError
        If it is not what was kept.

    Examples
    --------
    >>> folder, place = Path(tempfile.mkdtemp()), Path(tempfile.mkdtemp())
    >>> written = (folder / "lenses.json").write_text("{}")
    >>> kept = copy_files(folder, ["lenses.json"], place).files
    >>> check_copy(place, kept[0])
    """
    copy = place / file.copy
    if not copy.is_file():
        raise NotFoundError(_("the copy {copy} of {path} is not there.").format(copy=copy, path=file.path))
    if content_hash(copy) != (file.sha256, file.size_bytes):
        raise DamagedError(_("the copy {copy} of {path} is damaged.").format(copy=copy, path=file.path))


def bring_back(place: Path, files: Sequence[Copied], folder: Path) -> None:
    """Copy files of a backup to where they lay in a collection; all are checked and safe on disk afterwards.

    Parameters
    ----------
    place : Path
        Where the copies lie.
    files : sequence of Copied
        Of a backup.
    folder : Path
        Where they go; nothing lies there yet.

    Raises
    ------
    NotFoundError, DamagedError
        If a copy is not there or is not what was kept.
    InputError
        If a path leads out of the folder.
    OSError
        If the folder cannot be written.

    Examples
    --------
    >>> folder, place = Path(tempfile.mkdtemp()), Path(tempfile.mkdtemp())
    >>> written = (folder / "lenses.json").write_text("{}")
    >>> kept = copy_files(folder, ["lenses.json"], place).files
    >>> bring_back(place, kept, Path(tempfile.mkdtemp()))
    """
    made: set[Path] = {folder}
    for at in range(0, len(files), _TOGETHER):
        targets = []
        for file in files[at : at + _TOGETHER]:
            own = PurePosixPath(file.path)
            if own.is_absolute() or ".." in own.parts:
                raise InputError(_("the backup names a file outside the collection: {path}").format(path=own))
            target = folder / own
            target.parent.mkdir(parents=True, exist_ok=True)
            made |= {folder / parent for parent in own.parents}
            check_copy(place, file)
            target.write_bytes((place / file.copy).read_bytes())
            if content_hash(target) != (file.sha256, file.size_bytes):
                raise DamagedError(_("{path} did not come back as it was kept.").format(path=file.path))
            targets.append(target)
        for target in targets:
            sync_file(target)
    for each in sorted(made):
        sync_folder(each)
