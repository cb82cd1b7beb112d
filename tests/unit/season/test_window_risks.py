"""Risks after a work: counted years, frost and stage of one year together, carrying in, what is told."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from stands_of_values import DAYS, FIRST, WORK, at, mild, stages, stand
from yard_of_values import TODAY, facts, vigour

from ringwise.desk.window_after import risk_values
from ringwise.operations.registry import OPERATIONS
from ringwise.season.carry import carry_in
from ringwise.season.risk import Risk, Stand, work_risks
from ringwise.season.risk_kinds import KINDS
from ringwise.season.risk_words import risk_name, risk_sentence, told_risk
from ringwise.season.window import Circumstances, Window, operation_window


def risks(where: Stand, on: date = WORK) -> dict[str, Risk]:
    return {each.kind: each for each in work_risks(where, on)}


def test_fourteen_nights_from_the_one_after_the_work() -> None:
    nights = mild()
    nights[0, at(14)] = -0.1
    nights[1, at(15)] = -5.0  # too late to count
    nights[2, at(3)] = 0.0  # not below
    nights[3, at(0)] = -5.0  # the night before the work
    found = risks(stand(nights))["bench_frost"]
    assert (found.years, found.of_years, found.days) == (1, 4, 14)
    assert (found.first, found.last) == (date(2027, 3, 11), date(2027, 3, 24))
    assert found.worst == pytest.approx(-0.1)


def test_core_at_zero_and_at_two_below() -> None:
    core = mild()
    core[0, at(2)], core[1, at(9)], core[2, at(4)] = -0.5, -2.5, -2.0
    found = risks(stand(mild(), core_degC=core))
    assert found["core_frost"].years == 3
    assert found["core_alarm"].years == 1
    assert found["bench_frost"].years == 0


def test_a_settled_pot_is_held_to_its_own_limit() -> None:
    core = mild()
    core[0, at(3)] = -6.5  # the maple stands -7 in a settled pot, other kinds -5
    assert risks(stand(mild(), core_degC=core, cut=False))["core_settled"].years == 0
    oak = risks(stand(mild(), core_degC=core, cut=False, key="quercus_robur"))
    assert oak["core_settled"].years == 1
    assert "core_frost" not in oak


def test_years_with_a_gap_are_left_out() -> None:
    nights = mild()
    nights[0, at(5)], nights[1, at(5)] = -1.0, np.nan
    found = risks(stand(nights))["bench_frost"]
    assert (found.years, found.of_years) == (1, 3)
    assert "bench_frost" not in risks(stand(np.full((3, DAYS), np.nan)))


def test_days_beyond_the_weather_years_tell_nothing() -> None:
    where = stand(mild())
    assert work_risks(where, where.weather.last) == ()
    assert carry_in(where, where.weather.last) is None
    assert work_risks(where, FIRST - timedelta(days=30)) == ()


def test_frost_counts_against_leaves_of_its_own_year() -> None:
    """Leaves open on day 94 (4 April), 30 days earlier in two of four years; all have frost on 20 March."""
    nights = mild()
    nights[:, (date(2027, 3, 20) - FIRST).days] = -4.0
    told = stages(shifts=(-30.0, 0.0))
    found = risks(stand(nights, told=told))
    assert found["tender_frost"].prob == pytest.approx(0.5)
    assert found["leaf_frost"].prob == pytest.approx(0.5)
    # The same frost only in years whose leaves are late harms nothing, though stage and frost are as likely.
    nights[[0, 2], (date(2027, 3, 20) - FIRST).days] = 5.0
    assert risks(stand(nights, told=told))["tender_frost"].prob == 0.0


def test_leaves_stand_what_the_row_says() -> None:
    for night_degC, struck in ((-2.9, 0.0), (-3.1, 1.0)):
        nights = mild()
        nights[:, (date(2027, 4, 20) - FIRST).days] = night_degC
        found = risks(stand(nights), date(2027, 4, 15))
        assert found["tender_frost"].prob == struck
        assert found["tender_frost"].lost_frac is None


def test_buds_of_an_apple_are_held_to_the_printed_table() -> None:
    """At green tip (07, day 84 to 94) a tenth is killed at -7.8, nine tenths at -12.2."""
    on = date(2027, 3, 26)  # day 85
    for night_degC, struck, lost in ((-7.7, 0.0, 0.095), (-7.9, 1.0, 0.11), (-12.2, 1.0, 0.9)):
        nights = mild()
        nights[:, (on - FIRST).days + 1] = night_degC
        found = risks(stand(nights, key="malus_domestica"), on)["tender_frost"]
        assert found.prob == struck
        assert found.lost_frac == pytest.approx(lost, abs=0.006)


def test_flowers_count_where_they_are_forecast() -> None:
    told = stages("prunus_avium")
    flowering = replace(
        told,
        codes=(*told.codes, "60", "69"),
        days=np.column_stack([told.days, np.full(4, 80.0), np.full(4, 90.0)]),
    )
    nights = mild()
    nights[:, (date(2027, 3, 22) - FIRST).days] = -2.5  # day 81, in flower; a tenth is killed at -2.2
    assert risks(stand(nights, key="prunus_avium", told=told))["tender_frost"].prob == 0.0
    assert risks(stand(nights, key="prunus_avium", told=flowering))["tender_frost"].prob == 1.0


def test_the_core_is_watched_until_the_first_leaf() -> None:
    core = mild()
    core[
        :, (date(2027, 4, 5) - FIRST).days
    ] = -1.0  # after 14 nights; leaves open on 8 April or 10 days before
    told = stages(shifts=(0.0, -10.0))
    found = risks(stand(mild(), core_degC=core, told=told))
    assert found["core_frost"].prob == 0.0
    assert found["core_until_leaf"].prob == pytest.approx(0.5)


def test_after_work_on_leaves_that_are_open_every_known_night_is_watched() -> None:
    """Work on 10 June; the leaves of this year opened in April. The weather years reach to 19 August."""
    core = mild()
    core[:3, DAYS - 1] = -1.0  # the very last night, long after the 14 nights
    on = date(2027, 6, 10)
    where = stand(mild(), core_degC=core)
    found = risks(where, on)
    assert "core_until_leaf" not in found
    assert found["core_frost"].years == 0
    rest = found["core_rest"]
    assert (rest.years, rest.last) == (3, where.weather.last)
    assert rest.days == (where.weather.last - on).days
    said = risk_sentence("core_rest", prob=rest.prob, of_years=4, limit=rest.limit, days=rest.days)
    assert (
        said == "pot core below 0 °C in 3 of 4 years within 70 days after, as far as the weather years reach"
    )
    assert told_risk(tuple(found.values()), root_work=True) == ""  # too far off for the window's sentence


def test_leaves_open_in_a_few_samples_keep_the_watch_until_the_leaf() -> None:
    told = stages(shifts=(-30.0, 0.0, 0.0, 0.0))
    on = date(2027, 4, 1)  # one sample of four has leaves by then
    found = risks(stand(mild(), core_degC=mild(), told=told), on)
    assert "core_until_leaf" in found
    assert "core_rest" not in found


def test_a_gap_in_one_year_does_not_hide_the_worst_of_the_others() -> None:
    nights = mild()
    on = date(2027, 4, 15)
    nights[:, (on - FIRST).days + 5] = [-4.0, -5.0, 1.0, 2.0]
    nights[3, (on - FIRST).days + 3] = np.nan
    where = stand(nights)
    found = risks(where, on)
    for kind in ("tender_frost", "leaf_frost"):
        assert (found[kind].worst, found[kind].of_years) == (-5.0, 3)
        assert found[kind].prob == pytest.approx(2 / 3)
    json.dumps([risk_values(each) for each in work_risks(where, on)], allow_nan=False)


def test_growth_that_is_tender_only_in_years_with_a_gap_tells_nothing() -> None:
    nights = mild()
    on = date(2027, 3, 1)
    nights[[0, 2], (on - FIRST).days + 3] = np.nan  # leaves open by then in these two years alone
    told = stages(shifts=(-30.0, 0.0))
    assert "tender_frost" not in risks(stand(nights, told=told), on)


def test_heat_wind_and_a_hot_core() -> None:
    nights = mild()
    nights[0, at(5)], nights[1, at(6)] = 20.5, 21.0  # with 8 more by day; five days are looked at
    wind = np.full((4, DAYS), 2.0)
    wind[:3, at(2)] = 3.5
    core = mild()
    core[2, at(10)] = 34.0  # and 9 more behind the sunny wall
    core[3, at(10)] = 32.9  # its wall stays at 41.9, and nothing is to be done
    found = risks(stand(nights, core_degC=core, wind_m_s=wind))
    assert found["heat"].years == 1
    assert found["wind"].years == 3
    assert (found["core_heat"].years, found["core_heat"].limit, found["core_heat"].worst) == (1, 42.0, 43.0)
    said = risk_sentence("core_heat", prob=0.25, of_years=4, limit=42.0, days=14)
    assert "shade the wall" in said
    assert "wind" not in risks(stand(nights))


def test_every_kind_has_words() -> None:
    for kind in KINDS:
        assert risk_name(kind)
        assert "3 of 20" in risk_sentence(kind, prob=0.15, of_years=20, limit=1.0, days=14)


def test_the_first_that_is_likely_is_told() -> None:
    core = mild()
    core[0, at(2)] = -3.0
    found = work_risks(stand(mild() - 6.0, core_degC=core), WORK)
    assert told_risk(found, root_work=True) == "pot core below 0 °C in 1 of 4 years within 14 days after"
    warm = work_risks(stand(mild() - 6.0, core_degC=mild()), WORK)
    # Frost at the bench is not told where the core is known, nor heat where no roots are opened.
    assert told_risk(warm, root_work=True) == ""
    hot = work_risks(stand(mild() + 20.0, core_degC=mild()), WORK)
    assert told_risk(hot, root_work=False) == ""
    assert told_risk(hot, root_work=True).startswith("a day over 28 °C in 4 of 4 years")


def window(today: date, where: Stand) -> Window:
    return operation_window(
        OPERATIONS["repot"],
        facts("acer_palmatum", vigour(4)),
        where.forecast,
        today=today,
        circumstances=Circumstances(stand=where),
    )


def test_the_sentence_carries_the_risk_while_the_window_is_open_or_near() -> None:
    core = np.full((20, DAYS), 5.0)
    core[:3, (date(2027, 3, 24) - FIRST).days] = -1.0
    where = stand(np.full((20, DAYS), 5.0), core_degC=core, told=stages(members=20, shifts=(-4, -2, 0, 2, 4)))
    risk = "; pot core below 0 °C in 3 of 20 years within 14 days after"
    open_now = window(date(2027, 3, 20), where)
    assert open_now.sentence() == "open now, closes around 27 Mar to 4 Apr" + risk
    assert open_now.after.work_on == date(2027, 3, 20)
    near = window(date(2027, 3, 7), where)
    assert near.sentence().endswith(risk)
    assert near.after.work_on == date(2027, 3, 13)
    far = window(FIRST, where)
    assert "pot core" not in far.sentence()
    assert far.after.risk("core_frost") is not None
    over = window(date(2027, 4, 6), where)
    assert over.risks == ()


def test_days_left_are_counted_from_the_day_of_asking() -> None:
    where = stand(mild(5), told=stages(members=5, shifts=(-4, -2, 0, 2, 4)))
    left = window(date(2027, 3, 29), where).days_left
    assert left is not None
    assert (left.low, left.median, left.high) == (0, 2, 5)  # closes on 28 March, 31 March, 3 April
    assert window(date(2027, 4, 6), where).days_left is None


def test_chances_by_day_are_the_shares_of_samples() -> None:
    where = stand(mild(5), told=stages(members=5, shifts=(-4, -2, 0, 2, 4)))
    found = window(TODAY, where)
    told = found.chance_by_day
    assert told is not None
    assert told.first == date(2027, 3, 9)
    for day in range(1, 32):
        when = date(2027, 3, day)
        assert told.on(when) == pytest.approx(found.chance_open(when))


def test_each_risk_has_a_chain_to_rows_and_sources() -> None:
    core = mild() - 6
    found = window(date(2027, 3, 14), stand(mild() - 6, core_degC=core))
    assert len(found.risks) >= 5
    for risk in found.risks:
        chain = found.after.why(risk.kind)
        assert chain is not None
        ends = [link for _depth, link in chain.walk() if not link.inputs]
        assert any(link.room.startswith("row ") for link in ends)
        assert found.after.why("no such risk") is None
    assert found.after.carry is not None
    assert found.after.carry.why().value == "-1 °C"


@pytest.mark.parametrize(
    ("kind", "prob", "told"),
    [("core_frost", 0.05, True), ("core_heat", 0.15, False), ("core_heat", 0.2, True), ("wind", 0.1, False)],
)
def test_what_shade_and_shelter_mend_is_told_from_one_year_in_five(
    kind: str, prob: float, told: bool
) -> None:
    day = date(2027, 7, 10)
    risk = Risk(kind, prob, 20, day, day, 42.0, 45.0, ())
    assert bool(told_risk((risk,), root_work=True)) is told
