"""The due list: what is on it, in which order, what is struck out, and when it stays quiet."""

from __future__ import annotations

from datetime import date

import pytest
from yard_of_values import TODAY, entry, facts, forecast, planned, vigour, work

from ringwise.operations.registry import OPERATIONS
from ringwise.records.facts import TreeFacts
from ringwise.season.conflicts import find_conflicts
from ringwise.season.cues import root_cues, urgency_of
from ringwise.season.need import Due, due_list
from ringwise.season.window import Window, operation_window


def window_of(tree: TreeFacts, operation: str) -> Window | None:
    if tree.taxon is None:
        return None
    return operation_window(OPERATIONS[operation], tree, forecast(tree.taxon.key), today=TODAY)


def due(*trees: TreeFacts, today: date = TODAY) -> list[Due]:
    return due_list(trees, window_of, today=today, findings=find_conflicts(trees, today=today))


def drain(seconds: float, on: str = "2026-10-15", tree: str = "T01") -> object:
    return entry("drain", on, {"seconds": seconds}, tree=tree)


def tree(species: str, *entries: object, id: str = "T01", **told: object) -> TreeFacts:
    return facts(species, *entries, id=id, **told)  # type: ignore[arg-type]


def test_quiet_when_nothing_is_due() -> None:
    assert due(tree("acer_palmatum", vigour(4), drain(12.0), work("repot", "2026-03-20"), stage="S8")) == []
    assert due(tree("acer_palmatum")) == []


def test_slow_drain_alone_asks_for_a_repot_with_its_reason() -> None:
    (line,) = due(tree("zelkova_serrata", vigour(4), drain(140.0), stage="S9"))
    assert (line.operation, line.urgency, line.struck, line.entry_id) == ("repot", "cannot wait", "", "")
    assert line.cue == "water stands 140 s before soaking in (slow from 60 s)"
    assert "opens around 10 to 16 Mar" in line.line
    assert line.closes == date(2027, 3, 31)


@pytest.mark.parametrize(
    ("seconds", "last", "urgency"),
    [
        (140.0, "2026-03", "cannot wait"),
        (80.0, "2020-03", "cannot wait"),
        (80.0, "2026-03", "should not wait"),
        (20.0, "2020-03", "can wait"),
    ],
)
def test_cost_of_a_year(seconds: float, last: str, urgency: str) -> None:
    cues = root_cues(tree("carpinus_betulus", work("repot", last), drain(seconds), stage="S7"), today=TODAY)
    assert urgency_of(cues) == urgency


def test_a_slow_pot_that_never_drained_quicker_is_no_cue() -> None:
    """Drain tests are compared with the pot's own past alone (common practice)."""
    always = tree("acer_palmatum", drain(150.0, "2026-04-10"), drain(160.0), stage="S7")
    assert [cue.kind for cue in root_cues(always, today=TODAY)] == []
    grown = tree("acer_palmatum", drain(70.0, "2026-04-10"), drain(160.0), stage="S7")
    (cue,) = root_cues(grown, today=TODAY)
    assert (cue.kind, cue.pressing) == ("drain", True)


def test_drain_that_doubled_since_the_last_repot_counts_and_older_tests_do_not() -> None:
    after = tree(
        "acer_palmatum",
        drain(8.0, "2023-01-10"),
        work("repot", "2024-03"),
        drain(20.0, "2024-10-10"),
        drain(42.0),
    )
    assert [cue.kind for cue in root_cues(after, today=TODAY)] == ["drain"]
    before = tree("acer_palmatum", drain(8.0, "2023-01-10"), work("repot", "2024-03"), drain(42.0))
    assert root_cues(before, today=TODAY) == ()


def test_days_to_dry_halved() -> None:
    def dry(days: float, on: str) -> object:
        return entry("days_dry", on, {"days": days})

    fast = tree("acer_palmatum", dry(4.0, "2025-07-10"), dry(2.0, "2026-07-10"))
    assert [cue.kind for cue in root_cues(fast, today=TODAY)] == ["dry"]
    assert root_cues(tree("acer_palmatum", dry(4.0, "2025-07-10"), dry(3.0, "2026-07-10")), today=TODAY) == ()


def test_what_was_not_measured_says_nothing() -> None:
    assert root_cues(tree("acer_palmatum", stage="S8"), today=TODAY) == ()
    unknown = tree("acer_palmatum", work("repot", "unknown"), stage="S8")
    assert root_cues(unknown, today=TODAY) == ()


def test_order_is_by_what_closes_first_then_by_the_cost_of_a_year() -> None:
    larch = tree("larix_kaempferi", vigour(4), planned("repot", "2027-03-12", tree="T21"), id="T21")
    calm = tree("acer_palmatum", vigour(4), planned("repot", tree="T03"), id="T03")
    pressing = tree(
        "acer_palmatum", vigour(4), drain(140.0, tree="T05"), planned("repot", tree="T05"), id="T05"
    )
    assert [line.tree for line in due(calm, pressing, larch)] == ["T21", "T05", "T03"]


def test_weak_and_quarantined_are_struck_out_at_the_end_with_the_reason() -> None:
    beech = tree(
        "fagus_crenata", vigour(2), drain(210.0), planned("repot", "2027-04-14", root_removed_frac=0.2)
    )
    olive = tree(
        "olea_europaea",
        planned("repot", "2027-04-10", tree="T32"),
        id="T32",
        quarantine_until=date(2027, 9, 30),
    )
    # The birch closes no earlier and can wait, so only being struck out puts the others behind it.
    birch = tree("betula_pendula", planned("repot", tree="T47"), id="T47")
    lines = due(beech, olive, birch)
    assert [line.tree for line in lines] == ["T47", "T01", "T32"]
    struck = {line.tree: line for line in lines if line.struck}
    assert struck["T01"].struck == "weak: vigour 2, needs 3"
    assert "root rescue stays possible" in struck["T01"].line
    assert struck["T32"].struck == "in quarantine until 30 Sep 2027"


def test_work_far_ahead_and_work_of_another_year_stay_quiet() -> None:
    assert due(tree("acer_palmatum", vigour(4), planned("air_layer", "June 2027"))) == []
    assert due(tree("acer_palmatum", vigour(4), planned("repot", "2028-03-20"))) == []


def test_planned_rest_quiets_a_calm_cue_but_not_a_pressing_one() -> None:
    rest = planned("leave", "2027")
    assert due(tree("acer_palmatum", vigour(4), drain(70.0), rest)) == []
    assert [line.operation for line in due(tree("acer_palmatum", vigour(4), drain(150.0), rest))] == ["repot"]


def test_conflicts_are_named_beside_the_works_they_touch_until_overridden() -> None:
    both = tree("zelkova_serrata", vigour(5), planned("repot", root_removed_frac=0.4), planned("chop"))
    assert all("conflict: Trunk chop" in line.line for line in due(both))
    silenced = tree(
        "zelkova_serrata",
        vigour(5),
        planned("repot", root_removed_frac=0.4, override_reason="strong"),
        planned("chop"),
    )
    lines = due(silenced)
    assert not any("conflict" in line.line for line in lines)
    assert any("your reason: strong" in line.line for line in lines)


def test_pending_graft_is_looked_at_in_growth_and_not_a_week_after_the_last_look() -> None:
    graft = work("approach_graft", "2026-06-01")
    early = tree("acer_palmatum", vigour(4), graft)
    assert due(early) == []
    june = date(2027, 5, 20)

    def window_in_june(each: TreeFacts, operation: str) -> Window | None:
        return operation_window(OPERATIONS[operation], each, forecast("acer_palmatum"), today=june)

    lines = due_list([early], window_in_june, today=june)
    assert [(line.operation, line.cue) for line in lines] == [
        ("sever_graft", "look at the graft: approach graft (1 Jun 2026)")
    ]
    check = entry("graft_check", "2027-05-10", {"site": "first branch", "before_mm": 6.0, "after_mm": 6.2})
    seen = tree("acer_palmatum", vigour(4), graft, check, today=june)
    assert due_list([seen], window_in_june, today=june) == []
    older = entry("graft_check", "2025-05-10", {"site": "first branch", "before_mm": 6.0, "after_mm": 6.2})
    other = tree("acer_palmatum", vigour(4), graft, older, today=june)  # a check of an earlier graft
    assert due_list([other], window_in_june, today=june)[0].reasons[0] == "not checked yet"


def test_open_question_comes_with_the_work_that_waits_for_it_and_is_quiet_alone() -> None:
    question = entry(
        "question", "2027-02-21", {"title": "Chop or layer first?", "courses": ["chop", "air_layer"]}
    )
    lines = due(tree("ulmus_procera", vigour(5), question, planned("repot", root_removed_frac=0.2)))
    # The chop's window closes before the repot's, so the decision comes first.
    assert [line.operation for line in lines] == ["decide", "repot"]
    assert "Chop or layer first?" in next(line.cue for line in lines if line.operation == "decide")
    alone = entry("question", "2027-02-21", {"title": "Which pot colour?", "courses": ["grey", "brown"]})
    assert due(tree("acer_palmatum", vigour(4), alone)) == []


def test_retired_tree_needs_nothing() -> None:
    from ringwise.records.dates import parse_fuzzy_date

    gone = parse_fuzzy_date("2026", field="retired")
    assert due(tree("zelkova_serrata", vigour(4), drain(140.0), retired=gone)) == []


def question(on: str, title: str = "What to do about the base") -> object:
    return entry("question", on, {"title": title, "courses": ["accept", "ground_layer"]})


def decided(on: str, review: str | None = None) -> object:
    return entry("decision", on, {"key": "accept", "title": "Accept", "text": "-", "review_on": review})


def decisions_due(*entries: object, today: date = TODAY) -> list[str]:
    """What is to be decided on a tree whose slow drain presses for work."""
    lines = due(tree("acer_palmatum", drain(160.0), vigour(4), *entries, stage="S7"), today=today)
    return [line.cue for line in lines if line.operation == "decide"]


def test_a_question_is_asked_until_it_is_decided() -> None:
    assert decisions_due(question("2027-02-21")) == ["open question: What to do about the base"]
    assert decisions_due(question("2027-02-21"), decided("2027-03-01")) == []


def test_a_question_asked_after_a_decision_is_open() -> None:
    told = decisions_due(
        question("2026-02-21"), decided("2026-03-01"), question("2027-02-01", "Which leader")
    )
    assert told == ["open question: Which leader"]


def test_a_decision_comes_back_on_its_day_and_not_before() -> None:
    asked = question("2027-02-21")
    assert decisions_due(asked, decided("2027-02-25", "2027-03-08")) == []
    (told,) = decisions_due(asked, decided("2027-02-25", "2027-03-07"))
    assert told == "look again at what was decided: Accept"
    # a later decision replaces it, and with it the day
    assert (
        decisions_due(asked, decided("2027-02-25", "2027-03-07"), decided("2027-03-06", "2028-03-01")) == []
    )
