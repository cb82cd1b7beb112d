"""Single days of the balance by hand: dry granules, cut roots, dressing, roofs, cans and marked days."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.rootzone.balance import (
    DailyForcing,
    PotDemand,
    PotStart,
    RootWork,
    Watering,
    pot_water,
    run,
)
from ringwise.rootzone.evaporation import cover
from ringwise.rootzone.pot_water import PotWater
from ringwise.rootzone.rain_share import place_factors, through_mm


def _pot() -> PotWater:
    # 10 L of 100 mm depth on 0.1 m2: a millimetre is 100 cm3; holds 5000, to check at 3000, stops at 2000.
    return pot_water(10_000.0, 0.1, 100.0, capacity_v=0.5, refill_v=0.3, wilting_v=0.2)


def _still(days: int, et0: float = 0.0) -> DailyForcing:
    return DailyForcing(np.full((1, days), et0), np.zeros((1, days)))


def test_dry_granules_take_a_part_of_their_water_and_the_rest_the_next_time() -> None:
    # By hand: 0.8 of the 3000 cm3 within grains is reached, so that 5000 - 600 stay; then all 5000.
    told = run(PotDemand(_pot()), _still(2), Watering("daily"), PotStart(water_cm3=1900.0))
    assert told.water_cm3[0, 0].tolist() == pytest.approx([4400.0, 5000.0])
    assert told.watered_cm3[0, 0].tolist() == pytest.approx([2500.0, 600.0])


def test_a_flood_on_dry_granules_runs_through() -> None:
    rain = DailyForcing(np.zeros((1, 1)), np.array([[40.0]]))  # 4000 cm3
    told = run(PotDemand(_pot()), rain, start=PotStart(water_cm3=1900.0))
    assert told.drained_cm3[0, 0, 0] == pytest.approx(1900.0 + 4000.0 - 4400.0)


def test_cut_roots_bring_up_their_share_of_a_normal_day() -> None:
    # By hand: 0.4 of 200 cm3 on the day of the work, 0.7 after 35 days; before it leaves take what they want.
    pot = PotDemand(_pot(), leaf_m2=0.3, roots=RootWork(0.4, 200.0, cut_days=100.0))
    taken = [
        run(pot, DailyForcing(np.full((1, 1), 5.0), np.zeros((1, 1)), day)).transpired_cm3[0, 0, 0]
        for day in (99.0, 100.0, 135.0)
    ]
    assert taken == pytest.approx([5 * 0.3 / 2.88 * 1000, 80.0, 140.0])


def test_roots_grow_only_from_when_they_are_active() -> None:
    roots = RootWork(0.4, 200.0, cut_days=100.0, growing_days=130.0)
    pot = PotDemand(_pot(), leaf_m2=0.3, roots=roots)
    at = [run(pot, DailyForcing(np.full((1, 1), 5.0), np.zeros((1, 1)), day)) for day in (129.0, 165.0)]
    assert [each.transpired_cm3[0, 0, 0] for each in at] == pytest.approx([80.0, 140.0])


def test_a_tree_whose_roots_were_left_alone_is_not_held_back() -> None:
    pot = PotDemand(_pot(), leaf_m2=0.3, roots=RootWork(1.0, 1.0, cut_days=0.0))
    assert run(pot, _still(1, 5.0)).transpired_cm3[0, 0, 0] == pytest.approx(5 * 0.3 / 2.88 * 1000)


def test_a_dressing_gives_its_water_first() -> None:
    # By hand: 5 mm of moss hold 2.5 mm, 250 cm3; a bare wet surface loses 1.2 x 2 = 2.4 mm a day.
    told = run(PotDemand(_pot(), top=cover("moss")), _still(2, 2.0))
    assert told.dressing_cm3[0, 0].tolist() == pytest.approx([10.0, 0.0])
    assert told.water_cm3[0, 0, 0] == pytest.approx(5000.0)
    assert told.water_cm3[0, 0, 1] == pytest.approx(5000.0 - (2.4 * 100 - 10.0))


def test_a_dry_top_of_granules_is_a_mulch() -> None:
    left = [
        run(PotDemand(_pot(), top=cover(key)), _still(12, 4.0)).water_cm3[0, 0, -1]
        for key in ("fine", "granule")
    ]
    assert left[1] > left[0]


def test_a_can_gives_what_it_holds_and_what_is_too_much_runs_out() -> None:
    told = run(PotDemand(_pot()), _still(2), Watering("daily", amount_mm=4.0), PotStart(water_cm3=4700.0))
    assert told.watered_cm3[0, 0].tolist() == pytest.approx([400.0, 400.0])
    assert told.drained_cm3[0, 0].tolist() == pytest.approx([100.0, 400.0])


def test_water_is_given_when_due_and_not_before() -> None:
    # By hand: due at half of the 2000 cm3 between drained and time to check, so at 4000 in the morning.
    for start, given in ((4000.1, 0.0), (4000.0, 1000.0)):
        told = run(PotDemand(_pot()), _still(1), Watering("due", 0.5), PotStart(water_cm3=start))
        assert told.watered_cm3[0, 0, 0] == pytest.approx(given)


def test_marked_days_are_watered_and_no_others() -> None:
    marked = np.array([False, True, False])
    told = run(PotDemand(_pot(), 0.2), _still(3, 3.0), Watering("marked", marked=marked))
    assert (told.watered_cm3[0, 0] > 0).tolist() == marked.tolist()


def test_rain_under_roofs_and_crowns() -> None:
    # By hand: a crown over half of the pot, three layers of leaf keep 0.6 mm there, 0.3 mm in the mean.
    assert float(through_mm(5.0, 0.15, 0.05, 0.1)) == pytest.approx(4.7)
    assert place_factors("tunnel").rain_frac == place_factors("shed").rain_frac == 0.0
    assert place_factors("bench").rain_frac == 1.0
    assert place_factors("bench").exposure_factor > place_factors("shade").exposure_factor
    with pytest.raises(UnknownNameError):
        place_factors("roof")


def test_draws_and_weathers_cross() -> None:
    pots = pot_water(
        10_000.0,
        0.1,
        100.0,
        capacity_v=np.array([0.5, 0.6]),
        refill_v=np.array([0.3, 0.4]),
        wilting_v=0.2,
    )
    forcing = DailyForcing(np.array([[1.0, 1.0], [5.0, 5.0], [0.0, 0.0]]), np.zeros((3, 2)))
    told = run(PotDemand(pots, leaf_m2=np.array([0.1, 0.2])), forcing)
    assert told.water_cm3.shape == (2, 3, 2)
    assert told.theta_v[:, 2, 1].tolist() == pytest.approx([0.5, 0.6])
    assert (told.water_cm3[:, 1] < told.water_cm3[:, 0]).all()
