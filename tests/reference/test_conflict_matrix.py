"""The conflict table of the trade (common practice, no print): cells typed by hand from the table.

Source: practice. Rows are the earlier work, columns the later; bold cells of the table are hard stops.
"""

from __future__ import annotations

import hashlib

import pytest

from ringwise.kit.tables import load_rows
from ringwise.operations.conflicts import rule

ROWS = (
    "RP_HEAVY", "RP_LIGHT", "BARE", "STRUCT", "CHOP", "CUT2", "PARTDEF", "FULLDEF", "WIRE", "LAYER",
    "SEPARATE", "APPROACH_SET", "APPROACH_SEVERED", "DEADWOOD_LARGE", "LIFT",
)  # fmt: skip
COLUMNS = (
    "RP_HEAVY", "RP_LIGHT", "BARE", "STRUCT", "CHOP", "CUT2", "PARTDEF", "FULLDEF", "WIRE", "LAYER",
    "SEPARATE", "APPROACH", "SCION", "DEADWOOD", "FEED",
)  # fmt: skip
# earlier, later, the cell as printed, hard
CELLS = [
    ("RP_HEAVY", "RP_HEAVY", "N", True),
    ("RP_HEAVY", "STRUCT", "H", False),
    ("RP_HEAVY", "CHOP", "N", True),
    ("RP_HEAVY", "WIRE", "4w light", False),
    ("RP_HEAVY", "LAYER", "N", True),
    ("RP_HEAVY", "APPROACH", "0 (root) / N", False),
    ("RP_HEAVY", "DEADWOOD", "N", False),
    ("RP_HEAVY", "FEED", "4w and leaves hard", False),
    ("RP_LIGHT", "STRUCT", "0-4w", False),
    ("RP_LIGHT", "FULLDEF", "N", True),
    ("RP_LIGHT", "DEADWOOD", "H", False),
    ("BARE", "RP_HEAVY", "2N", True),
    ("BARE", "RP_LIGHT", "N", True),
    ("BARE", "WIRE", "H", False),
    ("BARE", "FEED", "6w", False),
    ("STRUCT", "RP_HEAVY", "0 if <20 % crown, else N", False),
    ("STRUCT", "LAYER", "H", False),
    ("CHOP", "RP_HEAVY", "N (G1 field: 0)", True),
    ("CHOP", "RP_LIGHT", "N", False),
    ("CHOP", "FULLDEF", "N", True),
    ("CUT2", "RP_HEAVY", "next spring 0", False),
    ("CUT2", "CUT2", "3-5w", False),
    ("PARTDEF", "LAYER", "4w", True),
    ("PARTDEF", "SEPARATE", "H", False),
    ("FULLDEF", "FULLDEF", "N (A. palmatum 2N)", True),
    ("FULLDEF", "WIRE", "0 +", False),
    ("FULLDEF", "SEPARATE", "N", True),
    ("FULLDEF", "FEED", "stop until 11", False),
    ("WIRE", "RP_HEAVY", "4w", False),
    ("WIRE", "WIRE", "H", False),
    ("LAYER", "RP_HEAVY", "N (stump and top)", True),
    ("LAYER", "RP_LIGHT", "N", True),
    ("LAYER", "STRUCT", "N", False),
    ("LAYER", "SEPARATE", "8w+roots", False),
    ("SEPARATE", "CHOP", "stump now +", False),
    ("SEPARATE", "LAYER", "2N", True),
    ("APPROACH_SET", "RP_LIGHT", "0", False),
    ("APPROACH_SET", "PARTDEF", "0 not donor", False),
    ("APPROACH_SEVERED", "WIRE", "gentle H", False),
    ("APPROACH_SEVERED", "RP_LIGHT", "4w", False),
    ("DEADWOOD_LARGE", "RP_HEAVY", "N", False),
    ("DEADWOOD_LARGE", "FEED", "0", False),
    ("LIFT", "RP_HEAVY", "2N", True),
    ("LIFT", "STRUCT", "0 same day", False),
    ("LIFT", "LAYER", "2N", True),
    ("LIFT", "FEED", "4-6w", False),
]
# Hard stops counted by eye, row by row.
HARD = dict(zip(ROWS, (6, 1, 9, 0, 4, 0, 2, 6, 0, 6, 5, 0, 0, 0, 6), strict=True))
# SHA-256 over "earlier later cell hard" of every cell, so that a slip of the hand in the data is seen.
FINGERPRINT = "04d42bb55ea280e8d7c374f7bea8a039943a0998c9b8e79a7fcfb9637be972f4"


def table() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["earlier"], row["later"]): row for row in load_rows("ringwise.operations", "conflicts")}


def test_whole_table_is_there() -> None:
    assert set(table()) == {(earlier, later) for earlier in ROWS for later in COLUMNS}


@pytest.mark.parametrize(("earlier", "later", "cell", "hard"), CELLS)
def test_cell_as_printed(earlier: str, later: str, cell: str, hard: bool) -> None:
    row = table()[(earlier, later)]
    assert row["cell"] == cell
    assert (row["hard"] == "yes") is hard


@pytest.mark.parametrize("earlier", ROWS)
def test_hard_stops_of_a_row(earlier: str) -> None:
    assert sum(table()[(earlier, later)]["hard"] == "yes" for later in COLUMNS) == HARD[earlier]


def test_fingerprint_of_the_whole() -> None:
    lines = [f"{a} {b} {row['cell']} {row['hard']}" for (a, b), row in table().items()]
    assert hashlib.sha256("\n".join(lines).encode()).hexdigest() == FINGERPRINT


# The wait that each kind of cell stands for: weeks (cautious end), seasons, sign.
READINGS = [
    ("4w", "WIRE", "RP_HEAVY", (4.0, 0, "")),
    ("0-4w", "RP_LIGHT", "STRUCT", (4.0, 0, "")),
    ("3-5w", "CUT2", "CUT2", (5.0, 0, "")),
    ("H", "RP_HEAVY", "STRUCT", (0.0, 0, "H1")),
    ("N", "RP_HEAVY", "CHOP", (0.0, 1, "")),
    ("2N", "LIFT", "LAYER", (0.0, 2, "")),
    ("leave", "APPROACH_SEVERED", "PARTDEF", (0.0, 1, "")),
    ("next spring", "CUT2", "BARE", (0.0, 1, "")),
    ("leaves hard", "RP_HEAVY", "FEED", (4.0, 0, "H1")),
    ("roots", "LAYER", "SEPARATE", (8.0, 0, "roots")),
    ("until 11", "FULLDEF", "FEED", (0.0, 0, "11")),
]


@pytest.mark.parametrize(("what", "earlier", "later", "wait"), READINGS)
def test_reading_of_a_cell(what: str, earlier: str, later: str, wait: tuple[float, int, str]) -> None:
    gap = rule(earlier, later, group="G3", vigour=4).gap
    assert (gap.weeks, gap.seasons, gap.sign) == wait, what


def test_every_cell_reads_for_every_vigour_and_group() -> None:
    for earlier, later in table():
        for vigour in (None, 0, 1, 2, 3, 4, 5):
            for group in ("G1", "G2", "G3", "G4", "G5", "G6", "G7", ""):
                assert rule(earlier, later, group=group, vigour=vigour).text
