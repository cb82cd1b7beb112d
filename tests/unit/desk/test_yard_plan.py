"""The yard in plan: nobody overlaps, moves are one step, places keep from and to, benches keep their spot."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from ringwise.desk import results
from ringwise.desk.build_demo import build_demo
from ringwise.desk.entries import undo_last
from ringwise.desk.figures import figure_key, figures
from ringwise.desk.moving import BenchWish, MoveWish, move_trees, place_bench
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_plan import BenchPlace, laid_out, yard_plan
from ringwise.faces.web.shapes.yard import Figures, Plan
from ringwise.kit.errors import InputError, RangeError
from ringwise.kit.tables import Table
from ringwise.records.facts import TreeFacts


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Workspace:
    return build_demo(tmp_path_factory.mktemp("plan") / "yard")


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    for name in ("Reed", "Sedge", "Rush"):
        add_tree(workspace, NewTree(name, "Acer palmatum", place="bench 1"))
    return fresh(workspace)


def fresh(workspace: Workspace) -> Workspace:
    return open_workspace(workspace.folder, on=workspace.today.isoformat())


def where(workspace: Workspace, tree: str) -> list[tuple[str, str, str | None]]:
    stays = [p for p in fresh(workspace).places if p.tree == tree]
    return sorted((p.place, p.since.typed, p.until.typed if p.until else None) for p in stays)


def test_places_that_are_laid_out_do_not_overlap_and_hold_their_trees(demo: Workspace) -> None:
    plan = yard_plan(demo)
    Plan.model_validate(plan)
    for a, b in combinations(plan["benches"], 2):
        apart_x = a["x_mm"] + a["length_mm"] <= b["x_mm"] or b["x_mm"] + b["length_mm"] <= a["x_mm"]
        apart_y = a["y_mm"] + a["depth_mm"] <= b["y_mm"] or b["y_mm"] + b["depth_mm"] <= a["y_mm"]
        assert apart_x or apart_y, (a["name"], b["name"])
    for bench in plan["benches"]:
        spots = bench["spots"]
        assert all(0 <= s["x_mm"] <= bench["length_mm"] for s in spots)
        for left, right in pairwise(spots):
            assert right["x_mm"] - left["x_mm"] >= (left["width_mm"] + right["width_mm"]) / 2
    assert sum(len(b["spots"]) for b in plan["benches"]) == len(demo.trees)


def test_figures_come_by_their_names_until_none_is_left(demo: Workspace) -> None:
    names = [figure_key(demo, facts) for facts in demo.facts.values()]
    got = {}
    asked = names
    while asked:
        answer = figures(demo, asked)
        Figures.model_validate(answer)
        got |= {figure["key"]: figure for figure in answer["figures"]}
        assert len(answer["more"]) < len(asked)
        asked = answer["more"]
    assert set(got) == set(names)
    for facts in demo.facts.values():
        figure = got[figure_key(demo, facts)]
        height_mm = facts.height_mm
        if figure["basis"] == "plain" and height_mm is not None:
            assert figure["top_mm"] == pytest.approx(height_mm, abs=1)
    assert figures(demo, ["T01~000000000000", "no such"]) == {"figures": [], "more": []}


def test_other_forms_or_another_engine_give_every_figure_another_name(
    demo: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = {figure_key(demo, facts) for facts in demo.facts.values()}
    load = results.load_table

    def other_forms(package: str, name: str) -> Table:
        table = load(package, name)
        return Table(name, tuple(table), "other" if name == "forms" else table.fingerprint)

    with monkeypatch.context() as changed:
        changed.setattr(results, "load_table", other_forms)
        assert not before & {figure_key(demo, facts) for facts in demo.facts.values()}
    with monkeypatch.context() as changed:
        changed.setattr(results, "engine_version", lambda: "another")
        assert not before & {figure_key(demo, facts) for facts in demo.facts.values()}
    assert before == {figure_key(demo, facts) for facts in demo.facts.values()}


def test_a_tree_that_is_carried_ends_one_stay_and_begins_another(yard: Workspace) -> None:
    move_trees(yard, MoveWish(("Reed", "T02"), "frost-free shed"))
    assert where(yard, "T01") == [
        ("frost-free shed", "2027-03-07", None)
    ]  # the stay of the same day was none
    later = open_workspace(yard.folder, on="2027-04-01")
    move_trees(later, MoveWish(("T01",), "bench 1"))
    assert where(later, "T01") == [
        ("bench 1", "2027-04-01", None),
        ("frost-free shed", "2027-03-07", "2027-04-01"),
    ]
    kinds = {p.place: p.kind for p in fresh(later).places}
    assert kinds == {"bench 1": "bench", "frost-free shed": "shed"}


def test_a_whole_bench_is_one_step_to_take_back(yard: Workspace) -> None:
    before = {tree: where(yard, tree) for tree in ("T01", "T02", "T03")}
    later = open_workspace(yard.folder, on="2027-04-01")
    answer = move_trees(later, MoveWish(("T01", "T02", "T03"), "shade house"))
    assert {where(later, t)[-1][0] for t in before} == {"shade house"}
    assert answer["id"] == "shade house"
    undo_last(later)
    assert {tree: where(later, tree) for tree in before} == before


def test_another_spot_on_the_same_bench_is_no_new_stay(yard: Workspace) -> None:
    move_trees(yard, MoveWish(("T01",), "bench 1", {"T01": [900.0, 300.0]}))
    now = fresh(yard)
    assert where(now, "T01") == [("bench 1", "2027-03-07", None)]
    (bench,) = yard_plan(now)["benches"]
    spot = next(s for s in bench["spots"] if s["tree"] == "T01")
    assert (spot["x_mm"], spot["y_mm"], spot["given"]) == (900.0, 300.0, True)
    with pytest.raises(InputError, match="nothing changes"):
        move_trees(now, MoveWish(("T01",), "bench 1", {"T01": [900.0, 300.0]}))


def test_a_bench_stays_where_it_was_put(yard: Workspace) -> None:
    place_bench(yard, BenchWish("bench 1", "bench", 500.0, 4000.0, 3000.0, 600.0))
    (bench,) = yard_plan(fresh(yard))["benches"]
    assert (bench["x_mm"], bench["y_mm"], bench["length_mm"], bench["given"]) == (500.0, 4000.0, 3000.0, True)
    undo_last(yard)
    assert not yard_plan(fresh(yard))["benches"][0]["given"]


@pytest.mark.parametrize(
    ("wish", "wrong"),
    [
        (MoveWish(("T01",), " "), InputError),
        (MoveWish(("T01",), "shed", {"T01": [1.0]}), InputError),
        (MoveWish(("T01",), "shed", {"T01": [float("nan"), 1.0]}), RangeError),
        (MoveWish(("T01",), "shed", date="2027-03-08"), RangeError),
    ],
)
def test_a_bad_move_stores_nothing(yard: Workspace, wish: MoveWish, wrong: type[Exception]) -> None:
    steps = len(yard.store.actions())
    with pytest.raises(wrong):
        move_trees(yard, wish)
    assert len(yard.store.actions()) == steps


def test_trees_without_a_spot_make_room_for_one_that_was_set_down(tmp_path: Path) -> None:
    workspace = open_workspace(tmp_path / "yard", on="2027-03-07")
    for number in range(4):
        add_tree(workspace, NewTree(f"Reed {number}", "Acer palmatum", place="bench 1", height="40 cm"))
    place_bench(fresh(workspace), BenchWish("bench 1", "bench", 0.0, 0.0, 4000.0, 600.0))
    move_trees(fresh(workspace), MoveWish(("T03",), "bench 1", {"T03": [700.0, 300.0]}))
    (bench,) = yard_plan(fresh(workspace))["benches"]
    spots = sorted(bench["spots"], key=lambda s: s["x_mm"])
    assert {s["tree"]: s["x_mm"] for s in spots}["T03"] == 700.0
    for left, right in pairwise(spots):
        assert right["x_mm"] - left["x_mm"] >= (left["width_mm"] + right["width_mm"]) / 2
    assert spots[-1]["x_mm"] + spots[-1]["width_mm"] / 2 <= bench["length_mm"]


def test_a_bench_that_is_put_elsewhere_leaves_the_others_where_they_were(demo: Workspace) -> None:
    before = {b["name"]: (b["x_mm"], b["y_mm"]) for b in yard_plan(demo)["benches"]}
    standing: dict[str, tuple[str, list[TreeFacts]]] = {}
    for facts in demo.facts.values():
        assert facts.place is not None
        standing.setdefault(facts.place.place, (facts.place.kind, []))[1].append(facts)
    aside = BenchPlace("bench", 9000.0, 0.0, 2000.0, 700.0, True)
    moved = laid_out({"bench 1": aside}, standing)
    assert moved["bench 1"] == aside
    assert {n: (p.x_mm, p.y_mm) for n, p in moved.items() if n != "bench 1"} == {
        n: at for n, at in before.items() if n != "bench 1"
    }
    onto = replace(aside, x_mm=before["bench 2"][0], y_mm=before["bench 2"][1])
    pushed = laid_out({"bench 1": onto}, standing)
    assert pushed["bench 1"] == onto
    for a, b in combinations(pushed.values(), 2):
        apart_x = a.x_mm + a.length_mm <= b.x_mm or b.x_mm + b.length_mm <= a.x_mm
        apart_y = a.y_mm + a.depth_mm <= b.y_mm or b.y_mm + b.depth_mm <= a.y_mm
        assert apart_x or apart_y


def test_a_tree_without_a_place_does_not_shift_the_benches(yard: Workspace) -> None:
    (before,) = yard_plan(yard)["benches"]
    add_tree(yard, NewTree("Sprat", "Acer palmatum"))
    after, nowhere = yard_plan(fresh(yard))["benches"]
    assert (after["name"], after["x_mm"], after["y_mm"]) == (before["name"], before["x_mm"], before["y_mm"])
    assert [s["name"] for s in nowhere["spots"]] == ["Sprat"]
