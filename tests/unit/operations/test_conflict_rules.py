"""Rules between two works: vigour, exceptions, rescue and rot found at the bench."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.operations.conflicts import RESCUE, Setting, classes_of, cross_rules, rule
from ringwise.operations.registry import OPERATIONS


def test_chop_then_repot_is_hard_in_a_pot_and_free_for_the_fast_group_in_the_ground() -> None:
    potted = rule("CHOP", "RP_HEAVY", group="G1", vigour=5)
    assert (potted.gap.code, potted.hard, potted.evidence) == ("N", True, "practice")
    ground = rule("CHOP", "RP_HEAVY", group="G1", vigour=5, setting=Setting(in_ground=True))
    assert (ground.gap.free, ground.hard) == (True, False)
    assert rule("CHOP", "RP_HEAVY", group="G3", vigour=5, setting=Setting(in_ground=True)).hard


@pytest.mark.parametrize(
    ("vigour", "seasons", "sign"), [(5, 0, "H1"), (4, 0, "H1"), (3, 1, ""), (2, 1, ""), (0, 1, "")]
)
def test_vigour_lengthens_a_wait_for_hard_leaves(vigour: int, seasons: int, sign: str) -> None:
    gap = rule("RP_HEAVY", "STRUCT", group="G2", vigour=vigour).gap
    assert (gap.seasons, gap.sign) == (seasons, sign)


def test_vigour_three_adds_a_season_to_a_season() -> None:
    assert rule("RP_HEAVY", "DEADWOOD", group="G3", vigour=3).gap.seasons == 2
    assert "vigour 3" in rule("RP_HEAVY", "DEADWOOD", group="G3", vigour=3).note


def test_weak_trees_wait_a_season_even_for_what_is_free_but_two_seasons_stay_two() -> None:
    assert rule("STRUCT", "RP_LIGHT", group="G1", vigour=2).gap.seasons == 1
    assert rule("LIFT", "RP_HEAVY", group="G1", vigour=2).gap.seasons == 2


def test_feeding_after_what_bears_it_waits_for_no_step_at_vigour_three() -> None:
    assert rule("STRUCT", "FEED", group="G1", vigour=3).gap.free
    assert rule("CHOP", "FEED", group="G1", vigour=3).gap.sign == "H1"


def test_unknown_vigour_keeps_the_value_of_the_table() -> None:
    strong = rule("WIRE", "RP_LIGHT", group="G1", vigour=4)
    assert rule("WIRE", "RP_LIGHT", group="G1", vigour=None).gap == strong.gap


@pytest.mark.parametrize("earlier", ["CHOP", "RP_HEAVY", "FULLDEF", "LIFT"])
@pytest.mark.parametrize("vigour", [0, 1, 2, 3, 5, None])
def test_rescue_is_never_blocked(earlier: str, vigour: int | None) -> None:
    found = rule(earlier, RESCUE, group="G3", vigour=vigour)
    assert found.gap.free
    assert not found.hard


def test_rot_found_with_the_roots_out_is_never_blocked_but_a_planned_clean_out_is() -> None:
    found = Setting(found_at_bench=True)
    for pair in (("RP_HEAVY", "DEADWOOD"), ("DEADWOOD_LARGE", "RP_HEAVY")):
        assert rule(*pair, group="G3", vigour=3, setting=found).gap.free
        assert not rule(*pair, group="G3", vigour=3).gap.free


def test_maple_is_not_stripped_two_years_running() -> None:
    assert rule("FULLDEF", "FULLDEF", group="G1", vigour=4).gap.seasons == 1
    maple = Setting(species="acer_palmatum")
    assert rule("FULLDEF", "FULLDEF", group="G2", vigour=4, setting=maple).gap.seasons == 2


def test_light_root_work_leaves_a_layer_possible_on_strong_fast_trees_only() -> None:
    strong = rule("RP_LIGHT", "LAYER", group="G1", vigour=4)
    assert (strong.gap.sign, strong.gap.seasons, strong.tell, strong.hard) == ("H1", 0, True, False)
    for group, vigour in (("G1", 3), ("G3", 5), ("G2", None)):
        found = rule("RP_LIGHT", "LAYER", group=group, vigour=vigour)
        assert found.gap.seasons >= 1
        assert not found.tell
    assert rule("RP_HEAVY", "LAYER", group="G1", vigour=5).hard


def test_root_graft_is_set_in_the_root_job_and_a_branch_graft_waits() -> None:
    assert rule("RP_HEAVY", "APPROACH", group="G1", vigour=5, setting=Setting(root_graft=True)).gap.free
    assert rule("RP_HEAVY", "APPROACH", group="G1", vigour=5).gap.seasons == 1


def test_small_winter_cut_goes_with_a_repot_and_an_unwritten_share_does_not() -> None:
    small = Setting(crown_removed_frac=0.1)
    assert rule("STRUCT", "RP_HEAVY", group="G1", vigour=4, setting=small).gap.free
    for setting in (Setting(crown_removed_frac=0.2), Setting()):
        assert rule("STRUCT", "RP_HEAVY", group="G1", vigour=4, setting=setting).gap.seasons == 1


def test_unknown_pair_is_named() -> None:
    with pytest.raises(UnknownNameError, match=r"CHOP\.NOTHING"):
        rule("CHOP", "NOTHING", group="G1", vigour=4)


@pytest.mark.parametrize(
    ("key", "share", "amount", "classes"),
    [
        ("repot", None, "", ("RP_HEAVY", "RP_HEAVY")),
        ("repot", 0.29, "", ("RP_LIGHT", "RP_LIGHT")),
        ("repot", 0.3, "", ("RP_HEAVY", "RP_HEAVY")),
        ("lift", 0.2, "", ("LIFT", "RP_HEAVY")),
        ("wire", None, "", ("WIRE", "WIRE")),
        ("wire", None, "light", ("", "WIRE")),
        ("root_rescue", None, "", ("RP_HEAVY", RESCUE)),
        ("leave", None, "", ("", "")),
    ],
)
def test_classes(key: str, share: float | None, amount: str, classes: tuple[str, str]) -> None:
    assert classes_of(OPERATIONS[key], root_removed_frac=share, amount=amount) == classes


def test_every_rule_carries_its_row() -> None:
    trace = rule("CHOP", "BARE", group="G1", vigour=5).trace
    assert (trace.room, trace.source, trace.basis) == ("row CHOP.BARE of conflicts", "practice", "practice")


def test_cross_rules_hold_evidence_and_a_way_out() -> None:
    for key, row in cross_rules().items():
        assert row["basis"] == "practice"
        assert row["text"]
        assert row["way_out"] or key in {"rescue_free", "found_free"}
