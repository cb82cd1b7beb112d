"""Conflicts of the plan: what is found, how it is explained, and the way out."""

from __future__ import annotations

from datetime import date

import pytest
from yard_of_values import TODAY, entry, facts, planned, vigour, work

from ringwise.kit.errors import UnknownNameError
from ringwise.records.facts import TreeFacts
from ringwise.records.model import Pot
from ringwise.season.conflicts import find_conflicts
from ringwise.season.findings import Finding, blocking


def found(*trees: TreeFacts, **told: object) -> list[Finding]:
    return find_conflicts(trees, today=TODAY, **told)  # type: ignore[arg-type]


def only(*trees: TreeFacts) -> Finding:
    (finding,) = found(*trees)
    return finding


def zelkova(*entries: object, **tree: object) -> TreeFacts:
    return facts("zelkova_serrata", vigour(5), *entries, **tree)  # type: ignore[arg-type]


def test_chop_and_repot_in_one_spring_is_a_hard_stop_with_a_split() -> None:
    finding = only(zelkova(planned("repot", root_removed_frac=0.4), planned("chop")))
    assert finding.hard
    assert finding.rule == "CHOP.RP_HEAVY"
    assert {finding.earlier_id, finding.later_id} == {
        "T01-planned-repot-2027-03-20",
        "T01-planned-chop-2027-03-20",
    }
    assert finding.grade == "hard stop, common practice"
    assert "heavy repot (20 Mar 2027)" in finding.explanation
    assert finding.way_out.startswith("Split it over two seasons: first the trunk chop, then the heavy repot")
    assert "Why: whole roots push the new leader" in finding.way_out
    assert finding.trace is not None


def test_field_vigorous_tree_of_the_fast_group_stands_both() -> None:
    # In the ground the table frees the pair; what is left is that both take years to make good.
    tree = zelkova(planned("lift", root_removed_frac=0.4), planned("chop"), size_class="F")
    assert [(each.rule, each.hard) for each in found(tree)] == []


def test_typed_reason_silences_a_hard_stop_and_keeps_it_marked() -> None:
    reason = "field-vigorous last year"
    finding = only(zelkova(planned("repot", root_removed_frac=0.4, override_reason=reason), planned("chop")))
    assert finding.hard
    assert finding.silenced
    assert finding.override_reason == reason


def test_blank_reason_silences_nothing() -> None:
    finding = only(zelkova(planned("repot", root_removed_frac=0.4, override_reason="  "), planned("chop")))
    assert not finding.silenced


def test_a_year_between_them_is_enough() -> None:
    assert found(zelkova(planned("chop"), planned("repot", "2028-03-20", root_removed_frac=0.4))) == []


def test_heavy_repot_and_planned_rot_clean_out_conflict_and_rot_found_does_not() -> None:
    repot = planned("repot", "2027-03-27", root_removed_frac=0.35)
    tree = facts("carpinus_betulus", vigour(3), repot, planned("deadwood", "2027-03-27"))
    finding = only(tree)
    assert not finding.hard
    assert "One step longer at vigour 3" in finding.explanation
    assert "first the heavy repot" in finding.way_out
    assert "rot that shows with the roots out is cleaned in that session" in finding.way_out
    seen = planned("deadwood", "2027-03-27", found_at_bench=True)
    assert found(facts("carpinus_betulus", vigour(3), repot, seen)) == []


def test_weak_tree_asked_for_in_the_plan_gets_both_answers_and_the_test() -> None:
    beech = facts(
        "fagus_crenata",
        vigour(2),
        entry("drain", "2026-10-15", {"seconds": 210.0}),
        planned("repot", root_removed_frac=0.2),
    )
    finding = only(beech)
    assert (finding.rule, finding.hard) == ("weak", True)
    assert finding.earlier_id == "T01-vigour--2027-02-21"
    assert "vigour 2 (seen 21 Feb 2027)" in finding.explanation
    for part in ("Leave it", "root rescue", "skewer", "sour smell", "210 s"):
        assert part in finding.way_out


@pytest.mark.parametrize("operation", ["root_rescue", "leave"])
def test_rescue_and_rest_are_never_blocked(operation: str) -> None:
    assert found(facts("fagus_crenata", vigour(1), planned(operation))) == []
    busy = (work("chop", "2027-02-20"), work("repot", "2026-03-20", root_removed_frac=0.4))
    assert found(facts("fagus_crenata", vigour(1), *busy, planned(operation))) == []


def test_feed_on_a_weak_tree_is_its_own_rule() -> None:
    finding = only(facts("fagus_crenata", vigour(2), planned("feed", "2027-06-10")))
    assert finding.rule == "feed_weak"
    assert finding.way_out == "Feed again at vigour 3."


def test_root_work_in_quarantine_is_found_until_it_ends() -> None:
    until = {"quarantine_until": date(2027, 9, 30)}
    repot = planned("repot", "2027-04-17", root_removed_frac=0.1)
    finding = only(facts("olea_europaea", repot, **until))
    assert (finding.rule, finding.hard) == ("quarantine", True)
    assert "30 Sep 2027" in finding.explanation
    assert found(facts("olea_europaea", planned("wire", "2027-06-01"), **until)) == []
    assert found(facts("olea_europaea", planned("repot", "2028-04-17"), **until)) == []


def test_last_day_of_a_quarantine_counts_and_the_day_after_does_not() -> None:
    until = {"quarantine_until": date(2027, 4, 17)}
    assert found(facts("olea_europaea", planned("repot", "2027-04-17"), **until))
    assert found(facts("olea_europaea", planned("repot", "2027-04-18"), **until)) == []


def test_of_two_open_orders_the_graver_is_told() -> None:
    # Bare-root then heavy repot is a hard stop of two seasons, heavy repot then bare-root of one.
    pair = (planned("repot", root_removed_frac=0.4), planned("bare_root"))
    finding = only(facts("ulmus_parvifolia", vigour(4), *pair))
    assert finding.rule == "BARE.RP_HEAVY"
    # Layer then light repot is hard, light repot then layer only advice; the hard one is told.
    light = (planned("repot", "2027", root_removed_frac=0.2), planned("air_layer", "2027"))
    finding = only(facts("morus_alba", vigour(4), *light))
    assert (finding.rule, finding.hard) == ("LAYER.RP_LIGHT", True)


def test_layer_after_a_light_repot_is_possible_but_told() -> None:
    repot = planned("repot", "2027-04-03", root_removed_frac=0.25)
    finding = only(facts("morus_alba", vigour(4), repot, planned("ground_layer", "June 2027")))
    assert finding.rule == "RP_LIGHT.LAYER"
    assert not finding.hard
    assert "roots more slowly" in finding.explanation


def test_layer_after_a_heavy_repot_is_a_hard_stop() -> None:
    repot = planned("repot", "2027-04-03", root_removed_frac=0.4)
    finding = only(facts("morus_alba", vigour(4), repot, planned("air_layer", "June 2027")))
    assert finding.hard
    assert "first the air layer" in finding.way_out


def test_heavy_bends_in_the_week_of_a_repot() -> None:
    repot = planned("repot", "2027-03-09", root_removed_frac=0.3)
    larch = ("larix_kaempferi", vigour(4), repot)
    finding = only(facts(*larch, planned("wire", "2027-03-11", amount="heavy")))  # type: ignore[arg-type]
    assert finding.rule == "RP_HEAVY.WIRE"
    assert "wait 4 weeks" in finding.explanation
    assert found(facts(*larch, planned("wire", "2027-04-06", amount="heavy"))) == []  # type: ignore[arg-type]
    assert found(facts(*larch, planned("wire", "2027-04-05", amount="heavy")))  # type: ignore[arg-type]


def test_work_done_lately_counts_against_the_plan() -> None:
    tree = facts(
        "acer_palmatum", vigour(4), work("lift", "2026-03-20"), planned("repot", root_removed_frac=0.2)
    )
    assert found(tree) == [], "a light repot is free the next season"
    heavy = facts(
        "acer_palmatum", vigour(4), work("lift", "2026-03-20"), planned("repot", root_removed_frac=0.4)
    )
    finding = only(heavy)
    assert (finding.rule, finding.hard) == ("LIFT.RP_HEAVY", True)
    assert finding.way_out == "Move the heavy repot: wait 2 growing seasons."
    old = facts(
        "acer_palmatum", vigour(4), work("lift", "2025-03-20"), planned("repot", root_removed_frac=0.4)
    )
    assert found(old) == []


def test_two_heavy_root_jobs_inside_a_year_across_the_turn_of_the_growing_year() -> None:
    tree = facts(
        "chaenomeles_speciosa",
        vigour(5),
        work("repot", "2026-10-20", root_removed_frac=0.4),
        planned("repot", "2027-03-20", root_removed_frac=0.4),
    )
    assert [finding.rule for finding in found(tree)] == ["two_heavy_roots"]


def test_a_cut_that_waits_for_hard_leaves_by_its_own_timing_keeps_its_wait() -> None:
    repot = planned("repot", "2027-03-20", root_removed_frac=0.2)
    assert found(facts("acer_palmatum", vigour(4), repot, planned("cut_back", "June 2027"))) == []
    assert found(facts("acer_palmatum", vigour(4), repot, planned("cut_back", "unknown"))) == []


def test_graft_into_the_base_is_set_in_the_root_job() -> None:
    repot = planned("repot", root_removed_frac=0.25)
    assert found(facts("morus_alba", vigour(5), repot, planned("root_graft"))) == []


def test_layer_while_a_graft_is_pending() -> None:
    graft = work("approach_graft", "May 2025")
    tree = facts("acer_palmatum", vigour(4), graft, planned("air_layer", "June 2027"))
    assert [finding.rule for finding in found(tree)] == ["graft_pending"]
    severed = work("sever_graft", "2026-06-20")
    rules = [
        f.rule for f in found(facts("acer_palmatum", vigour(4), graft, severed, planned("air_layer", "2028")))
    ]
    assert "graft_pending" not in rules


def test_two_big_events_in_one_season_are_told_even_where_their_wait_is_kept() -> None:
    repot = planned("repot", "2027-03-15", root_removed_frac=0.4)
    finding = only(facts("acer_palmatum", vigour(4), repot, planned("structural_prune", "2027-06-10")))
    assert (finding.rule, finding.hard) == ("one_big_event", False)
    light = planned("repot", "2027-03-15", root_removed_frac=0.2)
    assert found(facts("acer_palmatum", vigour(4), light, planned("structural_prune", "2027-06-10"))) == []


def pots() -> list[Pot]:
    return [
        Pot("P-A", "oval", 300.0, 200.0, 80.0, tree="T35"),
        Pot("P-B", "oval", 300.0, 200.0, 80.0, tree="T19"),
        Pot("P-C", "oval", 300.0, 200.0, 80.0),
    ]


def chain(oak_on: str, juniper_on: str | None) -> list[TreeFacts]:
    oak = facts("quercus_robur", planned("repot", oak_on, tree="T19", pot="P-A"), id="T19", pots=pots())
    moves = [planned("repot", juniper_on, tree="T35", pot="P-C")] if juniper_on else []
    return [oak, facts("juniperus_chinensis", *moves, id="T35", pots=pots())]


def test_pot_that_comes_free_too_late() -> None:
    finding = only(*chain("2027-03-29", "2027-04-02"))
    assert (finding.tree, finding.rule, finding.hard) == ("T19", "pot_chain", False)
    assert "planned for 29 Mar, T35 only for 2 Apr" in finding.explanation
    assert found(*chain("2027-04-03", "2027-04-02")) == []


def test_windows_sharpen_the_pot_chain() -> None:
    opens = {"T19": date(2027, 3, 28), "T35": date(2027, 4, 1)}
    (finding,) = found(*chain("2027-04-03", "2027-04-02"), opens=opens)
    assert "its window opens 4 days before that of T35" in finding.explanation


def test_window_of_the_entry_goes_before_that_of_the_tree() -> None:
    trees = chain("2027-04-03", "2027-04-02")
    waits, frees = trees[0].planned[0].id, trees[1].planned[0].id
    opens = {waits: date(2027, 3, 28), frees: date(2027, 3, 30), "T19": TODAY, "T35": TODAY}
    (finding,) = found(*trees, opens=opens)
    assert "its window opens 2 days before that of T35" in finding.explanation
    assert found(*trees, opens={"T19": TODAY, "T35": TODAY}) == []


def test_pot_whose_tree_does_not_move() -> None:
    finding = only(*chain("2027-03-29", None))
    assert "no move of T35 is planned" in finding.explanation


def test_unknown_operation_is_named_with_its_tree() -> None:
    with pytest.raises(UnknownNameError, match=r"^T01: .*root_chek"):
        found(facts("olea_europaea", planned("root_chek")))


def test_quiet_where_nothing_collides() -> None:
    assert found(facts("acer_palmatum", vigour(4), planned("repot", root_removed_frac=0.25))) == []
    assert found(facts("acer_palmatum", vigour(4))) == []


def test_south_counts_its_own_growing_year() -> None:
    # Spring of the southern growing year 2026 is September 2026 to April 2027; 2027 starts on 1 May.
    chop = planned("chop", "2027-03-20")
    repot = planned("repot", "2027-09-10", root_removed_frac=0.4)
    assert found(zelkova(chop, repot))
    assert found(zelkova(chop, repot), south=True) == []


def test_only_hard_conflicts_without_a_reason_block_a_window() -> None:
    repot, chop = planned("repot", root_removed_frac=0.4), planned("chop")
    hard = found(zelkova(repot, chop))
    assert len(blocking(hard, "T01", chop.id)) == 1
    assert blocking(hard, "T02") == ()
    assert blocking(hard, "T01", "another entry") == ()
    reasoned = planned("chop", override_reason="field-vigorous")
    assert blocking(found(zelkova(repot, reasoned)), "T01") == ()
    advice = found(facts("carpinus_betulus", vigour(4), repot, planned("deadwood")))
    assert advice
    assert blocking(advice, "T01") == ()
    assert blocking(found(facts("fagus_crenata", vigour(2), repot)), "T01") == ()
