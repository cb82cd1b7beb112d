"""The page of checks with a pencil: each command must say what the arithmetic by hand says."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path

import pytest
from command_line import Cli

PAGE = Path(__file__).parents[2] / "docs" / "science" / "by_hand.md"
CHECKS = 9  # oval tray, dome, top-dressing, mesh, wire, mass, mix, tie, dose


@dataclass(frozen=True)
class Check:
    """A row of the page's table."""

    name: str
    by_hand: float
    within_frac: float
    key: str
    words: tuple[str, ...]


def checks() -> list[Check]:
    """The rows whose last cell is a command."""
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in PAGE.read_text(encoding="utf-8").splitlines()
        if line.startswith("|") and "`ringwise " in line
    ]
    return [
        Check(
            name,
            float(value),
            float(within.rstrip(" %")) / 100,
            key,
            tuple(shlex.split(command.strip("`")))[1:],
        )
        for name, value, within, key, command in rows
    ]


def test_the_page_has_its_nine_checks() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert all(f"\n{n}. **" in text for n in range(1, CHECKS + 1))
    assert len(checks()) >= CHECKS


@pytest.mark.parametrize("check", checks(), ids=lambda check: check.name)
def test_the_command_says_what_the_pencil_says(cli: Cli, check: Check) -> None:
    ran = cli(*check.words, "--json")
    assert ran.code == 0, ran.err
    told = ran.data
    for step in check.key.split("."):
        told = told[int(step)] if step.isdecimal() else told[step]
    for value in told if isinstance(told, list) else [told]:
        assert value == pytest.approx(check.by_hand, rel=check.within_frac)
