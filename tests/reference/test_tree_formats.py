"""Trees from other programs: MTG text by its public description, and cylinder models."""

from __future__ import annotations

import io

import numpy as np
import pytest
from scipy.io import savemat

from ringwise.kit.errors import FileFormatError, InputError
from ringwise.structure.exchange.formats import read_file, read_tree
from ringwise.structure.exchange.mtg_text import read_mtg
from ringwise.structure.exchange.table_csv import tree_from_csv, tree_to_csv
from ringwise.structure.measured import How
from ringwise.structure.measures import measures, trunk_diameter_at

# Written by hand after "File syntax" of the documentation of openalea.mtg (Header, Coding section):
# FORM-A, axes A made of segments U, the column rule and ^, a comment, an axis named on its bearer's line.
BY_HAND = """CODE:\tFORM-A

CLASSES:
SYMBOL\tSCALE\tDECOMPOSITION\tINDEXATION\tDEFINITION
$\t0\tFREE\tFREE\tIMPLICIT
P\t1\tCONNECTED\tFREE\tIMPLICIT
A\t2\t<-LINEAR\tFREE\tEXPLICIT
U\t3\tNONE\tFREE\tIMPLICIT

DESCRIPTION:
LEFT\tRIGHT\tRELTYPE\tMAX
A\tA\t+\t?
U\tU\t<\t1
U\tU\t+\t?

FEATURES:
NAME\tTYPE
diameter_mm\tREAL
end_x_cm\tREAL
end_y_cm\tREAL
end_z_cm\tREAL

MTG:
TOPO\t\t\tdiameter_mm\tend_x_cm\tend_y_cm\tend_z_cm
/P1/A1
^/U1\t\t\t30\t0\t0\t10
^<U2\t\t\t24\t0\t0\t20\t# the trunk goes on
\t+A2/U1\t\t8\t5\t0\t20
\t^<U2\t\t6\t9\t0\t23
\t\t+A3/U1\t3\t9\t4\t23
^<U3\t\t\t18\t0\t0\t28
\t+A1/U1\t\t5\t0\t-6\t28
"""
# The same plant without the brackets of columns, as the description's first form codes it: each name in full.
IN_FULL = "\n".join(
    [
        BY_HAND.split("MTG:\n")[0] + "MTG:",
        "TOPO\tdiameter_mm\tend_x_cm\tend_y_cm\tend_z_cm",
        "/P1/A1/U1\t30\t0\t0\t10",
        "/P1/A1/U1<U2\t24\t0\t0\t20",
        "/P1/A1/U1<U2+A2/U1\t8\t5\t0\t20",
        "/P1/A1/U1<U2+A2/U1<U2\t6\t9\t0\t23",
        "/P1/A1/U1<U2+A2/U1<U2+A3/U1\t3\t9\t4\t23",
        "/P1/A1/U1<U2<U3\t18\t0\t0\t28",
        "/P1/A1/U1<U2<U3+A1/U1\t5\t0\t-6\t28",
        "",
    ]
)


@pytest.mark.parametrize("text", [BY_HAND, IN_FULL])
def test_an_mtg_written_by_hand(text: str) -> None:
    tree = read_tree("by_hand.mtg", text.encode())
    table = tree.table
    assert table.parent.tolist() == [-1, 0, 1, 2, 3, 1, 5]
    assert table.order.tolist() == [0, 0, 1, 1, 2, 0, 1]
    assert table.length_mm == pytest.approx([100, 100, 50, 50, 40, 80, 60])
    assert table.diameter_mm == pytest.approx([30, 24, 8, 6, 3, 18, 5])
    assert table.end_mm[4] == pytest.approx([90, 40, 230], abs=1e-3)
    assert (tree.how == How.IMPORTED).all()


def test_a_successor_goes_on_and_a_branching_leaves() -> None:
    relations = [part.relation for part in read_mtg(BY_HAND).parts]
    assert relations == ["/", "<", "+", "<", "+", "<", "+"]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("FORM-A", "FORM-B", "FORM-A"),
        ("^<U2\t\t\t24", "^<X2\t\t\t24", 'class "X" is not declared'),
        ("^<U2\t\t\t24", "^<<U9\t\t\t24", "is not read"),
        ("^<U2\t\t\t24", "(A1)<U2\t\t\t24", "is not read"),
        ("^<U2\t\t\t24", "^/U2\t\t\t24", "neither by < nor by"),
        ("\t24\t0\t0\t20", "\t24\tleft\t0\t20", "column end_x_cm: 'left' is no number"),
        ("diameter_mm", "diam", "sizes are missing"),
        ("end_x_cm", "end_x_inch", "sizes are missing"),
    ],
)
def test_an_mtg_that_cannot_be_read_says_where(old: str, new: str, told: str) -> None:
    assert old in BY_HAND
    with pytest.raises(FileFormatError) as refused:
        read_tree("by_hand.mtg", BY_HAND.replace(old, new).encode())
    assert told in str(refused.value)
    assert str(refused.value).startswith("by_hand.mtg: ")
    assert "\n" not in str(refused.value)


# A trunk of two cylinders and a branch that leaves the first in its middle, off its bark; in metres. Sizes
# are round numbers, so that height (1.8 m), stem at 1.3 m (8 cm) and volume follow by hand.
CYLINDERS = """radius,length,start.x,start.y,start.z,axis.x,axis.y,axis.z,parent,extension,branch,BranchOrder
0.05,1.0,1,2,3,0,0,1,0,2,1,0
0.04,0.8,1,2,4,0,0,1,1,0,1,0
0.02,0.5,1.05,2,3.5,1,0,0,1,0,2,1
"""
VOLUME_CM3 = np.pi * (0.05**2 * 1.0 + 0.04**2 * 0.8 + 0.02**2 * 0.5) * 1e6


def _as_mat(compressed: bool) -> bytes:
    rows = np.array([line.split(",") for line in CYLINDERS.splitlines()[1:]], dtype=float)
    cylinder = {
        "radius": rows[:, :1],
        "length": rows[:, 1:2],
        "start": rows[:, 2:5],
        "axis": rows[:, 5:8],
        "parent": rows[:, 8:9].astype(np.uint16),
        "BranchOrder": rows[:, 11:12].astype(np.uint8),
    }
    file = io.BytesIO()
    savemat(file, {"QSM": {"cylinder": cylinder, "treedata": {"TreeHeight": 1.8}}}, do_compression=compressed)
    return file.getvalue()


def _files() -> dict[str, bytes]:
    swapped = CYLINDERS.splitlines()
    with_numbers = ["id;" + swapped[0].replace(",", ";")]
    with_numbers += [f"{n};" + swapped[n].replace(",", ";") for n in (3, 1, 2)]
    ends = "x_start,y_start,z_start,x_end,y_end,z_end,radius,parent_id\n"
    ends += "1,2,3,1,2,4,0.05,-1\n1,2,4,1,2,4.8,0.04,1\n1.05,2,3.5,1.55,2,3.5,0.02,1\n"
    return {
        "usual.csv": CYLINDERS.encode(),
        "numbered.csv": "\n".join(with_numbers).encode(),
        "ends.csv": ends.encode(),
        "model.mat": _as_mat(False),
        "packed.mat": _as_mat(True),
    }


@pytest.mark.parametrize("name", list(_files()))
def test_a_cylinder_model(name: str) -> None:
    read = read_file(name, _files()[name])
    assert read.source == "cylinders"
    told, tree = read.cylinders, read.tree
    assert told is not None
    assert (told.cylinders, told.bridges) == (3, 1)
    assert told.widest_gap_mm == pytest.approx(50.0)
    assert told.gap_at == (1 if name == "numbered.csv" else 3)
    assert told.height_mm == pytest.approx(1800.0)
    assert told.breast_diameter_mm == pytest.approx(80.0)
    assert told.volume_cm3 == pytest.approx(VOLUME_CM3)
    assert tree.origin_mm == pytest.approx((1000.0, 2000.0, 3000.0))
    # The first cylinder is parted where the branch leaves it; the gap to its bark is a segment of its own.
    bridge = int(np.argmax(tree.how == How.ASSUMED))
    assert tree.table.length_mm[bridge] == pytest.approx(50.0, abs=1e-3)
    assert tree.table.start_mm[bridge] == pytest.approx([0, 0, 500], abs=1e-3)
    tops = np.sort(tree.table.end_mm[tree.table.continued_by < 0][:, 2])
    assert tops == pytest.approx([500.0, 1800.0], abs=1e-3)
    assert tree.table.end_mm[:, 2].max() == pytest.approx(1800.0, rel=0.005)


def _table_rows() -> list[list[str]]:
    """The cylinders above, a row of texts each, in the order of TreeQSM's own text."""
    return [line.split(",") for line in CYLINDERS.splitlines()[1:]]


# Layouts of other programs, each written by hand after what the named file writes or holds.
OTHER_LAYOUTS = {
    # TreeQSM 2.4, save_model_text.m: tabs, and one name over the three columns of a place or a direction
    "named.txt": "radius (m)\tlength (m)\tstart_point\taxis_direction\tparent\textension\tbranch\t"
    "branch_order\n" + "\n".join("\t".join(row) for row in _table_rows()),
    # TreeQSM 2.30, save_model_text.m: the same columns and more, without names
    "nameless.txt": "\n".join("\t".join([*row, "1", "0", row[0]]) for row in _table_rows()),
    # TreeQSM's text as drawing programs read it: sections, blanks between numbers
    "sections.txt": "# Cylinder data\n"
    + "\n".join(" ".join([*row, "1", "0"]) for row in _table_rows())
    + "\n# Branch data\n0 0 12.1 1.8 0 0.9\n# Tree data\n0.0125 # Total volume\n",
    # aRchi, as the example QSM2.csv of the package rTwig has it: the stem counts as order 1
    "stem_1.csv": "startX,startY,startZ,endX,endY,endZ,cyl_ID,parent_ID,radius_cyl,branching_order\n"
    "1,2,3,1,2,4,1,0,0.05,1\n1,2,4,1,2,4.8,2,1,0.04,1\n1.05,2,3.5,1.55,2,3.5,3,1,0.02,2\n",
    # SimpleForest, as the test trees of canopyHydrodynamics have it: blanks after commas, numbers from 0
    "from_0.csv": "type, ID, parentID, startX, startY, startZ, endX, endY, endZ, radius, branchOrder, glC\n"
    "cylinder,0,-1,1,2,3,1,2,4,0.05,0,\ncylinder,1,0,1,2,4,1,2,4.8,0.04,0,\n"
    "cylinder,2,0,1.05,2,3.5,1.55,2,3.5,0.02,1,\n",
    # PyTLidar, which writes TreeQSM's text with rows counted from 0 and numbers as reals
    "rows_from_0.txt": "radius (m)\tlength (m)\tstart_point\taxis_direction\tparent\tbranch_order\n"
    "0.05\t1.0\t1\t2\t3\t0\t0\t1\t-1.0\t0.0\n0.04\t0.8\t1\t2\t4\t0\t0\t1\t0.0\t0.0\n"
    "0.02\t0.5\t1.05\t2\t3.5\t1\t0\t0\t0.0\t1.0\n",
    # The root's parent as R and Python write what is missing
    "missing.csv": CYLINDERS.replace(",1,0,2,1,0\n", ",1,NA,2,1,0\n"),
    # A spreadsheet where commas stand before decimals
    "commas.csv": CYLINDERS.replace(",", ";")
    .replace(".", ",")
    .replace("start,", "start.")
    .replace("axis,", "axis."),
}


@pytest.mark.parametrize("name", list(OTHER_LAYOUTS))
def test_a_cylinder_model_as_other_programs_lay_it_out(name: str) -> None:
    read = read_file(name, OTHER_LAYOUTS[name].encode())
    told = read.cylinders
    assert told is not None
    assert told.cylinders == 3
    assert told.height_mm == pytest.approx(1800.0)
    assert told.breast_diameter_mm == pytest.approx(80.0)
    assert told.volume_cm3 == pytest.approx(VOLUME_CM3)
    # the stem in parts of order 0, the branch and the bridge to it of order 1
    assert sorted(read.tree.table.order.tolist()) == [0, 0, 0, 0, 0, 1, 1, 1]


def test_an_imported_tree_is_as_thick_and_heavy_as_its_cylinders() -> None:
    """A segment tapers to the next; a cylinder does not, and the tree must not thin by the way it is kept."""
    table = read_tree("model.csv", CYLINDERS.encode()).table
    for height_mm, thick_mm in ((300.0, 100.0), (900.0, 100.0), (1300.0, 80.0), (1700.0, 80.0)):
        assert trunk_diameter_at(table, height_mm) == pytest.approx(thick_mm, rel=0.005)
    bridge_cm3 = np.pi * 0.02**2 * 0.05 * 1e6
    assert measures(table).wood_cm3 == pytest.approx(VOLUME_CM3 + bridge_cm3, rel=0.01)


def test_the_stem_of_a_model_is_read_along_it() -> None:
    """Forestry's 1.3 m go along a stem that leans; level with 1.3 m the second cylinder would be met."""
    lean = "radius,length,start_x,start_y,start_z,axis_x,axis_y,axis_z,parent\n"
    lean += "0.05,1.35,0,0,0,1,0,1,0\n0.04,1.0,0.9546,0,0.9546,1,0,1,1\n"
    told = read_file("lean.csv", lean.encode()).cylinders
    assert told is not None
    assert told.breast_diameter_mm == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("0,0,1,1,0,1,0", "0,0,1,0,0,1,0", "2 cylinders have no parent (1, 2)"),
        ("0.02,0.5", "thick,0.5", "row 3, column radius: 'thick' is no number"),
        ("0.02,0.5", "0,0.5", "cylinder 3: its radius is not above 0"),
        ("0.02,0.5", "0.02,0", "cylinder 3: its length is not above 0"),
        ("1,0,0,1,0,2,1", "1,0,0,9,0,2,1", "its parent 9 is none of the cylinders"),
        ("0,0,1,0,2,1,0", "0,0,1,2,2,1,0", "no cylinder is the root"),
        ("1,0,0,1,0,2,1", "1,0,0,3,0,2,1", "cylinder 3: it is its own parent"),
        ("1,0,0,1,0,2,1", "1,0,0,1.5,0,2,1", "no whole number"),
        ("start.z", "begin.z", "not known"),
    ],
)
def test_a_cylinder_model_that_is_none_says_where(old: str, new: str, told: str) -> None:
    assert old in CYLINDERS
    with pytest.raises(InputError) as refused:
        read_file("cloud.csv", CYLINDERS.replace(old, new).encode())
    assert told in str(refused.value)
    assert str(refused.value).startswith("cloud.csv: ")


def test_a_table_that_a_spreadsheet_saved_anew() -> None:
    """With semicolons, commas before decimals, and every line filled up to the longest."""
    own = tree_from_csv(
        "#ringwise-tree,1\n#basis,turntable\n#origin_mm,1.5,-2.25,0\n"
        "#section,30.5,157.1,,25.5,24.5,25,26,25,24,25,25.25,24.75\n"
        "parent,length_mm,direction_x,direction_y,direction_z,wood_mm2,radius_sd_mm\n"
        "-1,40.5,0,0,1,7.25,0.125\n0,30,0.6,0,0.8,5,\n"
    )
    lines = [line.replace(",", ";").replace(".", ",").split(";") for line in tree_to_csv(own).splitlines()]
    widest = max(len(line) for line in lines)
    saved = "\r\n".join(";".join(line + [""] * (widest - len(line))) for line in lines)
    again = read_tree("saved.csv", ("\ufeff" + saved).encode())
    assert tree_to_csv(again) == tree_to_csv(own)


def test_parents_in_a_circle_are_refused() -> None:
    text = CYLINDERS + "0.02,0.5,1,2,3,1,0,0,5,0,3,1\n0.02,0.5,1,2,3,1,0,0,4,0,3,1\n"
    with pytest.raises(FileFormatError, match="cylinder 4: its parents go in a circle"):
        read_file("cloud.csv", text.encode())


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("tree.xls", b"", "unknown"),
        ("tree.json", b"[]", "ringwise-tree"),
        ("tree.json", b"{", "no JSON"),
        ("tree.csv", b"", "no header"),
        ("tree.csv", b"\xff\xfe", "UTF-8"),
        ("tree.csv", b"row,parent\n0,-1\n", "missing columns: length_mm"),
        ("tree.csv", b"parent,length_mm,girth\n", 'column "girth" is not known'),
        ("tree.mat", b"MATLAB 7.3 something else", "no .mat file"),
        ("tree.mtg", b"hello", "FORM-A"),
    ],
)
def test_files_that_are_no_tree(name: str, data: bytes, told: str) -> None:
    with pytest.raises(InputError) as refused:
        read_tree(name, data)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)
