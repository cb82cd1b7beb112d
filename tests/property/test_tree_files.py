"""A tree written to a file and read again is the same tree, bit by bit."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured_trees import measured_trees, same

from ringwise.kit.errors import FileFormatError, StructureError
from ringwise.structure.exchange.mtg import tree_to_mtg
from ringwise.structure.exchange.mtg_tree import tree_from_mtg
from ringwise.structure.exchange.table_csv import tree_from_csv, tree_to_csv
from ringwise.structure.exchange.tree_json import tree_from_json, tree_to_json
from ringwise.structure.measured import MeasuredTree


@given(measured_trees())
def test_json_keeps_everything(tree: MeasuredTree) -> None:
    text = json.dumps(tree_to_json(tree), allow_nan=False)
    same(tree, tree_from_json(json.loads(text)))


@given(measured_trees())
def test_csv_keeps_everything(tree: MeasuredTree) -> None:
    same(tree, tree_from_csv(tree_to_csv(tree)))


@given(measured_trees())
def test_mtg_keeps_all_but_outlines(tree: MeasuredTree) -> None:
    read = tree_from_mtg(tree_to_mtg(tree))
    same(tree, read, rows_only=True)
    assert (read.table.basis, read.origin_mm) == (tree.table.basis, tree.origin_mm)


@given(measured_trees(most=5), st.data())
def test_a_broken_csv_cell_is_named(tree: MeasuredTree, data: st.DataObject) -> None:
    lines = tree_to_csv(tree).splitlines()
    head = next(at for at, line in enumerate(lines) if line.startswith("row,"))
    names = lines[head].split(",")
    column = data.draw(st.integers(1, len(names) - 1))
    row = data.draw(st.integers(0, tree.n - 1))
    cells = lines[head + 1 + row].split(",")
    cells[column] = data.draw(st.sampled_from(["x", "1e999", "nan", "inf"]))
    lines[head + 1 + row] = ",".join(cells)
    with pytest.raises(FileFormatError, match=f"row {row}, column {names[column]}: ") as refused:
        tree_from_csv("\n".join(lines))
    assert "\n" not in str(refused.value)


@given(measured_trees(most=5), st.data())
def test_broken_json_is_refused_in_one_line(tree: MeasuredTree, data: st.DataObject) -> None:
    told = tree_to_json(tree)
    name = data.draw(st.sampled_from(sorted(told["columns"])))
    wrong = data.draw(st.sampled_from(["short", "text", "infinite", "object"]))
    if wrong == "short":
        told["columns"][name] = told["columns"][name][:-1]
        if tree.n == 1 or name == "parent":
            return
    elif wrong == "object":
        told["columns"][name] = {"0": 1}
    else:
        told["columns"][name][-1] = "x" if wrong == "text" else float("inf")
    with pytest.raises((FileFormatError, StructureError)) as refused:
        tree_from_json(told)
    assert "\n" not in str(refused.value)
    assert name in str(refused.value) or wrong == "short"
