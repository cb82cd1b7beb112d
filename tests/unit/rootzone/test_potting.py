from __future__ import annotations

import pytest

from ringwise.kit.errors import RangeError, UnknownNameError
from ringwise.kit.trace import Trace
from ringwise.records.model import Hole
from ringwise.rootzone.anchoring import AnchorNeed, anchoring, assumed_holes, tie_pairs
from ringwise.rootzone.dome import RootBase, dome_for
from ringwise.rootzone.lifting import lift_mass
from ringwise.rootzone.litres import MixOrder
from ringwise.rootzone.mix import own_recipe, recipe
from ringwise.rootzone.pot import Fill, PotLengths, PotShape, pot_shape
from ringwise.rootzone.potting import PotJob, potting, size_class
from ringwise.rootzone.surface import surface_of, surface_words

TRAY = pot_shape("oval", PotLengths(500, 370, 80))
FILLED = TRAY.filled(Fill(5, 5, 0.92))


def _job(pot: PotShape = TRAY, code: str = "D", **more: object) -> PotJob:
    return PotJob(pot, MixOrder(recipe(code)), **more)  # type: ignore[arg-type]


def test_parts_add_up_and_scoops_hold_them() -> None:
    ready = potting(_job())
    assert sum(ready.parts_cm3.values()) == pytest.approx(ready.gross_cm3)
    for component, volume in ready.parts_cm3.items():
        held = ready.litres.scoops[component] * ready.litres.scoop_cm3
        assert volume <= held < volume + ready.litres.scoop_cm3


def test_kept_ball_and_half_ball() -> None:
    whole = potting(PotJob(TRAY, MixOrder(recipe("D"), kept_frac=0.0)))
    assert whole.refill_cm3 == pytest.approx(whole.volume_cm3)
    half = potting(PotJob(TRAY, MixOrder(recipe("D"), kept_frac=0.4, worked_frac=0.5)))
    assert half.refill_cm3 == pytest.approx(whole.volume_cm3 * 0.3)
    with pytest.raises(RangeError, match="kept ball fills is 1"):
        potting(PotJob(TRAY, MixOrder(recipe("D"), kept_frac=1.2)))
    with pytest.raises(RangeError, match="worked on is 2"):
        potting(PotJob(TRAY, MixOrder(recipe("D"), worked_frac=2.0)))


def test_given_fill_replaces_the_practice() -> None:
    assert potting(_job(fill=Fill())).volume_cm3 == pytest.approx(TRAY.volume_cm3)
    assert potting(_job()).volume_cm3 < TRAY.volume_cm3


def test_assumed_holes_say_so_and_measured_ones_are_used() -> None:
    assumed = potting(_job())
    assert assumed.holes_assumed
    assert assumed.why("mesh").inputs[0].basis == "assumed"
    measured = potting(_job(holes=(Hole(30, -100, 0), Hole(24, 100, 0))))
    assert not measured.holes_assumed
    assert measured.mesh_mm == (70.0, 64.0)
    assert measured.why("mesh").inputs[0].basis == "measured"


def test_every_figure_has_a_chain_to_a_source() -> None:
    ready = potting(_job(base=RootBase(trunk_mm=118), tree_height_mm=580))
    assert {"volume", "refill", "gross", "dome", "top_dressing", "mesh", "wire", "mass"} <= set(ready.traces)
    for figure, trace in ready.traces.items():
        ends = [link for _depth, link in trace.walk() if not link.inputs]
        assert ends, figure
        assert all(link.source or link.basis or link.formula for link in ends), figure
    assert any(link.value == "0.92 frac" for _depth, link in ready.why("volume").walk())
    with pytest.raises(UnknownNameError, match="volume"):
        ready.why("volum")


def test_shown_values_are_those_of_the_figures() -> None:
    ready = potting(_job())
    assert ready.why("gross").value == "6.2 L"
    assert ready.why("top_dressing").value == "0.7 L"
    assert isinstance(ready.trace, Trace)


def test_own_recipe_takes_the_share_for_other_mixes() -> None:
    ready = potting(PotJob(TRAY, MixOrder(own_recipe("mine", {"pumice": 1, "bark": 1}))))
    assert ready.litres.refill_frac == 0.55
    assert ready.why("part pine_bark").inputs[1].value == "1 pumice : 1 pine bark"


@pytest.mark.parametrize(
    ("volume_cm3", "size"),
    [(499, "XS"), (500, "S"), (1999, "S"), (2000, "M"), (7999, "M"), (8000, "L"), (25000, "XL")],
)
def test_size_classes(volume_cm3: float, size: str) -> None:
    assert size_class(volume_cm3) == size


@pytest.mark.parametrize(
    ("size", "ties", "gauge", "bar"),
    [
        ("XS", 2, "1 mm", False),
        ("S", 2, "1.5 mm", False),
        ("M", 2, "2 mm", False),
        ("L", 4, "2.5 to 3 mm", False),
        ("XL", 4, "3.5 to 4 mm", True),
    ],
)
def test_ties_and_gauge_by_size(size: str, ties: int, gauge: str, bar: bool) -> None:
    plan = anchoring(AnchorNeed(FILLED, assumed_holes(FILLED, size), size))
    assert (len(plan.ties), plan.gauge, plan.bar) == (ties, gauge, bar)
    assert any("copper" in note for note in plan.notes) == (size == "XL")


def test_a_tall_or_windy_tree_gets_four_ties_and_a_bar() -> None:
    holes = assumed_holes(FILLED, "M")
    steady = anchoring(AnchorNeed(FILLED, holes, "M", tree_height_mm=2.2 * 370))
    tall = anchoring(AnchorNeed(FILLED, holes, "M", tree_height_mm=2.2 * 370 + 1))
    windy = anchoring(AnchorNeed(FILLED, holes, "M", exposed=True))
    assert (len(steady.ties), steady.bar) == (2, False)
    assert (len(tall.ties), tall.bar) == (4, True)
    assert (len(windy.ties), windy.bar) == (4, True)


def test_tie_routes_by_number_of_holes() -> None:
    square = tuple(Hole(20, x, y) for x, y in ((-90, -60), (90, -60), (90, 60), (-90, 60)))
    assert {frozenset(pair) for pair in tie_pairs(square, 2)} == {frozenset((0, 2)), frozenset((1, 3))}
    ring = tie_pairs(square, 4)
    assert sorted(hole for pair in ring for hole in pair) == [0, 0, 1, 1, 2, 2, 3, 3]
    assert tie_pairs(square[:1], 2) == ((0, 0), (0, 0))
    assert tie_pairs((), 2) == ()


def test_cut_lengths_are_whole_centimetres_and_never_short() -> None:
    plan = anchoring(AnchorNeed(FILLED, (Hole(20, -91, 3), Hole(20, 88, -4)), "M"))
    for tie in plan.ties:
        needed = tie.spacing_mm + 2 * (70 + plan.reach_mm + 150)
        assert tie.length_mm % 10 == 0
        assert needed - 0.01 <= tie.length_mm < needed + 10


def test_pot_without_known_hole_says_so() -> None:
    assert any("One hole" in note for note in anchoring(AnchorNeed(FILLED, (Hole(20, 0, 0),), "S")).notes)


def test_hollow_is_left_out_where_the_pad_is_thin_or_nothing_is_known() -> None:
    assert not dome_for(RootBase(trunk_mm=30), fill_height_mm=40).is_due  # pad 24 mm
    assert "under 30 mm" in dome_for(RootBase(trunk_mm=30, pad_mm=24), 80).note
    assert "never measured" in dome_for(RootBase(), 80).note
    assert potting(_job(base=RootBase(trunk_mm=118), domed=False)).dome.note == "no dome asked for"


def test_assumed_hollow_follows_the_trunk_and_says_so() -> None:
    dome = dome_for(RootBase(trunk_mm=100, pad_mm=40), 70)
    # flare 1.5 x 100 = 150, radius 0.7 x 75 = 52.5, depth 0.3 x 40 = 12
    assert (dome.radius_mm, dome.depth_mm) == pytest.approx((52.5, 12.0))
    assert dome.assumed
    assert dome_for(RootBase(trunk_mm=100, flare_mm=200, pad_mm=40), 70).radius_mm == pytest.approx(70)
    with pytest.raises(RangeError, match="hollow depth"):
        dome_for(RootBase(hollow_radius_mm=60, hollow_depth_mm=900), 70)


def test_surface_with_and_without_dressing() -> None:
    dressed, bare = surface_of(TRAY), surface_of(TRAY, dressed=False)
    assert (dressed.finished_low_mm, dressed.finished_high_mm) == (0, 3)
    assert surface_words(dressed).endswith("dressed surface 0 to 3 mm below it")
    assert (bare.dressing_cm3, bare.finished_low_mm, bare.finished_high_mm) == (0, 5, 8)


def test_who_lifts_by_the_limit_for_one_person() -> None:
    # hands 20 + 37 / 2 = 38.5 cm out: 23 x 25 / 38.5 x 0.985 x 0.895 x 0.95 = 12.51 kg
    assert lift_mass(FILLED, weighed_g=900).limit_g == pytest.approx(12_508, abs=5)
    assert lift_mass(FILLED, weighed_g=12_400).people == 1
    assert lift_mass(FILLED, weighed_g=12_400).words == "12 kg, weighed"
    assert lift_mass(FILLED, weighed_g=12_600).people == 2
    assert lift_mass(FILLED, weighed_g=12_600).who == "one person's limit 13 kg"
    # two together manage two thirds of the sum, 16.7 kg
    assert not lift_mass(FILLED, weighed_g=16_600).trolley
    assert lift_mass(FILLED, weighed_g=16_800).who.endswith("two with a trolley")
    assert "reckoned" in lift_mass(FILLED).words


def test_a_plastic_pot_is_lighter_and_the_band_holds_the_middle() -> None:
    clay, plastic = lift_mass(FILLED), lift_mass(FILLED, material="black plastic basket")
    assert plastic.mass_g < clay.mass_g
    assert clay.low_g < clay.mass_g < clay.high_g
    assert lift_mass(FILLED, material="moon dust").mass_g == clay.mass_g
