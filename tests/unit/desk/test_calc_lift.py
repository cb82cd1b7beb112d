"""Lifting as it is told: also where none of the lifted trees lives."""

from __future__ import annotations

import json

import pytest

from ringwise.desk.calc_lift import LiftWish, calc_lift
from ringwise.futures import lifting


def test_where_no_lifted_tree_lives_there_is_no_ratio(monkeypatch: pytest.MonkeyPatch) -> None:
    lost = lifting.Lifted(float("nan"), float("nan"), 0.0, 1)
    monkeypatch.setattr(lifting, "lifted", lambda *_given, **_named: lost)
    told = calc_lift(LiftWish("zelkova_serrata", "40mm", futures=1))
    json.dumps(told, allow_nan=False)
    assert told["growth_ratio_3_seasons"] is None
    assert told["shoot_ratio_second_season"] is None
    assert told["survival"] == 0.0
    assert "no lifted tree lives on" in " ".join(told["lines"])
