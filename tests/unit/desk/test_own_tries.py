"""Own tries in the record: what is logged, what it moves, and what is refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.cuts import cuts_answer
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.entry_given import given_of
from ringwise.desk.own_tries import learned_of, odds_told
from ringwise.desk.start_tree import Limb, graft_now, start_of
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.turning_offers import offers_key
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.growth.odds import odds_quantile
from ringwise.kit.errors import MissingFieldError, RangeError, UnknownNameError


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """Two trees with trunk and height: a maple with a graft on it and an elm."""
    yard = open_workspace(tmp_path / "yard", on="2027-03-07")
    for name, species in (("Graft Maple", "Acer palmatum"), ("Tall Elm", "Ulmus parvifolia")):
        add_tree(yard, NewTree(name, species))
    for tree in ("T01", "T02"):
        log_entry(yard, tree, Given(("trunk", "40mm")))
        log_entry(yard, tree, Given(("height", "50cm")))
    return open_workspace(tmp_path / "yard", on="2027-03-07")


def _again(yard: Workspace) -> Workspace:
    return open_workspace(yard.folder, on=yard.today.isoformat())


def _told(yard: Workspace, tree: str, technique: str) -> dict[str, object]:
    rows = {row["technique"]: row for row in odds_told(_again(yard), tree)["odds"]}
    found: dict[str, object] = rows[technique]
    return found


def test_nothing_tried_leaves_the_book(yard: Workspace) -> None:
    told = _told(yard, "T01", "graft")
    assert (told["came_off"], told["tried"], told["mean"]) == (0, 0, told["prior_mean"])
    assert learned_of(yard, yard.facts_of("T01")) is None


def test_results_are_counted_and_move_the_odds_of_their_kind(yard: Workspace) -> None:
    before = _told(yard, "T01", "graft")
    for text in ("approach_graft failed", "approach graft failed", "thread graft took 60 weeks"):
        log_entry(yard, "T01", Given(("result", text), at="first branch, right", date="2026-10-01"))
    told = _told(yard, "T01", "graft")
    assert (told["came_off"], told["tried"]) == (1, 3)
    assert told["mean"] < before["mean"]  # type: ignore[operator]
    assert "1 of 3 of your own; the book says" in str(told["words"])
    start = start_of(_again(yard), _again(yard).facts_of("T01"))
    assert start.learned is not None
    assert start.learned.graft is not None
    assert start.learned.graft.mean_prob == pytest.approx(told["mean"])
    assert start.learned.union_years is not None


def test_tries_on_one_tree_reach_trees_of_other_kinds_a_little(yard: Workspace) -> None:
    before = _told(yard, "T02", "layer")
    for _each in range(5):
        log_entry(yard, "T01", Given(("result", "air layer failed"), date="2026-09-01"))
    after = _told(yard, "T02", "layer")
    assert after["tried"] == 0
    assert after["mean"] < before["mean"]  # type: ignore[operator]


def test_the_scan_and_the_offers_go_by_own_tries(yard: Workspace) -> None:
    def rooting() -> tuple[float, str]:
        again = _again(yard)
        facts = again.facts_of("T02")
        places = cuts_answer(again, "T02").data["places"]
        found = {float(str(place["rooting_prob"])) for place in places}
        assert len(found) == 1  # one stem, thin all along
        return found.pop(), offers_key(again, facts)

    before, key = rooting()
    for _each in range(5):
        log_entry(yard, "T02", Given(("result", "air layer failed"), date="2026-09-01"))
    after, other = rooting()
    assert after < before
    assert other != key  # what was offered before is found out anew
    start = start_of(_again(yard), _again(yard).facts_of("T02"))
    assert start.learned is not None
    assert start.learned.layer is not None
    assert after == pytest.approx(float(odds_quantile(start.learned.layer, np.array([0.5]))[0]), abs=6e-4)


def test_a_layer_that_was_separated_had_rooted(yard: Workspace) -> None:
    log_entry(yard, "T02", Given(("work", "air_layer"), date="2025-06-01"))
    assert _told(yard, "T02", "layer")["tried"] == 0
    log_entry(yard, "T02", Given(("work", "separate_layer"), date="2025-09-01"))
    told = _told(yard, "T02", "layer")
    assert (told["came_off"], told["tried"]) == (1, 1)
    log_entry(yard, "T02", Given(("result", "air layer took 9wk"), date="2025-08-20"))
    assert _told(yard, "T02", "layer")["tried"] == 1  # the same layer, written down


def test_a_result_is_offered_again_as_typed(yard: Workspace) -> None:
    log_entry(yard, "T01", Given(("result", "Air-layer took 7,5 weeks hormone"), at="22 cm"))
    entry = next(each for each in _again(yard).entries if each.kind == "result")
    given = given_of(entry)
    assert given is not None
    assert (given["what"], given["value"], given["at"]) == ("result", "air_layer took 7.5wk hormone", "22 cm")
    assert entry.data["conditions"] == ["hormone"]


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("air_layer", MissingFieldError, "how it ended"),
        ("repot took", UnknownNameError, "what was tried"),
        ("air_layer took yesterday", UnknownNameError, "condition of a try"),
        ("air_layer took 0wk", RangeError, "weeks"),
        ("", MissingFieldError, "result"),
    ],
)
def test_what_says_no_result_is_refused_and_nothing_is_stored(
    yard: Workspace, text: str, error: type[Exception], says: str
) -> None:
    with pytest.raises(error, match=says):
        log_entry(yard, "T01", Given(("result", text)))
    assert not [each for each in _again(yard).entries if each.kind == "result"]


def test_only_checks_since_a_graft_was_set_speak_of_it(yard: Workspace) -> None:
    def log(kind: str, text: str, day: str) -> None:
        log_entry(yard, "T01", Given((kind, text), at="first branch", date=day))

    log("work", "approach_graft", "2023-05-10")
    for day in ("2024-06-01", "2025-06-01"):
        log("graft", "5.0mm/6.5mm", day)  # the first graft took and was cut from its roots
    log("work", "sever_graft", "2025-06-20")
    log("work", "approach_graft", "2026-05-10")
    log("graft", "5.2mm/5.1mm", "2026-05-11")  # as it was set
    log("graft", "5.8mm/5.5mm", "2026-10-01")
    again = _again(yard)
    found = graft_now(again, again.facts_of("T01"), [Limb(120.0, 3.0, 5.6), Limb(180.0, 9.0, 12.0)])
    assert found is not None
    assert found[0].signs == (False,)
    assert (found[0].before_mm, found[0].after_mm) == ((5.8,), (5.5,))
    assert found[0].attached_years == pytest.approx(0.82, abs=0.02)


def test_a_first_check_months_after_setting_is_a_sign(yard: Workspace) -> None:
    log_entry(yard, "T01", Given(("work", "approach_graft"), at="first branch", date="2025-05-10"))
    log_entry(yard, "T01", Given(("graft", "5.8mm/6.5mm"), at="first branch", date="2026-10-01"))
    again = _again(yard)
    found = graft_now(again, again.facts_of("T01"), [Limb(120.0, 3.0, 5.6)])
    assert found is not None
    assert found[0].signs == (True,)


@pytest.mark.parametrize("work", ["approach_graft", "thread_graft"])
def test_a_graft_that_failed_is_no_longer_on_the_tree(yard: Workspace, work: str) -> None:
    limbs = [Limb(120.0, 3.0, 5.6)]
    log_entry(yard, "T01", Given(("work", work), date="2025-05-10"))
    log_entry(yard, "T01", Given(("graft", "5.8mm/6.5mm"), date="2026-10-01"))
    again = _again(yard)
    assert graft_now(again, again.facts_of("T01"), limbs) is not None
    log_entry(again, "T01", Given(("result", f"{work} failed"), date="2026-11-01"))
    again = _again(yard)
    assert graft_now(again, again.facts_of("T01"), limbs) is None
    log_entry(again, "T01", Given(("work", work), date="2026-12-01"))
    again = _again(yard)
    found = graft_now(again, again.facts_of("T01"), limbs)
    assert found is not None
    assert found[0].signs == ()
