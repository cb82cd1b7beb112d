"""The dial's wish: fractions of the growing year, both hemispheres, almost no data, which measures count."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import pytest

from ringwise.desk.dial import DialNews, GirthAhead, dial, time_years
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.settings import write_settings
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.faces.web.shapes.dial import Dial
from ringwise.kit.ranged import DateBand

WINDOW = {
    "tree": "T01",
    "operation": "repot",
    "operation_words": "Repot",
    "state": "ahead",
    "sentence": "opens around 20 Mar",
    "wanted": True,
    "open_prob": 0.7,
    "opens_low": "2027-03-10",
    "opens_median": "2027-03-20",
    "opens_high": "2027-03-30",
    "closes_low": "2027-04-10",
    "closes_median": "2027-04-15",
    "closes_high": "2027-04-20",
}


def yard(folder: Path, latitude_deg: float, on: str) -> Workspace:
    write_settings(folder, {"latitude_deg": latitude_deg})
    return open_workspace(folder, on=on)


def again(workspace: Workspace) -> Workspace:
    return open_workspace(workspace.folder, on=workspace.today.isoformat())


@pytest.mark.parametrize(
    ("latitude_deg", "on", "seen"), [(52.0, "2027-03-07", "2027-03-01"), (-34.0, "2027-09-05", "2027-08-30")]
)
def test_both_hemispheres_draw_the_same_dial(tmp_path: Path, latitude_deg: float, on: str, seen: str) -> None:
    workspace = yard(tmp_path / "yard", latitude_deg, on)
    add_tree(workspace, NewTree("Reed", "Acer palmatum", started="2020"))
    log_entry(workspace, "T01", Given(("stage", "01"), date=seen))
    drawn = dial(again(workspace), "T01", DialNews())
    Dial.model_validate(drawn)
    (mark,) = drawn["marks"]
    assert mark["kind"] == "seen"
    assert mark["year"] == 2027
    assert mark["frac"] == pytest.approx(0.33, abs=0.01)  # 120 or 121 days of 365
    assert drawn["today_frac"] == pytest.approx(0.345, abs=0.01)
    assert [s["code"] for s in drawn["stages"]] == ["01"]


def test_a_tree_of_which_nothing_is_known_has_a_dial(tmp_path: Path) -> None:
    workspace = yard(tmp_path / "yard", 52.0, "2027-03-07")
    add_tree(workspace, NewTree("Reed", "Acer palmatum"))
    drawn = dial(again(workspace), "T01", DialNews())
    Dial.model_validate(drawn)
    assert drawn["line"] == []
    assert [year["label"] for year in drawn["years"]] == [2027]
    assert drawn["notes"]


def test_a_trunk_counts_as_its_girth_and_another_height_does_not_mix_in(tmp_path: Path) -> None:
    workspace = yard(tmp_path / "yard", 52.0, "2027-03-07")
    add_tree(workspace, NewTree("Reed", "Acer palmatum", started="2015"))
    for day, words, at in (
        ("2024-11-05", ("trunk", "40 mm"), "3 cm"),
        ("2026-11-05", ("girth", "15 cm"), "3 cm"),
        ("2026-11-06", ("girth", "9 cm"), "40 cm"),
    ):
        log_entry(workspace, "T01", Given(words, date=day, at=at))
    drawn = dial(again(workspace), "T01", DialNews())
    girths = dict(map(tuple, drawn["line"]))
    first = round(time_years(date(2024, 11, 5), south=False), 4)
    assert girths[first] == pytest.approx(math.pi * 40, abs=0.01)
    assert max(girths.values()) == pytest.approx(150, rel=0.02)
    assert not any("smaller" in note for note in drawn["notes"])


def test_windows_and_years_ahead_are_told_in_the_years_own_time(tmp_path: Path) -> None:
    workspace = yard(tmp_path / "yard", 52.0, "2027-03-07")
    add_tree(workspace, NewTree("Reed", "Acer palmatum", started="2015"))
    log_entry(workspace, "T01", Given(("girth", "15 cm"), date="2026-11-05"))
    news = DialNews(
        stages={"11": DateBand(date(2027, 4, 1), date(2027, 4, 10), date(2027, 4, 20))},
        windows=[WINDOW],
        ahead=[GirthAhead(2027, 152.0, 155.0, 160.0, 1.0), GirthAhead(2028, 154.0, 160.0, 170.0, 0.9)],
        ahead_state="ready",
    )
    drawn = dial(again(workspace), "T01", news)
    Dial.model_validate(drawn)
    (window,) = drawn["windows"]
    ends = [window[k] for k in ("opens_low", "opens", "opens_high", "closes_low", "closes", "closes_high")]
    assert ends == sorted(ends)
    assert window["chance"] == {"value": 0.7, "shown": "7 in 10", "why": "T01:repot:chance"}
    assert window["opens"] == pytest.approx((date(2027, 3, 20) - date(2026, 11, 1)).days / 365, abs=1e-3)
    assert [each["label"] for each in drawn["ahead"]] == [2027, 2028]
    assert drawn["ahead"][1]["told"]["shown"] == "15.4 cm to 17 cm"
