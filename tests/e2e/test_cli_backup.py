"""`ringwise backup`, `restore` and `check` as a grower types them, with the codes they leave with."""

from __future__ import annotations

from pathlib import Path

from command_line import Cli


def test_a_yard_is_kept_brought_back_and_checked(cli: Cli, tmp_path: Path) -> None:
    yard, again = f"--collection={tmp_path / 'yard'}", f"--collection={tmp_path / 'again'}"
    place = str(tmp_path / "kept")
    assert cli("backup", place, yard).code == 2  # there is nothing to be kept yet
    assert cli("tree", "add", "Old Elm", "--species=Ulmus procera", yard).code == 0
    assert cli("measure", "tape", "T01", "--height=44cm", "--girth=15cm@2cm", yard).code == 0
    kept = cli("backup", place, yard)
    assert kept.code == 0
    assert "database, photos, measured trees, lenses" in kept.out.replace("\n", " ")
    assert cli("check", yard).code == cli("check", place, yard).code == 0
    assert cli("restore", place, again).code == 0
    assert cli("tree", "list", "--json", again).data == cli("tree", "list", "--json", yard).data
    assert cli("restore", place, again).code == 2  # never over what is there
    database = next((tmp_path / "kept" / "files").glob("??/*.sqlite"))
    database.write_bytes(database.read_bytes()[:-1] + b"?")
    looked = cli("check", place, "--json", yard)
    assert looked.code == 1
    assert database.name in looked.data["amiss"][0]
