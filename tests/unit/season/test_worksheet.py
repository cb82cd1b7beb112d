from __future__ import annotations

from datetime import date

import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import UnknownNameError
from ringwise.kit.ranged import DateBand
from ringwise.kit.trace import Trace
from ringwise.operations.registry import OPERATIONS
from ringwise.records.dates import FuzzyDate, exact_day, parse_fuzzy_date
from ringwise.records.facts import TreeFacts, tree_facts
from ringwise.records.model import Entry, Hole, JsonValue, Tree
from ringwise.rootzone.dome import RootBase
from ringwise.rootzone.litres import MixOrder
from ringwise.rootzone.mix import recipe
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.potting import PotJob, Potting, potting
from ringwise.season.window import Window
from ringwise.season.worksheet import SheetPlan, materials_of, worksheet
from ringwise.season.worksheet_content import Worksheet
from ringwise.season.worksheet_words import phases, why_now

TODAY = date(2027, 3, 7)
REPOT = OPERATIONS["repot"]


def _entry(kind: str, on: FuzzyDate, data: dict[str, JsonValue], note: str = "") -> Entry:
    return Entry("E1", "T1", kind, on, data, note)


def _facts(species: str = "Acer palmatum", *entries: Entry, **tree: object) -> TreeFacts:
    known = Tree("T1", "Old Ferry", species, **tree)  # type: ignore[arg-type]
    return tree_facts(known, entries=entries, pots=[], places=[], on=TODAY)


def _potting(shape: str = "oval", size: tuple[float, ...] = (500, 370, 80), code: str = "D") -> Potting:
    pot = pot_shape(shape, PotLengths(depth_mm=size[-1], top_mm=size[:-1]))
    return potting(PotJob(pot, MixOrder(recipe(code)), base=RootBase(trunk_mm=118), tree_height_mm=580))


def _window(state: str = "open", blocked: tuple[str, ...] = ()) -> Window:
    opens = DateBand(date(2027, 3, 10), date(2027, 3, 14), date(2027, 3, 18))
    closes = DateBand(date(2027, 3, 29), date(2027, 4, 2), date(2027, 4, 6))
    return Window(
        "T1",
        "repot",
        opens,
        closes,
        None,
        0.2,
        state,
        "buds begin to swell",
        "green shows",
        "",
        blocked,
        GrowingYear(2027),
        None,
        None,
        Trace("window", "14 Mar"),
    )


def _sheet(facts: TreeFacts, roots: float | None = 0.4, ready: Potting | None = None) -> Worksheet:
    return worksheet(facts, REPOT, _window(), ready or _potting(), SheetPlan(TODAY, "P-21", roots))


def test_every_printed_figure_has_a_chain_to_a_source_or_a_basis() -> None:
    sheet = _sheet(_facts())
    assert {figure.key for figure in sheet.figures} >= {"gross", "volume", "dome", "top_dressing", "minutes"}
    for trace in [figure.trace for figure in sheet.figures] + [cut.trace for cut in sheet.ready.cuts]:
        ends = [link for _depth, link in trace.walk() if not link.inputs]
        assert all(end.source or end.basis or end.formula for end in ends), trace.label
    assert sheet.why("window").value == "14 Mar"
    assert sheet.why("tie wire").source == "practice"
    assert sheet.why("mass").value in sheet.lifting
    assert sheet.why("position").value == "25 cm from the left, 20 cm from the front"
    with pytest.raises(UnknownNameError):
        sheet.why("nonsense")


def test_figures_are_those_of_the_arithmetic() -> None:
    sheet = _sheet(_facts())
    by_key = {figure.key: figure.value for figure in sheet.figures}
    # 9.357 L x 0.55 x 1.15 x 1.05 = 6.21 L; a tenth of the pot 0.9357 x 1.2075 = 1.13 L; 1453 cm2 x 0.5 cm
    assert (by_key["gross"], by_key["volume"], by_key["tenth"]) == ("6.2 L", "9.4 L", "1.1 L")
    assert by_key["top_dressing"] == "0.7 L"
    assert [part.scoops for part in sheet.ready.parts] == [7, 4, 4]


def test_cut_list_counts_equal_pieces_together() -> None:
    pot = pot_shape("rect", PotLengths(300, 200, 80))
    holes = (Hole(20, -60, 0), Hole(20, 60, 0), Hole(12, 0, 60))
    ready = potting(PotJob(pot, MixOrder(recipe("D")), holes=holes))
    cuts = _sheet(_facts(), ready=ready).ready.cuts
    assert [(cut.count, cut.size) for cut in cuts if cut.what == "mesh square"] == [
        (1, "52 mm"),
        (2, "60 mm"),
    ]
    assert sum(cut.count for cut in cuts if cut.what == "tie wire") == len(ready.ties)


def test_assumed_holes_are_said_to_be_assumed() -> None:
    assert any("assumed" in note for note in _sheet(_facts()).ready.notes)


def test_recorded_old_ties_are_counted_out() -> None:
    work = _entry(
        "work",
        parse_fuzzy_date("spring 2022", field="on"),
        {"operation": "repot", "root_removed_frac": 0.3, "mix": "D", "tie_count": 4, "tie_wire_mm": 2.5},
        "two thick roots at 4 o'clock left",
    )
    lines = " ".join(_sheet(_facts("Acer palmatum", work)).last_time)
    assert "4 old ties (2.5 mm wire) to find, cut and count out" in lines
    assert "spring 2022: about 30 % of the roots off, mix D" in lines
    assert "two thick roots" in lines


def test_unknown_history_stays_unknown() -> None:
    lines = " ".join(_sheet(_facts()).last_time)
    assert "No root work is recorded" in lines
    assert "number unknown" in lines
    work = _entry("work", exact_day(date(2022, 3, 1)), {"operation": "repot"})
    assert "not written down (by its size 4 are usual)" in " ".join(
        _sheet(_facts("Acer palmatum", work)).last_time
    )


def _question(*courses: str) -> Entry:
    return _entry("question", exact_day(TODAY), {"title": "Base", "courses": list(courses)})


def test_heavy_root_work_closes_the_layer_and_light_work_on_a_strong_maple_leaves_it_open() -> None:
    strong = _entry("vigour", exact_day(date(2026, 10, 1)), {"score": 4})
    asked = _facts("Acer palmatum", strong, _question("ground_layer", "leave"))
    (heavy,) = _sheet(asked, roots=0.4).closes
    assert heavy.question == "Base"
    assert heavy.effects[0] == "Ground layer: wait for the next growing season after this"
    assert heavy.effects[1] == "Leave: stays open"
    (light,) = _sheet(asked, roots=0.1).closes
    assert light.effects[0] == "Ground layer: wait until leaves are hard after this"


def test_light_root_work_closes_the_layer_on_a_reserve_driven_tree() -> None:
    strong = _entry("vigour", exact_day(date(2026, 10, 1)), {"score": 4})
    (closed,) = _sheet(_facts("Carpinus betulus", strong, _question("air_layer")), roots=0.1).closes
    assert "wait" in closed.effects[0]


def test_a_course_that_is_no_operation_is_not_judged() -> None:
    (closed,) = _sheet(_facts("Acer palmatum", _question("sell"))).closes
    assert "not judged" in closed.effects[0]


def test_cautions_only_where_they_apply() -> None:
    texts = {
        species: " ".join(caution.text for caution in _sheet(_facts(species)).cautions)
        for species in ("Acer palmatum", "Taxus baccata", "Rhododendron indicum")
    }
    assert "Yew" in texts["Taxus baccata"]
    assert "Azalea" in texts["Rhododendron indicum"]
    assert "Yew" not in texts["Acer palmatum"]
    assert "longhorn" in texts["Acer palmatum"]
    assert all("Sphagnum" in text and "Dust" in text for text in texts.values())


def test_materials_bring_their_cautions_only_when_used() -> None:
    tray = pot_shape("oval", PotLengths(500, 370, 80))
    bare = potting(PotJob(tray, MixOrder(recipe("D")), dressed=False))
    assert materials_of(bare) == ("mineral_mix",)
    texts = " ".join(caution.text for caution in _sheet(_facts(), ready=bare).cautions)
    assert "Sphagnum" not in texts


def test_two_people_where_it_is_heavy() -> None:
    small, large = _potting("oval", (250, 180, 50)), _potting("rect", (600, 420, 110))
    light, heavy = _sheet(_facts(), ready=small), _sheet(_facts(), ready=large)
    assert (light.people, heavy.people) == (1, 2)
    assert any("Two people" in caution.text for caution in heavy.cautions)
    assert not any("Two people" in caution.text for caution in light.cautions)
    assert "kg" in heavy.lifting


def test_quarantine_is_named_until_its_end() -> None:
    inside = _sheet(_facts("Olea europaea", quarantine_until=date(2027, 9, 30)))
    assert any("quarantine to 2027-09-30" in caution.text for caution in inside.cautions)
    past = _sheet(_facts("Olea europaea", quarantine_until=date(2027, 3, 1)))
    assert not any("quarantine" in caution.text for caution in past.cautions)


def test_position_by_the_clock_and_the_physical_mark() -> None:
    marked = _sheet(_facts("Acer palmatum", front_mark="notch on the foot")).position
    assert marked[0] == "Front at 6 o'clock, seen from above: notch on the foot."
    # half of 37 cm and four hundredths of it to the back, to the millimetre
    assert "25 cm from the left wall, 20 cm from the front" in marked[1]
    assert "No front mark is recorded" in _sheet(_facts()).position[0]


def test_aftercare_has_its_two_phases_and_ends_by_signs() -> None:
    sheet = _sheet(_facts())
    assert [phase.title for phase in sheet.aftercare] == [
        "While bare",
        "From the first open leaf",
        "All through",
    ]
    every = [duty for phase in sheet.aftercare for duty in phase.duties]
    assert all(duty.ends and not duty.ends.replace("days at least", "").strip().isdigit() for duty in every)
    shade = next(duty for duty in sheet.aftercare[1].duties if "shade" in duty.do)
    assert "roots active" in shade.ends
    assert any("colour of the dressing" in duty.do for duty in every)
    light = _sheet(_facts(), roots=0.1).aftercare
    assert light != sheet.aftercare


def test_conifers_get_their_own_words() -> None:
    words = " ".join(duty.ends for phase in phases(REPOT.aftercare, group="G6") for duty in phase.duties)
    assert "needles" in words
    assert "leaf" not in words


def test_unsaid_amount_of_root_counts_as_heavy() -> None:
    sheet = _sheet(_facts(), roots=None)
    assert any("taken as heavy" in line for line in sheet.facts)
    assert sheet.aftercare == _sheet(_facts(), roots=0.5).aftercare


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("open", "May be open (2 in 10): look for the sign. Closes about 2 Apr"),
        ("ahead", "Opens about 14 Mar, closes about 2 Apr"),
        ("closed", "Past its window"),
        ("blocked", "Blocked"),
    ],
)
def test_the_window_in_one_line(state: str, words: str) -> None:
    told = why_now(REPOT, _window(state, ("vigour 2",) if state == "blocked" else ()), "drains in 65 s")
    assert told.headline.startswith(words)
    assert told.reason == "drains in 65 s"
    assert bool(told.blocked_by) == (state == "blocked")


def test_without_a_window_the_buds_decide() -> None:
    told = why_now(REPOT, None, "")
    assert "buds" in told.headline
    assert told.reason == REPOT.why


@pytest.mark.parametrize("key", sorted(OPERATIONS))
def test_every_operation_makes_a_sheet(key: str) -> None:
    operation = OPERATIONS[key]
    sheet = worksheet(_facts(), operation, None, None, SheetPlan(TODAY, size_class="M"))
    assert sheet.steps == operation.steps
    assert sheet.ready.figures == ()
    assert sheet.minutes.value
    assert sheet.record


def test_unknown_species_keeps_the_growers_own_name() -> None:
    sheet = _sheet(_facts("a maple from the hedge bank"))
    assert sheet.species == "a maple from the hedge bank"
