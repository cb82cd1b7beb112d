"""Documents name only what is there, and stay on their page."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from house_source import ROOT

FOLDERS = (ROOT.glob("*.md"), (ROOT / "docs").rglob("*.md"), (ROOT / "bench").glob("*.md"))
PAGES = sorted(page for folder in FOLDERS for page in folder)
RECORDS = sorted((ROOT / "docs" / "decisions").glob("0*.md"))
PARTS = ("**Question.**", "**Options", "**Decision.**", "**What would change our mind.**", "**Enforced by.**")
MOST_LINES = 60  # a printed page
_LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
_PATH = re.compile(r"`((?:src|tests|docs|bench|[.]ci)/[\w./-]+)`")


def missing(page: Path, text: str) -> list[str]:
    """Links and paths of a page that lead nowhere."""
    links = [page.parent / target for target in _LINK.findall(text) if "://" not in target]
    paths = [ROOT / target for target in _PATH.findall(text)]
    return [str(path) for path in (*links, *paths) if not path.exists()]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_and_paths_lead_somewhere(page: Path) -> None:
    assert missing(page, page.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.stem)
def test_a_decision_record_is_one_page_with_all_its_parts(record: Path) -> None:
    text = record.read_text(encoding="utf-8")
    assert text.startswith(f"# {record.name[:4]} ")
    assert [part for part in PARTS if part not in text] == []
    assert text.count("\n") <= MOST_LINES
    assert record.name in (record.parent / "README.md").read_text(encoding="utf-8")


def test_a_dead_link_and_a_dead_path_are_caught() -> None:
    page = ROOT / "docs" / "planted.md"
    assert len(missing(page, "[a](nowhere.md) and `tests/nowhere/`")) == 2
    assert missing(page, "[a](nomenclature.md#units) and `tests/house/`, [b](https://example.org)") == []
