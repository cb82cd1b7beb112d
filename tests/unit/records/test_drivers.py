"""Which SQLite may use a write-ahead log, and on which file systems."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.records.store import drivers

# The versions with the mend: release news of SQLite 3.51.3, with its backports 3.50.7 and 3.44.6.
SAFE = [(3, 51, 3), (3, 52, 0), (4, 0, 0), (3, 50, 7), (3, 50, 9), (3, 44, 6)]
UNSAFE = [(3, 40, 1), (3, 44, 5), (3, 45, 0), (3, 50, 6), (3, 51, 2), (3, 7, 0)]

MOUNTS = """\
sysfs /sys sysfs rw 0 0
/dev/vda / ext4 rw 0 0
nas:/trees /srv/my\\040trees nfs4 rw 0 0
/dev/vdb /srv/my\\040trees/local xfs rw 0 0
share /mnt/vm 9p rw 0 0
broken line
"""


@pytest.mark.parametrize("version", SAFE)
def test_mended_versions(version: tuple[int, int, int]) -> None:
    assert drivers.wal_is_safe(version)


@pytest.mark.parametrize("version", UNSAFE)
def test_versions_that_can_lose_pages(version: tuple[int, int, int]) -> None:
    assert not drivers.wal_is_safe(version)


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/var/yard", "ext4"),
        ("/srv/my trees", "nfs4"),
        ("/srv/my trees/yard", "nfs4"),
        ("/srv/my trees/local/yard", "xfs"),
        ("/srv/my treesbeside", "ext4"),
        ("/mnt/vm/yard", "9p"),
    ],
)
def test_file_system_is_that_of_the_nearest_mount(folder: str, kind: str) -> None:
    assert drivers.file_system_of(Path(folder), MOUNTS) == kind


@pytest.mark.parametrize("kind", ["nfs", "nfs4", "cifs", "smb3", "fuse", "fuse.sshfs", "9p", "virtiofs", ""])
def test_shared_file_systems(kind: str) -> None:
    assert drivers.is_shared(kind)


@pytest.mark.parametrize("kind", ["ext4", "xfs", "btrfs", "tmpfs", "overlay", "zfs"])
def test_local_file_systems(kind: str) -> None:
    assert not drivers.is_shared(kind)


def test_a_safe_engine_on_a_shared_file_system_keeps_the_rollback_journal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    safe = drivers.Driver(drivers.choose_driver("standard").module, (3, 51, 3))
    mounts = tmp_path / "mounts"
    monkeypatch.setattr(drivers, "_MOUNTS", mounts)
    mounts.write_text("/dev/vda / ext4 rw 0 0\n")
    assert drivers.journal_for(safe, tmp_path) == "wal"
    mounts.write_text("/dev/vda / ext4 rw 0 0\n" + f"nas:/x {tmp_path} nfs4 rw 0 0\n")
    assert drivers.journal_for(safe, tmp_path) == "delete"
    mounts.unlink()
    assert drivers.journal_for(safe, tmp_path) == "delete"


def test_the_variable_forces_the_standard_module(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(drivers.VARIABLE, "standard")
    assert drivers.choose_driver().module.__name__ == "sqlite3"
    monkeypatch.setenv(drivers.VARIABLE, "oracle")
    with pytest.raises(UnknownNameError, match="standard"):
        drivers.choose_driver()
