"""A tree written to a file and read again is the same tree, bit by bit."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from measured_trees import measured_trees, same

from ringwise.kit.errors import FileFormatError, StructureError
from ringwise.structure.exchange.tree_json import tree_from_json, tree_to_json
from ringwise.structure.measured import MeasuredTree


@given(measured_trees())
def test_json_keeps_everything(tree: MeasuredTree) -> None:
    text = json.dumps(tree_to_json(tree), allow_nan=False)
    same(tree, tree_from_json(json.loads(text)))


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
