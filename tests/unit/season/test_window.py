"""Windows: bands, chance, state, blockers, and the sentence a grower reads."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from yard_of_values import TODAY, facts, forecast, vigour

from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.operations.registry import OPERATIONS
from ringwise.records.model import Pot
from ringwise.season.window import Circumstances, Window, operation_window, work_day
from ringwise.season.worksheet_words import why_now


def window(operation: str, key: str, *, today: date = TODAY, score: int = 4, **told: object) -> Window:
    return operation_window(
        OPERATIONS[operation],
        facts(key, vigour(score)),
        forecast(key),
        today=today,
        circumstances=Circumstances(**told),  # type: ignore[arg-type]
    )


def test_bands_are_the_percentiles_of_the_stage_days() -> None:
    found = window("repot", "acer_palmatum")
    # opens at day 72 + (-4, -2, 0, 2, 4): percentiles 10, 50, 90 are 68.8, 72, 75.2
    assert found.opens is not None
    assert found.closes is not None
    assert (found.opens.low, found.opens.median, found.opens.high) == (
        date(2027, 3, 10),
        date(2027, 3, 13),
        date(2027, 3, 16),
    )
    assert found.closes.median == date(2027, 3, 31)
    assert found.state == "ahead"
    assert found.sentence() == "opens around 10 to 16 Mar (median 13), closes around 28 Mar to 3 Apr"


@pytest.mark.parametrize(
    ("day", "share"), [(8, 0.0), (9, 0.2), (13, 0.6), (17, 1.0), (26, 1.0), (27, 0.8), (31, 0.4)]
)
def test_chance_open_is_the_share_of_samples(day: int, share: float) -> None:
    found = window("repot", "acer_palmatum")
    assert found.chance_open(date(2027, 3, day)) == pytest.approx(share)
    assert window("repot", "acer_palmatum", today=date(2027, 3, day)).open_prob == pytest.approx(share)


@pytest.mark.parametrize(
    ("today", "state", "words"),
    [
        (date(2027, 3, 20), "open", "open now, closes around 28 Mar to 3 Apr"),
        (
            date(2027, 4, 6),
            "closed",
            "past its best since around 28 Mar to 3 Apr; not to be done any more from 15 to 21 Apr",
        ),
    ],
)
def test_open_and_past(today: date, state: str, words: str) -> None:
    found = window("repot", "acer_palmatum", today=today)
    assert (found.state, found.sentence()) == (state, words)


def test_median_is_written_out_where_the_band_crosses_a_month() -> None:
    found = operation_window(
        OPERATIONS["repot"],
        facts("acer_palmatum", vigour(4)),
        forecast("acer_palmatum", spread_days=(-20, 0, 20)),
        today=date(2027, 2, 1),
    )
    assert "opens around 25 Feb to 29 Mar (median 13 Mar)" in found.sentence()


def test_alternate_is_taken_once_the_usual_span_is_over() -> None:
    found = window("repot", "zelkova_serrata", today=date(2027, 5, 20))
    assert found.opens is not None
    assert found.opens.median == date(2027, 5, 25)
    assert found.note.startswith("light root work only")
    assert "10 weeks before the first frost (first frost not known here)" in found.closes_by


def test_a_place_without_frost_is_told_as_such() -> None:
    found = window("repot", "zelkova_serrata", today=date(2027, 5, 20), first_frost_days=np.full(5, np.nan))
    assert found.closes_by.endswith("(no autumn frost comes here)")
    assert "not known" not in found.closes_by
    assert "first frost" not in found.closes_by


@pytest.mark.parametrize(
    ("today", "state", "words"),
    [
        (date(2027, 5, 1), "ahead", "opens around 22 to 28 May (median 25), closes by sign: "),
        (date(2027, 5, 25), "open", "may be open (6 in 10): look for the sign; closes by sign: "),
        (date(2027, 6, 20), "open", "open now, closes by sign: "),
    ],
)
def test_a_window_whose_end_never_comes_tells_the_sign_and_no_day(
    today: date, state: str, words: str
) -> None:
    told = forecast("zelkova_serrata")
    days = told.days.copy()
    days[:3, told.codes.index("91") :] = told.horizon_index
    found = operation_window(
        OPERATIONS["repot"],
        facts("zelkova_serrata", vigour(4)),
        replace(told, days=days),
        today=today,
        circumstances=Circumstances(first_frost_days=np.full(5, np.nan)),
    )
    assert found.state == state
    assert found.closes is None
    assert found.days_left is None
    assert found.sentence() == words + found.closes_by
    assert "Feb" not in why_now(OPERATIONS["repot"], found, "").headline  # the horizon is 4 February
    assert "closes by sign" in why_now(OPERATIONS["repot"], found, "").headline.lower()


def test_a_window_that_mostly_never_opens_tells_only_its_sign() -> None:
    told = forecast("acer_buergerianum")
    days = told.days.copy()
    days[:3, told.codes.index("H1") :] = told.horizon_index
    found = operation_window(
        OPERATIONS["full_defoliation"],
        facts("acer_buergerianum", vigour(5)),
        replace(told, days=days),
        today=date(2027, 5, 1),
    )
    assert (found.opens, found.closes, found.too_short) == (None, None, False)
    assert found.sentence() == f"by sign: {found.sign}"
    assert work_day(found) is None


@pytest.mark.parametrize("today", [date(2027, 5, 1), date(2027, 5, 25), date(2027, 9, 1)])
def test_a_season_too_short_is_said_and_tells_no_day(today: date) -> None:
    """Ten weeks before a first frost on day 200 lie before the leaves are hard, day 141 to 149."""
    tree = facts("acer_buergerianum", vigour(5))
    found = operation_window(
        OPERATIONS["full_defoliation"],
        tree,
        forecast("acer_buergerianum"),
        today=today,
        circumstances=Circumstances(first_frost_days=np.array([200.0, 200.0, 200.0, 290.0, 290.0])),
    )
    assert found.sentence() == "the season here is too short for it"
    assert (found.opens, found.closes, found.days_left, work_day(found)) == (None, None, None, None)
    headline = why_now(OPERATIONS["full_defoliation"], found, "").headline
    assert headline == "The season here is too short for it"


def test_an_alternate_for_which_the_season_is_too_short_is_not_chosen() -> None:
    found = window("repot", "zelkova_serrata", today=date(2027, 5, 20), first_frost_days=np.full(5, 200.0))
    assert not found.too_short
    assert found.sentence().startswith("past its best since around")


@pytest.mark.parametrize(
    ("operation", "score", "why"),
    [
        ("repot", 2, ("weak: vigour 2, needs 3",)),
        ("chop", 3, ("weak: vigour 3, needs 4",)),
        ("root_rescue", 1, ()),
        ("leave", 0, ()),
        ("repot", 3, ()),
    ],
)
def test_weakness_blocks_elective_work_and_never_rescue(
    operation: str, score: int, why: tuple[str, ...]
) -> None:
    found = window(operation, "fagus_crenata", score=score)
    assert found.blocked_by == why
    assert (found.state == "blocked") is bool(why)


def test_unknown_vigour_blocks_nothing() -> None:
    found = operation_window(
        OPERATIONS["repot"], facts("ulmus_procera"), forecast("ulmus_procera"), today=TODAY
    )
    assert found.blocked_by == ()


@pytest.mark.parametrize(
    ("until", "operation", "blocked"),
    [
        (date(2027, 9, 30), "repot", True),
        (date(2027, 9, 30), "wire", False),
        (date(2027, 3, 13), "repot", True),  # the day on which the window opens, by its median
        (date(2027, 3, 12), "repot", False),
    ],
)
def test_quarantine_blocks_root_work_until_it_ends(until: date, operation: str, blocked: bool) -> None:
    olive = facts("olea_europaea", quarantine_until=until)
    found = operation_window(OPERATIONS[operation], olive, forecast("olea_europaea"), today=TODAY)
    assert (found.state == "blocked") is blocked
    if blocked:
        assert found.sentence() == f"blocked: in quarantine until {show.day(until, year=True)}"


def test_ground_and_pot() -> None:
    field = facts("carpinus_betulus", size_class="F")
    found = operation_window(OPERATIONS["repot"], field, forecast("carpinus_betulus"), today=TODAY)
    assert found.blocked_by == ("stands in the ground: lift it first",)
    pot = Pot("P-1", "oval", 300.0, 200.0, 80.0, tree="T01")
    potted = facts("carpinus_betulus", pots=[pot], size_class="M")
    found = operation_window(OPERATIONS["lift"], potted, forecast("carpinus_betulus"), today=TODAY)
    assert found.blocked_by == ("stands in a pot",)


def test_not_done_on_this_kind() -> None:
    found = window("full_defoliation", "carpinus_betulus")
    assert found.state == "blocked"
    assert "not done on this kind of tree: reserve-driven" in found.sentence()


def test_conflict_blocks_until_a_reason_is_typed_and_stays_listed() -> None:
    found = window("chop", "zelkova_serrata", conflicts=("chop and heavy repot in one season",))
    assert found.state == "blocked"
    overridden = window(
        "chop", "zelkova_serrata", conflicts=("chop and heavy repot",), override_reason="field-vigorous"
    )
    assert overridden.state == "ahead"
    assert overridden.blocked_by == ("chop and heavy repot",)


def test_by_sign_where_no_bud_tells() -> None:
    found = window("repot", "rhododendron_indicum")
    assert found.opens is None
    assert np.isnan(found.chance_open(TODAY))
    assert found.sentence() == "by sign: flower over, new shoots just starting"


def test_unknown_species_is_said() -> None:
    with pytest.raises(MissingFieldError, match="is in no list"):
        operation_window(OPERATIONS["repot"], facts("some shrub"), forecast("acer_palmatum"), today=TODAY)


def test_south_is_the_north_half_a_year_on() -> None:
    north = window("repot", "acer_palmatum")
    south = operation_window(
        OPERATIONS["repot"],
        facts("acer_palmatum", vigour(4), today=date(2027, 9, 5)),
        forecast("acer_palmatum", south=True),
        today=date(2027, 9, 5),
    )
    assert north.opens is not None
    assert south.opens is not None
    moved = date(2027, 7, 1) - date(2027, 1, 1)
    assert south.opens.median - north.opens.median == moved
    assert south.state == north.state
    assert south.year.south


def test_why_chain_reaches_the_row_of_the_timing_table() -> None:
    rooms = [link.room for _depth, link in window("repot", "acer_palmatum").trace.walk()]
    assert rooms[:2] == ["season.window", "row repot.G2 of timing"]


def test_a_later_season_moves_the_window_by_as_many_days() -> None:
    early = window("repot", "acer_palmatum")
    late = operation_window(
        OPERATIONS["repot"],
        facts("acer_palmatum", vigour(4)),
        forecast("acer_palmatum", shift_days=9),
        today=TODAY,
    )
    assert late.opens is not None
    assert early.opens is not None
    assert late.opens.median - early.opens.median == timedelta(days=9)
