"""The tie plan of one pot: worst wind, who counts as windward, the ladder, and what a sheet says of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ringwise.kit.errors import InputError, MissingFieldError, RangeError, UnknownNameError
from ringwise.kit.trace import Trace
from ringwise.records.model import Hole
from ringwise.rootzone.ball import KeptBall
from ringwise.rootzone.cut import RootBall
from ringwise.rootzone.litres import MixOrder
from ringwise.rootzone.mix import own_recipe, recipe
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.potting import PotJob, Potting, potting
from ringwise.rootzone.tie_down import TieCase, tie_down
from ringwise.rootzone.tie_plan import TreeLoad, windward_arms
from ringwise.rootzone.wind import bench_wind, profile_ratio
from ringwise.rootzone.wire import wire_of
from ringwise.season.worksheet_ties import tie_notes, wire_words

TRAY = pot_shape("oval", PotLengths(500, 370, 80))
HOLES = (Hole(25, -90, 0), Hole(25, 90, 0))
LOAD = TreeLoad(0.12, 0.09, 0.2, 350.0, 15.0, False, "an outline", Trace("outline", ""))


def _ready(load: TreeLoad | None = LOAD, **more: object) -> Potting:
    return potting(PotJob(TRAY, MixOrder(recipe("D")), holes=HOLES, load=load, **more))  # type: ignore[arg-type]


def test_only_legs_on_the_windward_half_have_an_arm() -> None:
    ball = RootBall(300.0, 200.0, 50.0)
    corners = [(-80.0, -50.0), (80.0, -50.0), (80.0, 50.0), (-80.0, 50.0)]
    # wind to the right: the two legs on the left hold, 150 + 80 mm from the lee edge
    width, arms = windward_arms(corners, ball, 0.0)
    assert (width, arms) == (300.0, (230.0, 230.0))


def test_no_load_no_pull_and_the_trade_s_gauge() -> None:
    ready = _ready(None)
    assert ready.tied is None
    assert wire_words(ready) == "aluminium 2.5 to 3 mm"
    assert len(tie_notes(ready)) == 1


def test_a_windier_place_takes_thicker_wire_and_then_the_ladder() -> None:
    gusts = (5.0, 15.0, 25.0, 55.0)
    plans = [_ready(replace(LOAD, gust_m_s=gust)).tied for gust in gusts]
    pulls = [plan.held.tension_n for plan in plans if plan is not None]
    assert pulls == sorted(pulls)
    assert pulls[0] == 0
    assert plans[0] is not None
    assert plans[0].wire is not None
    assert plans[0].wire.diameter_mm == 2.5  # the trade's gauge for the size of pot is the least
    assert plans[-1] is not None
    assert plans[-1].on_ladder
    notes = " ".join(tie_notes(_ready(replace(LOAD, gust_m_s=55.0))))
    order = [notes.index(word) for word in ("more legs", "a bar under", "wind shelter", "copper")]
    assert order == sorted(order)
    assert "carried over from larger trees" in notes


def test_the_upper_end_of_the_outline_is_told() -> None:
    ready = _ready(replace(LOAD, high_m2=0.5))
    assert ready.tied is not None
    assert not ready.tied.holds_high
    assert any("upper end of the outline" in note for note in tie_notes(ready))


def test_a_pot_that_tips_before_the_gust_is_lashed() -> None:
    narrow = pot_shape("rect", PotLengths(120, 90, 60))
    ready = potting(PotJob(narrow, MixOrder(recipe("D")), load=replace(LOAD, area_m2=0.2, grip_mm=500.0)))
    assert any("lash it to the bench" in note for note in tie_notes(ready))


def test_a_pot_without_ties_has_no_plan() -> None:
    one = potting(PotJob(TRAY, MixOrder(recipe("D")), load=LOAD))
    assert one.tied is not None
    assert "pull" in one.traces


def test_a_measured_ball_comes_before_shares() -> None:
    sizes = RootBall(300.0, 200.0, 40.0)
    ready = _ready(ball=KeptBall(sizes, None))
    # pi / 4 x 30 x 20 x 4 cm3
    assert ready.volume_cm3 * (1 - ready.litres.refill_frac) == pytest.approx(1885, abs=0.5)
    displaced = _ready(ball=KeptBall(sizes, 1500.0))
    assert displaced.volume_cm3 * (1 - displaced.litres.refill_frac) == pytest.approx(1500)
    assert displaced.ball == sizes


def test_what_a_part_fills_of_the_gaps_is_made_up_for() -> None:
    fine = own_recipe("mine", {"pumice": 1, "coarse_sand": 1})
    filled = potting(PotJob(TRAY, MixOrder(fine)))
    plain = potting(PotJob(TRAY, MixOrder(own_recipe("mine", {"pumice": 1, "lava": 1}))))
    assert filled.gross_cm3 > 1.03 * plain.gross_cm3
    assert any("kept on mixing" in link.label for _depth, link in filled.why("gross").walk())


@pytest.mark.parametrize(
    ("wrong", "line"),
    [
        (lambda: bench_wind(10.0, ground="sea"), UnknownNameError),
        (lambda: bench_wind(100.0), RangeError),
        (lambda: profile_ratio(0.2, 10.0, 0.3), InputError),
        (lambda: tie_down(TieCase(0.1, 15.0, 300.0, 3000.0, 160.0, ())), MissingFieldError),
        (lambda: tie_down(TieCase(0.1, 15.0, 300.0, 0.0, 160.0, (160.0,))), RangeError),
        (lambda: tie_down(TieCase(0.1, 15.0, 300.0, 3000.0, 160.0, (160.0,), safety_factor=0.5)), RangeError),
        (lambda: wire_of("steel", 2.0, 10.0), UnknownNameError),
    ],
)
def test_what_does_not_fit_is_refused(wrong: object, line: type[Exception]) -> None:
    with pytest.raises(line):
        wrong()  # type: ignore[operator]
