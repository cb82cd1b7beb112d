"""Timing by bud and leaf state: species before genus before group."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import ParameterError
from ringwise.operations.registry import OPERATIONS
from ringwise.operations.timing import span_trace, spans
from ringwise.records.taxa import lookup_keys


@pytest.mark.parametrize(
    ("operation", "taxon", "pairs"),
    [
        ("repot", "larix_kaempferi", [("01", "03")]),
        ("repot", "taxodium_distichum", [("03", "07")]),
        ("repot", "metasequoia_glyptostroboides", [("03", "07")]),
        ("repot", "ginkgo_biloba", [("03", "07")]),
        ("repot", "betula_pendula", [("07", "09")]),
        ("repot", "stewartia_monadelpha", [("07", "09")]),
        ("repot", "chaenomeles_speciosa", [("92", "95")]),
        ("repot", "acer_palmatum", [("01", "07")]),
        ("repot", "carpinus_betulus", [("03", "09")]),
        ("repot", "zelkova_serrata", [("01", "07"), ("H1", "H1")]),
        ("bare_root", "ulmus_parvifolia", [("01", "03")]),
        ("air_layer", "larix_decidua", [("15", "19")]),
        ("pinch", "fagus_crenata", [("10", "11")]),
        ("full_defoliation", "ficus_microcarpa", [("H1", "91")]),
        ("structural_prune", "prunus_mume", [("H1", "91")]),
        ("deadwood", "quercus_robur", [("H1", "91")]),
    ],
)
def test_spans_as_the_trade_has_them(operation: str, taxon: str, pairs: list[tuple[str, str]]) -> None:
    found = spans(OPERATIONS[operation], lookup_keys(taxon))
    assert [(span.opens, span.closes) for span in found] == pairs


@pytest.mark.parametrize(
    ("operation", "taxon"),
    [
        ("bare_root", "fagus_sylvatica"),
        ("bare_root", "pinus_sylvestris"),
        ("full_defoliation", "carpinus_betulus"),
        ("full_defoliation", "betula_pendula"),
        ("partial_defoliation", "larix_decidua"),
        ("chop", "juniperus_chinensis"),
        ("thread_graft", "pinus_thunbergii"),
    ],
)
def test_not_done_says_why(operation: str, taxon: str) -> None:
    found = spans(OPERATIONS[operation], lookup_keys(taxon))
    assert [span.done for span in found] == [False]
    assert found[0].note


def test_repot_ends_for_good_when_shoots_extend() -> None:
    for taxon in ("acer_palmatum", "carpinus_betulus", "larix_decidua", "pinus_sylvestris"):
        assert spans(OPERATIONS["repot"], lookup_keys(taxon))[0].hard_closes == "15"


def test_full_defoliation_keeps_ten_weeks_to_the_frost() -> None:
    span = spans(OPERATIONS["full_defoliation"], lookup_keys("acer_buergerianum"))[0]
    assert span.before_frost_weeks == 10


def test_unknown_keys_are_refused_and_a_row_knows_its_place() -> None:
    with pytest.raises(ParameterError, match="no timing"):
        spans(OPERATIONS["repot"], ("moss",))
    trace = span_trace(spans(OPERATIONS["repot"], lookup_keys("larix_decidua"))[0])
    assert trace.room == "row repot.larix of timing"
    assert trace.source == "practice"
