"""Errors name field, value, accepted range and way out, in one line."""

from __future__ import annotations

import inspect
import re

import pytest

from ringwise.kit import errors
from ringwise.kit.errors import near_names, out_of_range, unknown_name


def test_near_names_ignore_case_and_keep_the_accepted_spelling() -> None:
    assert near_names("ACER palmatun", ["Acer palmatum", "Ulmus procera"]) == ["Acer palmatum"]
    assert near_names("zzz", ["Acer palmatum"]) == []
    assert len(near_names("a1", [f"a{n}" for n in range(9)], most=2)) == 2


def test_unknown_name_offers_near_ones_or_all_or_none() -> None:
    assert "Did you mean: acer palmatum?" in str(unknown_name("species", "acer palmatun", ["acer palmatum"]))
    assert "Accepted: a, b." in str(unknown_name("shape", "zzzz", ["b", "a"]))
    many = [f"name{n:02}" for n in range(51)]
    assert "There are 51 accepted names; none is near." in str(unknown_name("shape", "zzzz", many))


def test_out_of_range_has_reason_and_way_out() -> None:
    line = str(out_of_range("porosity", "1.4", "0 to 1", reason="a share", way_out="Write 14 %."))
    assert line == "porosity is 1.4; accepted: 0 to 1 (a share). Write 14 %."


def test_where_leads_the_line() -> None:
    assert str(errors.BalanceError("does not close", where="pot P03")) == "pot P03: does not close"
    assert str(errors.BalanceError("does not close")) == "does not close"


def _classes() -> list[type[errors.RingwiseError]]:
    found = inspect.getmembers(errors, inspect.isclass)
    return [each for _name, each in found if issubclass(each, errors.RingwiseError)]


@pytest.mark.parametrize("error", _classes(), ids=lambda error: error.__name__)
def test_the_tree_drawn_at_the_top_holds_every_error(error: type[errors.RingwiseError]) -> None:
    assert re.search(rf"\b{error.__name__}\b", errors.__doc__ or "")
    assert error.exit_code in (
        {130} if error is errors.StoppedError else {1, 2}
    )  # 128 + SIGINT, as shells say
    assert error("text").message == "text"


def test_what_a_user_can_mend_leaves_with_two() -> None:
    assert errors.DateError("x").exit_code == 2
    assert isinstance(errors.DateError("x"), ValueError)
    assert errors.ConflictError("x").exit_code == 2
    assert errors.StructureError("x").exit_code == 2
    assert errors.BalanceError("x").exit_code == 1
    assert errors.LockedError("x").exit_code == 1
