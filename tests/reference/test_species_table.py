"""The species tables hold what the trade's table of 54 rows says: cells typed in by hand, and a fingerprint.

Source: the trade's species table (common practice and memory; cells with a printed source name it).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date

import pytest

from ringwise.kit.sources import all_sources
from ringwise.kit.tables import BASES, RANGE_KINDS, SPREADS, TEXT_UNITS, Parameter, Table, load_table
from ringwise.records.taxa import all_taxa, lookup_keys

OPERATIONS = load_table("ringwise.operations", "species")
ROOTZONE = load_table("ringwise.rootzone", "species")
TAXA = load_table("ringwise.records", "taxa")
TABLES = {"operations": OPERATIONS, "rootzone": ROOTZONE, "taxa": TAXA}


def _sum(values: Iterable[float | None]) -> float:
    return round(math.fsum(value for value in values if value is not None), 3)


@pytest.mark.parametrize(
    ("name", "fingerprint"),
    [
        ("operations", (1270, 1164.3, 891.75, 1196.85)),
        ("rootzone", (536, 2128.0, 1853.0, 2398.0)),
        ("taxa", (950, 0.0, 0.0, 0.0)),
    ],
)
def test_row_counts_and_column_sums(name: str, fingerprint: tuple[int, float, float, float]) -> None:
    """An accidental edit changes the fingerprint; a meant one changes it here too."""
    rows = TABLES[name].rows
    values = _sum(row.number for row in rows if row.unit not in TEXT_UNITS)
    assert (len(rows), values, _sum(row.low for row in rows), _sum(row.high for row in rows)) == fingerprint


# key, parameter, value, low, high: cells typed by hand; a single figure stands for half a step either way
NUMBERS = [
    ("celtis_sinensis", "repot_years_young", 2, 1.5, 2.5),
    ("acer_palmatum", "repot_years_old", 4, 3.5, 4.5),
    ("acer_palmatum", "root_cut_young_frac", 0.45, 0.425, 0.475),
    ("acer_buergerianum", "repot_years_young", 1.5, 1, 2),
    ("acer_buergerianum", "root_cut_old_frac", 0.45, 0.425, 0.475),
    ("fagus_crenata", "repot_years_old", 5.5, 5, 6),
    ("fagus_crenata", "defoliation", 0, 0, 1),
    ("carpinus_betulus", "repot_years_young", 2.5, 2, 3),
    ("ginkgo_biloba", "toxicity", 2, None, None),
    ("taxus_baccata", "toxicity", 3, None, None),
    ("rhododendron_indicum", "toxicity", 3, 2, 3),
    ("pinus_parviflora", "root_cut_old_frac", 0.15, 0.125, 0.175),
    ("juniperus_chinensis", "repot_years_old", 6, 5.5, 6.5),
    ("wisteria_floribunda", "repot_years_old", 4, 3.5, 4.5),
    ("ulmus_import", "root_cut_young_frac", 0.60, 0.575, 0.625),
    ("pyrus_on_stock", "root_cut_young_frac", 0.40, 0.375, 0.425),
    ("carpinus_betulus", "seed_cold_weeks", 35, 34.5, 35.5),
    ("zelkova_serrata", "defoliation", 3, None, None),
]
ROOT_NUMBERS = [
    ("zelkova_serrata", "root_vigour", 5),
    ("stewartia_monadelpha", "root_vigour", 2),
    ("taxodium_distichum", "water_need", 5),
    ("olea_europaea", "water_need", 2),
    ("larix_decidua", "hardiness_zone_low", 3),
    ("larix_decidua", "hardiness_zone_high", 6),
    ("larix_kaempferi", "hardiness_zone_low", 4),
    ("larix_kaempferi", "hardiness_zone_high", 7),
    ("quercus_ilex", "hardiness_zone_low", 7),
    ("quercus_suber", "hardiness_zone_low", 8),
    ("taxus_cuspidata", "hardiness_zone_low", 4),
    ("ficus_microcarpa", "hardiness_zone_low", 9.5),
    ("cercis_canadensis", "hardiness_zone_low", 4),
    ("euonymus_europaeus", "hardiness_zone_high", 7),
    ("metasequoia_glyptostroboides", "hardiness_zone_high", 8),
]
TEXTS = [
    (OPERATIONS, "acer_palmatum", "repot_cue", ("D", "M")),
    (OPERATIONS, "fagus_crenata", "repot_cue", ("B", "F")),
    (OPERATIONS, "juniperus_chinensis", "layer_ease", ("E", "M")),
    (OPERATIONS, "quercus_suber", "layer_ease", ("X",)),
    (OPERATIONS, "morus_alba", "graft_ease", ("E",)),
    (OPERATIONS, "ficus_microcarpa", "layer_when", ("warm",)),
    (OPERATIONS, "larix_decidua", "layer_when", ("early",)),
    (OPERATIONS, "fagus_sylvatica", "flush", ("1", "2")),
    (OPERATIONS, "morus_alba", "flush", ("M",)),
    (OPERATIONS, "betula_pendula", "autumn_lift_risk", ("yes",)),
    (ROOTZONE, "acer_rubrum", "mix_codes", ("D", "W")),
    (ROOTZONE, "rhododendron_indicum", "mix_codes", ("A",)),
    (ROOTZONE, "juniperus_chinensis", "mix_codes", ("C",)),
    (ROOTZONE, "ulmus_pumila", "mix_codes", ("V",)),
    (TAXA, "metasequoia_glyptostroboides", "leaf_habit", ("DC",)),
    (TAXA, "cotoneaster_horizontalis", "leaf_habit", ("SE",)),
]


@pytest.mark.parametrize(("key", "parameter", "value", "low", "high"), NUMBERS)
def test_numbers_of_the_operations_table(
    key: str, parameter: str, value: float, low: float | None, high: float | None
) -> None:
    row = OPERATIONS.get(key, parameter)
    assert (row.number, row.low, row.high) == (value, low, high)


@pytest.mark.parametrize(("key", "parameter", "value"), ROOT_NUMBERS)
def test_numbers_of_the_root_zone_table(key: str, parameter: str, value: float) -> None:
    assert ROOTZONE.get(key, parameter).number == value


@pytest.mark.parametrize(("table", "key", "parameter", "items"), TEXTS)
def test_codes_and_lists(table: Table, key: str, parameter: str, items: tuple[str, ...]) -> None:
    assert table.get(key, parameter).items == items


@pytest.mark.parametrize(
    ("key", "parameter", "source"),
    [
        ("acer_palmatum", "biosecurity", "apha_longhorn"),
        ("olea_europaea", "biosecurity", "apha_xylella2020"),
        ("taxus_baccata", "toxicity", "upenn_taxus"),
        ("fagus_crenata", "watch", "nakajima2018"),
        ("tilia_cordata", "watch", "essex_living_tree"),
        ("prunus_spinosa", "seed_cold_weeks", "seed_pretreatment_table"),
    ],
)
def test_cells_with_a_printed_source_name_it(key: str, parameter: str, source: str) -> None:
    row = OPERATIONS.get(key, parameter)
    assert (row.source, row.read) == (source, True)


def test_genus_rows_are_the_median_of_their_members() -> None:
    row = OPERATIONS.get("quercus", "root_cut_young_frac")  # robur, petraea 0.35; suber, ilex 0.30
    assert row.number == 0.325
    assert "genus fall-back" in row.note
    assert ROOTZONE.get("acer", "root_vigour").number == 4  # 4, 5, 4, 4


@pytest.mark.parametrize("table", [OPERATIONS, ROOTZONE])
def test_every_taxon_finds_every_planning_value(table: Table) -> None:
    parameters = {row.parameter for row in table.of("any").values()}
    assert len(parameters) >= 5
    for key in all_taxa():
        for parameter in parameters:
            assert table.first(lookup_keys(key), parameter).value


def _provenance_faults(row: Parameter) -> list[str]:
    ordered = (
        row.low is None or row.high is None or row.unit in TEXT_UNITS or row.low <= row.number <= row.high
    )
    checks = {
        "basis": row.basis in BASES,
        "range_kind": row.range_kind in RANGE_KINDS,
        "spread": row.spread in SPREADS,
        "source": row.source in all_sources(),
        "read": row.read == all_sources()[row.source].read,
        "never measured": row.basis not in {"measured", "fitted"},
        "range": ordered,
        "value": bool(row.value.strip()),
    }
    return [f"{row.key}.{row.parameter}: {name}" for name, sound in checks.items() if not sound]


@pytest.mark.parametrize("name", TABLES)
def test_every_row_has_provenance_and_a_key_that_exists(name: str) -> None:
    groups = {"G1", "G2", "G3", "G4", "G5", "G6", "G7", "any"}
    faults = [fault for row in TABLES[name] for fault in _provenance_faults(row)]
    faults += [row.key for row in TABLES[name] if row.key not in all_taxa() and row.key not in groups]
    pairs = [(row.key, row.parameter) for row in TABLES[name]]
    assert faults == []
    assert len(pairs) == len(set(pairs))


@pytest.mark.parametrize("name", TABLES)
def test_no_month_is_named(name: str) -> None:
    months = {date(2001, month, 1).strftime(form) for month in range(1, 13) for form in ("%B", "%b")}
    named = re.compile(rf"\b({'|'.join(sorted(months))})\b", re.IGNORECASE)
    assert [row for row in TABLES[name] if named.search(f"{row.value} {row.scope} {row.note}")] == []
