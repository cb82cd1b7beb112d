"""MTG text that was written, taken apart here by the public description of its coding section.

Source: documentation of openalea.mtg, "File syntax": an entity stands in the column of the axis it is on, one
column to the right of its bearer where it branches off; ^ goes on from what stands above in its own column;
< is "followed by" on one axis, + is "bears", / is "is made of".
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from ringwise.structure.exchange.mtg import tree_to_mtg
from ringwise.structure.measured import measured_of
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth
from ringwise.structure.tape_tree import tree_from_tape


def coded(text: str) -> list[tuple[int, str]]:
    """Column and code of each line of the coding section that names a segment."""
    lines = text.split("\nMTG:\n")[1].splitlines()[1:]
    found = []
    for line in lines:
        column, cell = next((at, each) for at, each in enumerate(line.split("\t")) if each)
        if "S" in cell:
            found.append((column, cell))
    return found


def by_hand() -> SegmentTable:
    """A trunk of rows 0, 2 and 5; a branch 1 on row 0 that goes on in 3 and bears 4; a branch 6 on row 2."""
    parent = np.array([-1, 0, 0, 1, 1, 2, 2])
    n = len(parent)
    plain = {name: np.zeros(n) for name in ("order", "born", "leaf_cm2", "buds", "clone", "flags")}
    wood = np.array([90.0, 20.0, 60.0, 15.0, 5.0, 30.0, 10.0])
    return SegmentTable(
        parent=parent,
        length_mm=np.full(n, 10.0),
        direction=np.tile([0.0, 0.0, 1.0], (n, 1)),
        wood_mm2=wood,
        sapwood_mm2=wood,
        **plain,
    )


def test_axes_and_their_branches_by_hand() -> None:
    assert coded(tree_to_mtg(measured_of(by_hand()))) == [
        (0, "^/A0/S0"),
        (1, "+A1/S1"),
        (2, "+A2/S4"),
        (1, "^<S3"),
        (0, "^<S2"),
        (1, "+A3/S6"),
        (0, "^<S5"),
    ]


@pytest.mark.parametrize("seed", [1, 2])
def test_a_whole_tree_hangs_together_as_its_table_says(seed: int) -> None:
    tape = Tape(400.0, (TapeGirth(10.0, 120.0),), tuple(TapeBranch(80.0 + 30.0 * n) for n in range(4)))
    table = tree_from_tape(tape, seed=seed)
    above: dict[int, int] = {}  # the last segment that was named in each column
    parent, goes_on = np.full(table.n, -2), np.zeros(table.n, dtype=bool)
    for column, code in coded(tree_to_mtg(measured_of(table))):
        row = int(re.fullmatch(r".*S(\d+)", code)[1])
        if code.startswith("^<"):
            parent[row], goes_on[row] = above[column], True
        elif code.startswith("+"):
            parent[row] = above[column - 1]
        else:
            assert code.startswith("^/")
            parent[row] = -1
        above[column] = row
    assert parent.tolist() == table.parent.tolist()
    assert np.nonzero(goes_on)[0].tolist() == sorted(table.continued_by[table.continued_by >= 0].tolist())
